"""What an outfit costs, fitted and delivered."""

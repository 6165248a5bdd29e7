"""What people write, read by rules: facts with the place in the text that says them, and a reply that asks the rest."""

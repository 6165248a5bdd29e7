"""Where things rest."""

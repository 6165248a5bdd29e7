"""Lists that come in: sheets of any layout to records, nothing guessed silently."""

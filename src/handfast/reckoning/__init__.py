"""One chapter by itself, from one file to one answer."""

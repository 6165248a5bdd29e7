"""Handfast: the loader-attachment reckoner."""

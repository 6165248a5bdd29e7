"""The same verbs at a terminal."""

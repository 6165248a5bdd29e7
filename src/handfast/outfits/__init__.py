"""Whole answers: attachment, mount, power and ballast, and the checks they must hold."""

"""Advice as paper."""

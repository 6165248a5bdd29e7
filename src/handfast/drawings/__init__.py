"""Advice as lines: pure SVG."""

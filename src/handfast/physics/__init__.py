"""The handbook: functions on arrays, SI, no nouns."""

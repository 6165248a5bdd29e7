"""Numbers and what they mean: units, estimates, money, reading and showing."""

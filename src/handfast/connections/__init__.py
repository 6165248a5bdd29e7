"""How ends meet: threads, mating, chains, hose runs."""

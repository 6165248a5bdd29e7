"""The dealer's verbs, one transaction each."""

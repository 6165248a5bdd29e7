"""The dealer's verbs, one transaction each: inquiries and answers, what comes after the sale."""

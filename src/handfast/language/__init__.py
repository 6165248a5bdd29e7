"""The second language: a book of phrases and what reads pages and papers by it."""

"""Everything about one arrangement, evaluated completely: box, brackets, masses, balance, loads, checks."""

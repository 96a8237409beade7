"""How plain Python functions of numbers become compiled ones. Knows nothing of rockets."""

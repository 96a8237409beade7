"""How a thing flies: documents into numbers, one motion, single flights and ensembles."""

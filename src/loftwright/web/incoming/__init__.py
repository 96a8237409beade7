"""Files that a page sends: bounded, told apart by their bytes, kept until they are used."""

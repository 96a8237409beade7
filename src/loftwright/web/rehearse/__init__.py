"""What the pages of rehearsals and programs are made of."""

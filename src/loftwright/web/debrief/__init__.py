"""What the pages of recorded flights are made of: proposals, forms, work that is done once."""

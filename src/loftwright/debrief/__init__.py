"""What must have happened: the model fitted to the evidence."""

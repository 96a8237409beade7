"""What was recorded: load-cell records of static firings, read as they come and kept untouched."""

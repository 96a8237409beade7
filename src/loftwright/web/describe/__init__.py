"""What the pages of the documents are made of: forms, unsaved edits, what these would change."""

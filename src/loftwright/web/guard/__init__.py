"""Who may ask, from where, and how much: the checks before any page."""

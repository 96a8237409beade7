"""The compiled heart: one engine flies many flights side by side."""

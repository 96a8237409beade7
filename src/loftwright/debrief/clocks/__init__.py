"""All sources on one clock, and what was sighted."""

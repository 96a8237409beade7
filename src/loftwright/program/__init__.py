"""The release program: its language, checks, table form, execution, and its form in C."""

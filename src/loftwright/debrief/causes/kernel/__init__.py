"""Compiled pieces of finding causes."""

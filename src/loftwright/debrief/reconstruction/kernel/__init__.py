"""Compiled pieces of reconstruction."""

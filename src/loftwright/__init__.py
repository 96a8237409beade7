"""Loftwright: describe a water rocket, fire it on the stand, forecast its flight."""

__version__ = "0.1.0"

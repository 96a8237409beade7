"""Forecasts kept, and scored by what was recorded."""

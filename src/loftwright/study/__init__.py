"""What a person asks of many forecasts: what a quantity changes, which fill is best, what matters."""

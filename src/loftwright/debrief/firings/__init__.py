"""Static firings: their figures, and the nozzle fitted to them."""

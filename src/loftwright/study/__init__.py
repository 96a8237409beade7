"""What a person asks of many flights: what a change does, what is best, what matters."""

"""A flight from its log: path, events, artefacts."""

"""Compiled loops over cases side by side, in plain Python until they are compiled."""

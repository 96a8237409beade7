"""What would be if, live: the engine in a process of its own, and those who ask it."""

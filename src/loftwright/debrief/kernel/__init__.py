"""What a debrief compiles: the passes of its smoother, and how its forests grow."""

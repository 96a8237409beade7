"""What a debrief runs a great many times, compiled."""

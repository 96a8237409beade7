"""What a debrief compiles."""

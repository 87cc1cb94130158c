"""What was said becomes a request, or what is missing or ambiguous in it."""

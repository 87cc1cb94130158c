"""One pure step per event: what to ask back, what to remember, what to do next."""

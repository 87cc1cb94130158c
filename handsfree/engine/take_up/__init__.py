"""A list of work and the tips at hand become which to take up, and what others would cost."""

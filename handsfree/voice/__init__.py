"""Sentences become samples, in the order in which they may be said."""

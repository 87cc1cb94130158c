"""The page in huge letters: its server, what it shows, who may see it."""

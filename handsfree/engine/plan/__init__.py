"""A piece of steel becomes a cut plan: its section, the order of its cuts, and what each takes."""

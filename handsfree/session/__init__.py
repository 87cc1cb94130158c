"""One talk with one user: every room is known here and nowhere else."""

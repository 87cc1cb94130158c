"""The helper as a program: its commands, what runs, and how devices are wired to it."""

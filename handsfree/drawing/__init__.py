"""Cut plans, templates and progress as pictures."""

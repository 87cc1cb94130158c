"""The machine's sound devices and sound files: samples in, samples out."""

"""Sound becomes words: microphone, end-pointing, recogniser and its decoding graph."""

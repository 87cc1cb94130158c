"""Sets of `tests.bench.soundness`: what is said, and what must or must not come of it.

Written before the grammar was read, in other people's manners, and not tuned to the program.
"""

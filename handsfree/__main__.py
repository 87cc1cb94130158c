"""`python -m handsfree` is the command `handsfree`."""

import sys

from handsfree.app.cli import main

if __name__ == "__main__":
    sys.exit(main())

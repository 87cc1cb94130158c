"""`handsfree check`."""

import argparse


def fill(parser: argparse.ArgumentParser) -> None:
    """Add the options."""


def act(given: argparse.Namespace, _parser: argparse.ArgumentParser) -> int:
    """Check."""
    return 0

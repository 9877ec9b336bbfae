"""What the commands of the store share."""

from __future__ import annotations

import argparse

HELP = "the store: a file or postgresql://USER@HOST/NAME (default: VOLPLANE_DATABASE, else in the folder of your data)"


def add_database(parser: argparse.ArgumentParser) -> None:
    """Add `--database`."""
    parser.add_argument("--database", metavar="ADDRESS", help=HELP)

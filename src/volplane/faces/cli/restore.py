"""`volplane restore`: a backup or an export in the place of what is kept, which is put aside first."""

from __future__ import annotations

import argparse
from pathlib import Path

from volplane.faces.cli import options, output, store_options

EXAMPLE = "  volplane restore lessons-2026-05.sqlite"


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "put a backup or an export in the place of everything kept"
    parser = options.command(commands, "restore", run, about, EXAMPLE)
    parser.add_argument("file", help="what volplane backup or volplane export wrote")
    store_options.add_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Look the backup through, put aside what is there, put the backup in its place."""
    from volplane import bootstrap
    from volplane.faces.documents.store import counts_text, restored_document

    restored = bootstrap.restore_store(arguments.database, Path(arguments.file))
    if arguments.json:
        output.write_json(restored_document(restored))
        return 0
    lines = [f"{restored.place} holds {counts_text(restored.counts)} again."]
    if restored.aside is not None:
        lines.append(f"What was there before is in {restored.aside}.")
    output.write(output.without_control("\n".join(lines)))
    return 0

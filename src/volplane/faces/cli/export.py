"""`volplane export`: everything kept, or what belongs to one person, as open files."""

from __future__ import annotations

import argparse
from pathlib import Path

from volplane.faces.cli import options, output, store_options

EXAMPLE = '  volplane export everything\n  volplane export for-mara --person "Mara Quist"'


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "write everything kept as open files: TOML, JSON and the recordings as they were sent"
    parser = options.command(commands, "export", run, about, EXAMPLE)
    parser.add_argument("folder", help="the folder to make; it must be new or empty")
    parser.add_argument(
        "--person", metavar="NAME", help="only what belongs to this person (name or initials), without private notes"
    )
    store_options.add_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write the folder, and say what is in it."""
    from volplane import bootstrap
    from volplane.faces.documents.store import counts_text, written_document

    written = bootstrap.export_store(arguments.database, Path(arguments.folder), arguments.person)
    if arguments.json:
        output.write_json(written_document("export", written))
    else:
        output.write(output.without_control(f"{written.path} holds {counts_text(written.counts)}."))
    return 0

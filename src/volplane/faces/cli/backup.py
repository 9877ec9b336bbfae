"""`volplane backup`: a whole copy of the store in one file, while others go on working."""

from __future__ import annotations

import argparse
from pathlib import Path

from volplane.faces.cli import options, output, store_options

EXAMPLE = "  volplane backup lessons-2026-05.sqlite"


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "write a whole copy of everything kept into one file"
    parser = options.command(commands, "backup", run, about, EXAMPLE)
    parser.add_argument("file", help="the file to write; a name that ends in .zip makes an archive of open files")
    store_options.add_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Copy, and say what is in the copy."""
    from volplane import bootstrap
    from volplane.faces.documents.store import counts_text, written_document

    output.refuse_destination(arguments.file, [bootstrap.store_place(arguments.database)])
    written = bootstrap.back_up_store(arguments.database, Path(arguments.file))
    if arguments.json:
        output.write_json(written_document("backup", written))
    else:
        said = f"{written.path} holds {counts_text(written.counts)}, as {written.place} did."
        output.write(output.without_control(said))
    return 0

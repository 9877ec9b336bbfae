"""`volplane airfields find` and `volplane airfields update`: the table of runway ends."""

from __future__ import annotations

import argparse
import datetime
import os
from pathlib import Path
from typing import TYPE_CHECKING

from volplane.faces.cli import options, output

if TYPE_CHECKING:
    from volplane.services.airfields import AirfieldsFound

EXAMPLE = "  volplane airfields find meadow\n  volplane airfields update airports.csv runways.csv"
FIND_EXAMPLE = "  volplane airfields find meadow\n  volplane airfields find ZZQM --write quill_meadow.toml"
UPDATE_EXAMPLE = "  volplane airfields update airports.csv runways.csv --dated 2026-11-01"
USUAL_LIMIT, LARGEST_LIMIT = 10, 1000


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command with its two parts."""
    about = "find an airfield in the table of runway ends, or bring the table up to date"
    parser = options.command(commands, "airfields", run_find, about, EXAMPLE, has_json=False)
    parts = parser.add_subparsers(title="what to do", metavar="PART", dest="part", required=True)
    about = "find airfields by code, name, place or parts of them, and write one as an airfield file"
    finder = options.command(parts, "find", run_find, about, FIND_EXAMPLE)
    finder.add_argument("text", nargs="+", help="a code, a name, or parts of a name or place")
    finder.add_argument(
        "--write", metavar="FILE.toml", type=options.file_ending(".toml"), help="write the airfield file, a new one"
    )
    finder.add_argument(
        "--limit",
        metavar="N",
        type=_limit,
        default=USUAL_LIMIT,
        help=f"show at most so many; {USUAL_LIMIT} if not given",
    )
    about = "make the table anew from raw tables that you have fetched yourself"
    updater = options.command(parts, "update", run_update, about, UPDATE_EXAMPLE)
    updater.add_argument("files", nargs="*", help="the tables of airports and of runways (CSV, or CSV packed as .gz)")
    updater.add_argument(
        "--dated", metavar="DAY", type=_day, help="the day the tables are of, as 2026-11-01; else that of the files"
    )
    updater.add_argument("--shipped", action="store_true", help="go back to the table that comes with Volplane")


def run_find(arguments: argparse.Namespace) -> int:
    """Search, write, print."""
    from volplane import bootstrap

    if arguments.write is not None:
        _refuse_existing(arguments.write)
    found = bootstrap.find_airfields(" ".join(arguments.text), arguments.limit)
    if arguments.write is not None:
        _write(arguments.write, found)
    if arguments.json:
        from volplane.faces.documents.airfields import airfields_document

        output.write_json(airfields_document(found, arguments.write))
        return 0
    from volplane.faces.cli.airfields_report import airfields_report

    output.write(airfields_report(found, arguments.write))
    return 0


def run_update(arguments: argparse.Namespace) -> int:
    """Make the table, or go back to the shipped one."""
    from volplane import bootstrap

    if arguments.shipped:
        return _go_back(arguments)
    if not arguments.files:
        arguments.wrong_usage("the tables of airports and of runways are missing")
    made = bootstrap.update_runway_table([Path(each) for each in arguments.files], arguments.dated)
    if arguments.json:
        from volplane.faces.documents.airfields import update_document

        output.write_json(update_document(made))
        return 0
    from volplane.faces.cli.airfields_report import update_report

    output.write(update_report(made))
    return 0


def _go_back(arguments: argparse.Namespace) -> int:
    from volplane import bootstrap
    from volplane.faces.documents.airfields import UPDATE_SCHEMA

    if arguments.files or arguments.dated is not None:
        arguments.wrong_usage("--shipped takes no tables and no day")
    was_own = bootstrap.forget_runway_table()
    if arguments.json:
        output.write_json({"schema": UPDATE_SCHEMA, "forgotten": was_own})
    else:
        said = "Your own table is gone" if was_own else "There was no table of your own"
        output.write(f"{said}; the one that comes with Volplane answers.")
    return 0


def _write(path: str, found: AirfieldsFound) -> None:
    from volplane import bootstrap
    from volplane.faces.documents.airfields import runway_notes

    the_one = found.the_one
    output.write_file(path, bootstrap.airfield_text(the_one, found.origin, runway_notes(the_one), path).encode())


def _refuse_existing(path: str) -> None:
    """See that a new file can be written here: what somebody filled in by hand is not written over.

    :raises FilesRefused: a file stands there, or none can.
    """
    output.refuse_destination(path)
    if os.path.lexists(path):
        from volplane.errors import FilesRefused, Problem

        remedy = "Give it another name, or move that file away."
        raise FilesRefused((Problem(path, "", "a file that is there", "a new file", remedy, "output-exists"),))


def _limit(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= LARGEST_LIMIT):
        raise argparse.ArgumentTypeError(f"{text!r} is no number from 1 to {LARGEST_LIMIT}")
    return int(text)


def _day(text: str) -> str:
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no day such as 2026-11-01") from None
    return day.isoformat()

"""`volplane demo`: the whole job once, on invented data."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from volplane.faces.cli import options, output
from volplane.faces.cli.serve import LOOPBACK, serve_house

EXAMPLE = """\
  volplane demo
  volplane demo --no-serve -o demo-files"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "show the whole job once on an invented airplane at an invented airfield, then serve the workbench"
    parser = options.command(commands, "demo", run, about, EXAMPLE)
    serving = parser.add_mutually_exclusive_group()
    serving.add_argument("--serve", action="store_true", help="serve the workbench afterwards, terminal or not")
    serving.add_argument("--no-serve", action="store_true", help="end after the demo")
    parser.add_argument(
        "-o", "--output", metavar="FOLDER", default="demo", help="where the files go (default: %(default)s)"
    )


def run(arguments: argparse.Namespace) -> int:
    """Do the whole job, print what came of it, serve if wanted."""
    from volplane import bootstrap
    from volplane.faces.cli.demo_run import debrief_text, demo_document, demo_report, run_demo

    options.wait_for_kernels()
    result = run_demo(arguments.output, output.progress())
    if arguments.json:
        output.write_json(demo_document(result))
    else:
        output.write(demo_report(result))
    output.flush()
    if serves_afterwards(arguments):
        house = bootstrap.demo_house(Path(arguments.output), debrief_text)
        serve_house(arguments.serve_workbench, LOOPBACK, None, house)
    return 0


def serves_afterwards(arguments: argparse.Namespace) -> bool:
    """Whether the workbench is served: as asked, otherwise where somebody sits at a terminal."""
    if arguments.serve or arguments.no_serve or arguments.json:
        return bool(arguments.serve)
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))

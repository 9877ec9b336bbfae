"""`volplane plan`: the exercise of a file, solved."""

from __future__ import annotations

import argparse
from pathlib import Path

from volplane.faces.cli import options, output

EXAMPLE = """\
  volplane plan exercise.toml
  volplane plan exercise.toml --json
  volplane plan exercise.toml --export whiteboard.svg"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "plan an exercise: gates with their windows, phases, where the height goes, what to know"
    parser = options.command(commands, "plan", run, about, EXAMPLE)
    parser.add_argument("exercise", help="the exercise file")
    parser.add_argument(
        "--export", metavar="FILE.svg", type=options.file_ending(".svg"), help="write the whiteboard of the plan"
    )


def run(arguments: argparse.Namespace) -> int:
    """Plan and print."""
    from volplane import bootstrap

    if arguments.export is not None:
        output.refuse_destination(arguments.export, [arguments.exercise])
    exercise = bootstrap.load_exercise(Path(arguments.exercise))
    options.wait_for_kernels()
    plan = bootstrap.plan_exercise(exercise)
    if arguments.export is not None:
        from volplane.faces.cli.whiteboard_file import whiteboard_file

        output.write_file(arguments.export, whiteboard_file(plan).encode())
    if arguments.json:
        from volplane.faces.documents.plan import plan_document

        output.write_json(plan_document(plan))
        return 0
    from volplane.faces.cli.plan_report import plan_report

    output.write(plan_report(plan))
    return 0

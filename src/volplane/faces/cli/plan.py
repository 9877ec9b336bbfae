"""`volplane plan`: the exercise of a file, solved."""

from __future__ import annotations

import argparse
from pathlib import Path

from volplane.faces.cli import options, output

EXPORTS = (".svg", ".kml", ".gpx", ".geojson", ".csv")
EXAMPLE = """\
  volplane plan exercise.toml
  volplane plan exercise.toml --json
  volplane plan exercise.toml --export whiteboard.svg
  volplane plan exercise.toml --export exercise.kml
  volplane plan exercise.toml --compare
  volplane plan exercise.toml --runs 10000 --seed 7"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "plan an exercise: gates with their windows, phases, where the height goes, what to know"
    parser = options.command(commands, "plan", run, about, EXAMPLE)
    parser.add_argument("exercise", help="the exercise file")
    parser.add_argument(
        "--export",
        metavar="FILE",
        type=options.file_ending(*EXPORTS),
        help="write the plan as a file: whiteboard .svg; path and gates .kml, .gpx, .geojson, .csv",
    )
    parser.add_argument(
        "--compare", action="store_true", help="plan every runway and both sides too, and recommend one"
    )
    options.add_dispersion_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Plan and print."""
    from volplane import bootstrap

    if arguments.export is not None:
        output.refuse_destination(arguments.export, [arguments.exercise])
    exercise = bootstrap.load_exercise(Path(arguments.exercise))
    options.wait_for_kernels()
    if arguments.runs is None:
        plan = bootstrap.plan_exercise(exercise)
    else:
        plan = bootstrap.plan_dispersed(exercise, arguments.runs, arguments.seed)
    if arguments.compare:
        plan = bootstrap.with_comparison(plan)
    plan = bootstrap.with_ways(plan)
    if arguments.export is not None:
        from volplane.faces.report.exports import exported

        output.write_file(arguments.export, exported(plan, Path(arguments.export).suffix.lower()))
    if arguments.json:
        from volplane.faces.documents.plan import plan_document

        output.write_json(plan_document(plan))
        return 0
    from volplane.faces.cli.plan_report import plan_report

    output.write(plan_report(plan))
    return 0

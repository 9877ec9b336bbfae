"""`volplane measure`: the airplane's real glide, from partial glides in recordings or in a table of points."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING

from volplane.faces.cli import options, output

if TYPE_CHECKING:
    from volplane.domain.airplane.airplane import Airplane
    from volplane.domain.airplane.measured_glide import MeasuredGlide
    from volplane.errors import Problem
    from volplane.services.measuring import DayOfMeasuring, GlideWindow

EXAMPLE = """\
  volplane measure points.csv --airplane dunlin_tourer.toml
  volplane measure morning.csv --airplane dunlin_tourer.toml --weight "3350 lb" -o measured.toml
  volplane measure phone.gpx --airplane dunlin_tourer.toml --window "09:02:10-09:04:00 95 kt" """.rstrip()

_WINDOW = re.compile(r"(\d{1,2}):(\d\d)(?::(\d\d))?Z?\s*-\s*(\d{1,2}):(\d\d)(?::(\d\d))?Z?(?:\s+(.*))?", re.ASCII)


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "measure the glide: best speed, ratio and sink with their uncertainty, from partial glides"
    parser = options.command(commands, "measure", run, about, EXAMPLE)
    parser.add_argument("source", nargs="+", help="recordings, or tables of points (CSV)")
    parser.add_argument("--airplane", metavar="FILE", required=True, help="the airplane file")
    parser.add_argument(
        "-o",
        "--output",
        metavar="NEW.toml",
        type=options.file_ending(".toml"),
        help="write the airplane file with the measured glide in it; a file that stands there is kept as NEW.toml.bak",
    )
    parser.add_argument(
        "--weight", metavar="WEIGHT", help='the weight in the recordings, as "3350 lb"; else the maximum'
    )
    parser.add_argument(
        "--temperature", metavar="TEMPERATURE", help="the air at the height of the glides, where it was not recorded"
    )
    parser.add_argument("--qnh", metavar="SETTING", help='the altimeter setting of the recordings, as "30.05 inHg"')
    parser.add_argument(
        "--configuration", metavar="NAME", help='the configuration flown in the recordings; else "clean"'
    )
    parser.add_argument(
        "--window",
        metavar='"FROM-TO [SPEED]"',
        action="append",
        default=[],
        help="a glide in a recording by its times of day UTC, with the indicated speed where none was recorded; "
        "may be given again; without any, steady glides are found",
    )
    parser.add_argument(
        "--use-handbook", action="store_true", help="let the glide of the airplane file weigh in, each drag to 15 %%"
    )


def run(arguments: argparse.Namespace) -> int:
    """Measure, write, print."""
    from volplane import bootstrap

    airplane = bootstrap.load_airplane(Path(arguments.airplane))
    day = _day(arguments, airplane)
    if arguments.output is not None:
        from volplane.faces.cli.airplane_file import refuse_airplane_destination

        refuse_airplane_destination(arguments.output, arguments.source)
    measured = _measured(arguments, airplane, day)
    kept = _written(arguments, airplane, measured) if arguments.output is not None else None
    if arguments.json:
        from volplane.faces.documents.measure import measure_document

        output.write_json(measure_document(measured, airplane=airplane.name, written=arguments.output, kept=kept))
        return 0
    from volplane.faces.cli.measure_report import measure_report

    output.write(measure_report(measured, airplane, written=arguments.output, kept=kept))
    return 0


def _measured(arguments: argparse.Namespace, airplane: Airplane, day: DayOfMeasuring) -> MeasuredGlide:
    from volplane import bootstrap

    sources = [Path(each) for each in arguments.source]
    return bootstrap.measure_glide(airplane, sources, day, trusts_handbook=arguments.use_handbook)


def _written(arguments: argparse.Namespace, airplane: Airplane, measured: MeasuredGlide) -> str | None:
    from volplane.faces.cli.airplane_file import write_changed_airplane
    from volplane.services.measuring import changes_of

    return write_changed_airplane(arguments.output, arguments.airplane, changes_of(airplane, measured))


def _day(arguments: argparse.Namespace, airplane: Airplane) -> DayOfMeasuring:
    """What the command line says of the day. :raises FilesRefused: with a problem for each that cannot be used."""
    from volplane.errors import FilesRefused, Problem
    from volplane.services.measuring import LEAST_WEIGHT_FRACTION, DayOfMeasuring
    from volplane.services.quantities import PRESSURE, TEMPERATURE, WEIGHT, write_quantity

    typed = options.TypedQuantities()
    weight_kg = typed.quantity_si("--weight", arguments.weight, WEIGHT)
    temperature_k = typed.quantity_si("--temperature", arguments.temperature, TEMPERATURE)
    qnh_pa = typed.quantity_si("--qnh", arguments.qnh, PRESSURE)
    typed.refuse_bad_ones()
    problems = []
    maximum_kg = airplane.maximum_weight_kg
    if weight_kg is not None and not LEAST_WEIGHT_FRACTION * maximum_kg <= weight_kg <= maximum_kg * (1.0 + 1e-6):
        limits = f"{write_quantity(LEAST_WEIGHT_FRACTION * maximum_kg, WEIGHT)} to {write_quantity(maximum_kg, WEIGHT)}"
        remedy = "Check the weight and its unit."
        problems.append(_problem("--weight", f'"{arguments.weight}"', limits, remedy, "weight-outside-limits"))
    configuration = arguments.configuration or "clean"
    known = [each.name for each in airplane.configurations]
    if configuration not in known:
        expected = " or ".join(f'"{name}"' for name in known)
        remedy = "Name one of them, or add it to the airplane file."
        problems.append(_problem("--configuration", f'"{configuration}"', expected, remedy, "no-configuration"))
    windows = [_window(text) for text in arguments.window]
    problems += [each for each in windows if isinstance(each, Problem)]
    if problems:
        raise FilesRefused(tuple(problems))
    return DayOfMeasuring(
        weight_kg=maximum_kg if weight_kg is None else weight_kg,
        air_temperature_k=temperature_k,
        qnh_pa=qnh_pa,
        configuration=configuration,
        is_weight_assumed=weight_kg is None,
        windows=tuple(each for each in windows if not isinstance(each, Problem)),
    )


def _window(text: str) -> GlideWindow | Problem:
    """A window as typed: "09:02:10-09:04:00 95 kt"."""
    from volplane.services.measuring import GlideWindow
    from volplane.services.quantities import SPEED, QuantityNotUnderstood, read_quantity

    match = _WINDOW.fullmatch(text.strip())
    times = [] if match is None else [int(part or 0) for part in match.groups()[:6]]
    if match is None or max(times[0], times[3]) > 23 or max(times[1], times[2], times[4], times[5]) > 59:
        expected = "times of day UTC, as in 09:02:10-09:04:00, and a speed where none was recorded"
        remedy = "Write from and to with a hyphen between, then the speed with its unit."
        return _problem("--window", f'"{text}"', expected, remedy, "window-not-understood")
    start_s, end_s = (3600.0 * h + 60.0 * m + s for h, m, s in (times[:3], times[3:]))
    try:
        return GlideWindow(start_s, end_s, read_quantity(match[7], SPEED) if match[7] else None)
    except QuantityNotUnderstood as bad:
        return _problem("--window", bad.found, bad.expected, bad.remedy, f"quantity-{bad.cause}")


def _problem(option: str, found: str, expected: str, remedy: str, code: str) -> Problem:
    from volplane.errors import Problem

    return Problem(options.COMMAND_LINE, option, found, expected, remedy, code)

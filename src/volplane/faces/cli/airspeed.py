"""`volplane airspeed`: what the airspeed dial is off by, and the wind, from straight legs measured over the ground."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from volplane.faces.cli import options, output

if TYPE_CHECKING:
    from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration
    from volplane.services.calibrating import DayOfLegs

EXAMPLE = """\
  volplane airspeed legs.csv --altitude "3000 ft" --temperature "12 degC"
  volplane airspeed morning.csv --airplane dunlin_tourer.toml -o calibrated.toml"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "calibrate the airspeed and find the wind from straight legs in several directions"
    parser = options.command(commands, "airspeed", run, about, EXAMPLE)
    parser.add_argument("source", help="a recording, or a table of legs (CSV)")
    parser.add_argument("--airplane", metavar="FILE", help="the airplane file the calibration belongs to")
    parser.add_argument(
        "-o",
        "--output",
        metavar="NEW.toml",
        type=options.file_ending(".toml"),
        help="write the airplane file with the calibration in it; a file that stands there is kept as NEW.toml.bak",
    )
    parser.add_argument("--altitude", metavar="HEIGHT", help='the pressure altitude of the legs, as "3000 ft"')
    parser.add_argument("--temperature", metavar="TEMPERATURE", help='the air outside, as "12 degC"')
    parser.add_argument("--qnh", metavar="SETTING", help='the altimeter setting of a recording, as "30.05 inHg"')
    parser.add_argument("--speed", metavar="SPEED", help='the one speed of a recording without airspeed, as "100 kt"')


def run(arguments: argparse.Namespace) -> int:
    """Calibrate, write, print."""
    if arguments.output is not None and arguments.airplane is None:
        arguments.wrong_usage("-o writes an airplane file: --airplane is missing")
    if arguments.output is not None:
        from volplane.faces.cli.airplane_file import refuse_airplane_destination

        refuse_airplane_destination(arguments.output, [arguments.source])
    day = _day(arguments)
    airplane = _airplane_name(arguments.airplane)
    calibration = _calibration(arguments.source, day)
    kept = None
    if arguments.output is not None:
        kept = _written(arguments, calibration)
    if arguments.json:
        from volplane.faces.documents.airspeed import airspeed_document

        output.write_json(
            airspeed_document(
                calibration, source=arguments.source, airplane=airplane, written=arguments.output, kept=kept
            )
        )
        return 0
    from volplane.faces.cli.airspeed_report import airspeed_report

    output.write(airspeed_report(calibration, airplane=airplane, written=arguments.output, kept=kept))
    return 0


def _day(arguments: argparse.Namespace) -> DayOfLegs:
    from volplane.services.calibrating import DayOfLegs
    from volplane.services.quantities import HEIGHT, PRESSURE, SPEED, TEMPERATURE

    typed = options.TypedQuantities()
    altitude_m = typed.quantity_si("--altitude", arguments.altitude, HEIGHT)
    temperature_k = typed.quantity_si("--temperature", arguments.temperature, TEMPERATURE)
    qnh_pa = typed.quantity_si("--qnh", arguments.qnh, PRESSURE)
    ias_mps = typed.quantity_si("--speed", arguments.speed, SPEED)
    typed.refuse_bad_ones()
    return DayOfLegs(altitude_m, temperature_k, qnh_pa, ias_mps)


def _airplane_name(path: str | None) -> str | None:
    from volplane import bootstrap

    return None if path is None else bootstrap.load_airplane(Path(path)).name


def _calibration(source: str, day: DayOfLegs) -> AirspeedCalibration:
    from dataclasses import replace

    from volplane import bootstrap
    from volplane.errors import FilesRefused, Refusal
    from volplane.faces.documents.problems import problems_of

    try:
        return bootstrap.calibrate_airspeed(Path(source), day)
    except FilesRefused as refusal:
        name = Path(source).name
        raise FilesRefused(
            tuple(replace(each, file=source) if each.file == name else each for each in refusal.problems)
        ) from None
    except Refusal as refusal:
        raise FilesRefused(tuple(replace(each, file=source) for each in problems_of(refusal))) from refusal


def _written(arguments: argparse.Namespace, calibration: AirspeedCalibration) -> str | None:
    from volplane.faces.cli.airplane_file import write_changed_airplane
    from volplane.services.calibrating import changes_of

    return write_changed_airplane(arguments.output, arguments.airplane, changes_of(calibration))

"""`volplane standin`: which manifold pressure stands in for the dead engine, and where it lies."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from volplane.faces.cli import options, output

if TYPE_CHECKING:
    from volplane.services.standing_in import StandInAnswer, StandInWishes

EXAMPLE = """\
  volplane standin --airplane dunlin_tourer.toml
  volplane standin --airplane dunlin_tourer.toml --points points.csv --height "2500 ft" -o measured.toml"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "find the stand-in setting, its manifold pressure by height, and where it is not honest"
    parser = options.command(commands, "standin", run, about, EXAMPLE)
    parser.add_argument("--airplane", metavar="FILE", required=True, help="the airplane file")
    parser.add_argument("--points", metavar="FILE", help="a table of powered descents (CSV); the model without one")
    parser.add_argument("--height", metavar="HEIGHT", help='altitude of the setting above the sea, as "2500 ft"')
    parser.add_argument("--temperature", metavar="TEMPERATURE", help='the air there, as "12 degC"')
    parser.add_argument("--weight", metavar="WEIGHT", help='the weight flown at, as "3350 lb"')
    parser.add_argument("--configuration", metavar="NAME", help="the configuration to stand in with")
    parser.add_argument("--rpm", metavar="RPM", help='the governed engine speed, as "2300 rpm"')
    parser.add_argument(
        "-o",
        "--output",
        metavar="NEW.toml",
        type=options.file_ending(".toml"),
        help="write the airplane file with the setting in it; a file that stands there is kept as NEW.toml.bak",
    )


def run(arguments: argparse.Namespace) -> int:
    """Match, write, print."""
    from volplane import bootstrap

    wishes = _wishes(arguments)
    if arguments.output is not None:
        from volplane.faces.cli.airplane_file import refuse_airplane_destination

        refuse_airplane_destination(arguments.output, [arguments.points])
    points = None if arguments.points is None else Path(arguments.points)
    options.wait_for_kernels()
    answer = bootstrap.stand_in(Path(arguments.airplane), points, wishes)
    kept = None if arguments.output is None else _written(arguments, answer)
    if arguments.json:
        from volplane.faces.documents.standin import standin_document

        output.write_json(standin_document(answer, written=arguments.output, kept=kept))
        return 0
    from volplane.faces.cli.standin_report import standin_report

    output.write(standin_report(answer, written=arguments.output, kept=kept))
    return 0


def _wishes(arguments: argparse.Namespace) -> StandInWishes:
    from volplane.services.quantities import ENGINE_SPEED, HEIGHT, TEMPERATURE, WEIGHT
    from volplane.services.standing_in import StandInWishes

    typed = options.TypedQuantities()
    altitude_m = typed.quantity_si("--height", arguments.height, HEIGHT)
    temperature_k = typed.quantity_si("--temperature", arguments.temperature, TEMPERATURE)
    weight_kg = typed.quantity_si("--weight", arguments.weight, WEIGHT)
    engine_speed_radps = typed.quantity_si("--rpm", arguments.rpm, ENGINE_SPEED)
    typed.refuse_bad_ones()
    _refuse_odd_height(altitude_m)
    wishes = StandInWishes(
        temperature_k=temperature_k,
        weight_kg=weight_kg,
        configuration=arguments.configuration,
        engine_speed_radps=engine_speed_radps,
    )
    if altitude_m is None:
        return wishes
    from dataclasses import replace

    return replace(wishes, altitude_msl_m=altitude_m)


def _refuse_odd_height(altitude_m: float | None) -> None:
    """An exercise is flown over a field, and fields lie between these."""
    from volplane.errors import FilesRefused, Problem
    from volplane.services.quantities import HEIGHT, write_quantity
    from volplane.services.standing_in import HIGHEST_SETTING_M, LOWEST_SETTING_M

    if altitude_m is None or LOWEST_SETTING_M <= altitude_m <= HIGHEST_SETTING_M:
        return
    found, least, most = (write_quantity(each, HEIGHT) for each in (altitude_m, LOWEST_SETTING_M, HIGHEST_SETTING_M))
    remedy = "Check the altitude above the sea at which the throttle is set."
    raise FilesRefused(
        (Problem(options.COMMAND_LINE, "--height", found, f"{least} to {most}", remedy, "out-of-range"),)
    )


def _written(arguments: argparse.Namespace, answer: StandInAnswer) -> str | None:
    from volplane.faces.cli.airplane_file import write_changed_airplane
    from volplane.services.airplane_changes import AirplaneChanges

    measured = answer.measured_configuration()
    changes = AirplaneChanges(stand_in=answer.stand_in(), configurations=() if measured is None else (measured,))
    return write_changed_airplane(arguments.output, arguments.airplane, changes)

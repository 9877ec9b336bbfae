"""What a debrief is told on the command line: the exercise, and what was different on the day of the flight.

Quantities are read like those of files and held to the same limits; every refusal names its option or file.
"""

from __future__ import annotations

import argparse
import dataclasses
from pathlib import Path

from volplane import bootstrap
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise
from volplane.errors import FilesRefused, Problem, Refusal
from volplane.faces.cli.options import COMMAND_LINE, TypedQuantities
from volplane.faces.documents.problems import problems_of
from volplane.faces.documents.wording import IMPERIAL
from volplane.services.quantities import PRESSURE, WEIGHT, write_quantity

# below this part of its maximum a weight is a slip of the pen, as in an exercise file
LEAST_WEIGHT_FRACTION = 0.4


@dataclasses.dataclass(frozen=True, slots=True)
class FlightOptions:
    """The day of the flight; None is as the exercise says, and for the wind: found from the flight.

    `wind_from_rad` is true.
    """

    qnh_pa: float | None
    weight_kg: float | None
    wind_from_rad: float | None
    wind_mps: float | None

    @property
    def wind(self) -> WindProfile | None:
        """The known wind, the same at every height."""
        if self.wind_from_rad is None or self.wind_mps is None:
            return None
        return WindProfile.uniform(self.wind_from_rad, self.wind_mps)


def flight_options(arguments: argparse.Namespace) -> FlightOptions:
    """The options of the command line in SI. :raises FilesRefused: with a problem for each that cannot be read."""
    typed = TypedQuantities()
    qnh_pa = typed.quantity_si("--qnh", arguments.qnh, PRESSURE)
    weight_kg = typed.quantity_si("--weight", arguments.weight, WEIGHT)
    wind = typed.wind("--wind", arguments.wind)
    typed.refuse_bad_ones()
    from_rad, wind_mps = (None, None) if wind is None else wind
    return FlightOptions(qnh_pa, weight_kg, from_rad, wind_mps)


def exercise_asked_for(arguments: argparse.Namespace) -> Exercise:
    """The exercise of a file, or the one with every default for the airplane, airfield and runway named."""
    if arguments.exercise is not None:
        return bootstrap.load_exercise(Path(arguments.exercise))
    try:
        return bootstrap.default_exercise(Path(arguments.airplane), Path(arguments.airfield), arguments.runway)
    except FilesRefused as refusal:
        # no file holds the runway: what is wrong with it was typed here
        files = (arguments.airplane, arguments.airfield)
        raise FilesRefused(
            tuple(
                each if each.file in files else dataclasses.replace(each, file=COMMAND_LINE, place="--runway")
                for each in refusal.problems
            )
        ) from None


def on_the_day(exercise: Exercise, options: FlightOptions, typed_weight: str | None) -> Exercise:
    """The exercise at the weight flown. :raises FilesRefused: the weight or the wind is beyond the airplane."""
    weight_kg = exercise.weight_kg if options.weight_kg is None else options.weight_kg
    maximum_kg = exercise.airplane.maximum_weight_kg
    least_kg = LEAST_WEIGHT_FRACTION * maximum_kg
    if not least_kg <= weight_kg <= maximum_kg * (1.0 + 1e-9):
        what = "above the maximum" if weight_kg > maximum_kg else "less than the airplane itself weighs"
        limits = f"{write_quantity(least_kg, WEIGHT)} to {write_quantity(maximum_kg, WEIGHT)}"
        raise _refused(
            "--weight",
            f'"{typed_weight}", {what}',
            f"{limits} for the {exercise.airplane.name}",
            "Check the weight and its unit.",
            "weight-outside-limits",
        )
    best_mps = exercise.airplane.glide.at_weight(weight_kg).best_eas_mps
    if options.wind_mps is not None and options.wind_mps >= best_mps:
        raise _refused(
            "--wind",
            f"a wind of {IMPERIAL.speed.text(options.wind_mps)}",
            f"less than the best glide speed, {IMPERIAL.speed.text(best_mps)}",
            "Check the wind and its unit; in such a wind no glide comes back.",
            "wind-not-below-airspeed",
        )
    if options.weight_kg is None:
        return exercise
    return dataclasses.replace(exercise, weight_kg=weight_kg, stated=exercise.stated | {"weight"})


def naming_its_place(refusal: Refusal, recording: str) -> Refusal:
    """The refusal with the recording as it was named, or the option that is to blame."""
    if isinstance(refusal, FilesRefused):
        problems = refusal.problems
    elif refusal.code.startswith("recording-"):
        problems = tuple(dataclasses.replace(each, file=recording) for each in problems_of(refusal))
    elif refusal.code == "pressure-not-sensible":
        return FilesRefused(
            tuple(dataclasses.replace(each, file=COMMAND_LINE, place="--qnh") for each in problems_of(refusal))
        )
    else:
        return refusal
    return FilesRefused(
        tuple(
            dataclasses.replace(each, file=recording) if each.file == Path(recording).name else each
            for each in problems
        )
    )


def _refused(option: str, found: str, expected: str, remedy: str, code: str) -> FilesRefused:
    return FilesRefused((Problem(COMMAND_LINE, option, found, expected, remedy, code),))

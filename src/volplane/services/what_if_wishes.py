"""What somebody wishes to have done otherwise from a second of a flight on, as typed into a form."""

from __future__ import annotations

import math
from collections.abc import Mapping

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.mending import dragging
from volplane.domain.debrief.results import Attempt
from volplane.domain.debrief.what_if import Actions, eas_of_ias_mps
from volplane.domain.exercise.plan import Plan
from volplane.domain.glide.configuration import Configuration
from volplane.errors import FilesRefused, Problem
from volplane.services.quantities import (
    ANGLE,
    SPEED,
    TIME_SPAN,
    Kind,
    QuantityNotUnderstood,
    quoted,
    read_quantity,
    read_wind,
)

TURN, CONFIGURATION, IAS, BANK, WIND = "turn", "configuration", "speed", "bank", "wind"
WISHES = (TURN, CONFIGURATION, IAS, BANK, WIND)
NOW = "now"
_STEEPEST_RAD = math.radians(60.0)
# slower or faster than this no airplane of this kind glides; ours
_SPEEDS_MPS = (20.0, 150.0)


def drag_of(plan: Plan) -> tuple[Configuration, ...]:
    """The configurations of the airplane that can be hung out with a dead engine."""
    return tuple(dragging(plan.exercise.airplane.configurations))


def actions_of(attempt: Attempt, typed: Mapping[str, str]) -> Actions:
    """The actions of typed wishes by their keys (`WISHES`); what is empty stays as the exercise has it.

    :raises FilesRefused: one problem for each wish that cannot be read.
    """
    problems: list[Problem] = []
    wishes = {key: typed.get(key, "").strip() for key in WISHES}
    ias = _quantity(wishes, IAS, SPEED, problems, _SPEEDS_MPS)
    bank = _quantity(wishes, BANK, ANGLE, problems, (math.radians(1.0), _STEEPEST_RAD))
    turn = 0.0 if wishes[TURN] == NOW else _quantity(wishes, TURN, TIME_SPAN, problems, (0.0, 600.0))
    configuration = _configuration(attempt.plan, wishes[CONFIGURATION], problems)
    wind = _wind(wishes[WIND], problems)
    if problems:
        raise FilesRefused(tuple(problems))
    eas = None if ias is None else eas_of_ias_mps(attempt.plan, ias)
    return Actions(turn, eas, bank, configuration, wind)


def _quantity(
    wishes: Mapping[str, str], key: str, kind: Kind, problems: list[Problem], bounds: tuple[float, float]
) -> float | None:
    if not wishes[key]:
        return None
    try:
        value = read_quantity(wishes[key], kind)
    except QuantityNotUnderstood as fault:
        problems.append(_problem(key, fault.found, fault.expected, fault.remedy))
        return None
    if not bounds[0] <= value <= bounds[1]:
        remedy = "Write a value that can be flown, or leave it empty."
        problems.append(_problem(key, quoted(wishes[key]), "a value that can be flown", remedy))
    return value


def _configuration(plan: Plan, name: str, problems: list[Problem]) -> Configuration | None:
    if not name:
        return None
    found = next((each for each in drag_of(plan) if each.name == name), None)
    if found is None:
        known = ", ".join(each.name for each in drag_of(plan)) or "none is in its file"
        problems.append(
            _problem(CONFIGURATION, quoted(name), f"a configuration of the airplane ({known})", "Choose one.")
        )
    return found


def _wind(text: str, problems: list[Problem]) -> WindProfile | None:
    if not text:
        return None
    try:
        from_true, speed = read_wind(text)
    except QuantityNotUnderstood as fault:
        problems.append(_problem(WIND, fault.found, fault.expected, fault.remedy))
        return None
    return WindProfile.uniform(from_true, speed)


def _problem(key: str, found: str, expected: str, remedy: str) -> Problem:
    return Problem("what if", key, found, expected, remedy, "wish-not-understood")

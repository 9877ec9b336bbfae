"""A plan over the earth: its path, gates and touchdown point as positions and altitudes, and what is said with them.

Altitudes are true altitudes above mean sea level: the height above the touchdown point on top of the ground, or of the
practice floor that plays it. What an altimeter reads there stands in the words of each gate.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from volplane import units as si
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.domain.exercise.plan import Plan, PlannedGate
from volplane.domain.finding import Severity
from volplane.faces.documents import plan_words, wording
from volplane.faces.documents.plan import plan_document
from volplane.faces.documents.wording import Units


@dataclass(frozen=True, slots=True)
class Place:
    """A position on the WGS 84 ellipsoid and a true altitude above mean sea level."""

    latitude_deg: float
    longitude_deg: float
    altitude_msl_m: float


@dataclass(frozen=True, slots=True)
class Gate:
    """A gate by name, where it lies, and what is said of it."""

    name: str
    place: Place
    words: str


@dataclass(frozen=True, slots=True)
class Route:
    """A plan over the earth. `path_rows` and `gate_rows` are those of `volplane/plan/1`, in trade units."""

    name: str
    description: str
    path: tuple[Place, ...]
    gates: tuple[Gate, ...]
    touchdown: Place
    path_rows: tuple[dict[str, Any], ...]
    gate_rows: tuple[dict[str, Any], ...]


def planned_route(plan: Plan, units: Units) -> Route:
    """The plan over the earth, a position about every second."""
    exercise, document = plan.exercise, plan_document(plan, units)
    frame, ground_msl_m = frame_of(exercise), exercise.ground_msl_m

    def place(row: dict[str, Any]) -> Place:
        x_m, y_m = si.m_from_ft(row["x_ft"]), si.m_from_ft(row["y_ft"])
        return Place(*frame.latitude_longitude_deg(x_m, y_m), ground_msl_m + si.m_from_ft(row["height_ft"]))

    gates = tuple(
        Gate(
            wording.sentence_case(gate.name),
            Place(gate.latitude_deg, gate.longitude_deg, ground_msl_m + gate.height_m),
            gate_words(gate, units),
        )
        for gate in plan.gates
    )
    return Route(
        name=f"{exercise.airfield.name}, runway {exercise.runway.name}, {exercise.pattern} pattern",
        description=description(plan, units),
        path=tuple(place(row) for row in document["path"]),
        gates=gates,
        touchdown=Place(*frame.latitude_longitude_deg(0.0, 0.0), ground_msl_m),
        path_rows=tuple(document["path"]),
        gate_rows=tuple(document["gates"]),
    )


def gate_words(gate: PlannedGate, units: Units) -> str:
    """What a gate's mark says: the altimeter's reading and its window, the height, the speed."""
    window = ""
    if math.isfinite(gate.altimeter_lowest_msl_m) and gate.altimeter_highest_msl_m >= gate.altimeter_lowest_msl_m:
        lowest = units.altimeter(gate.altimeter_lowest_msl_m, "up")
        highest = units.altimeter(gate.altimeter_highest_msl_m, "down")
        window = f", lowest {lowest}, highest {highest}"
    return (
        f"Altimeter {units.altimeter_text(gate.altimeter_msl_m)}{window}. "
        f"{units.height.text(gate.height_m)} above the touchdown point, {units.speed.text(gate.ias_mps)} indicated."
    )


def description(plan: Plan, units: Units) -> str:
    """What the file holds, what it was planned for, whether it may be flown, and the cautions."""
    exercise = plan.exercise
    facts = (
        f"Planned practice glide of {exercise.airplane.name} at {units.weight.text(exercise.weight_kg)}, "
        f"{wording.utc_date(exercise.time_unix_s)}, {wording.utc_clock(exercise.time_unix_s)} UTC, altimeter setting "
        f"{units.altimeter_setting.text(exercise.weather.atmosphere.qnh_pa)}. Altitudes are true, above mean sea level."
    )
    return " ".join((*_not_to_be_flown(plan, units), facts, *wording.CAUTION_LINES))


def _not_to_be_flown(plan: Plan, units: Units) -> tuple[str, ...]:
    """For a plan nobody should fly: that, and why."""
    stops = [plan_words.finding_text(each, units) for each in plan.findings if each.severity is Severity.STOP]
    if not stops and plan.binding is not None:
        stops = [plan_words.binding_text(plan.binding, units)]
    return ("Not to be flown.", *stops) if stops or not plan.feasible else ()

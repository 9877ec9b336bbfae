"""What the instructor sheet says, as plain data for the typesetter: parts of tables and lines, in order of use.

Here decimals and percentages may stand: the sheet is read on the ground. Directions of the head are magnetic, as on the
card; heights are above the touchdown point, altimeter readings say so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.hand_alter import Alteration
from volplane.domain.exercise.plan import Plan, PlannedGate
from volplane.domain.finding import Severity
from volplane.faces.documents import plan_words, wording
from volplane.faces.documents.dispersion import dispersion_sentences, outcome_entries
from volplane.faces.documents.plan import plan_document
from volplane.faces.documents.wording import Units
from volplane.faces.report.alter_words import alter_data
from volplane.faces.report.card_words import TOUCHDOWN_ZONE_M, magnetic_head, place_words
from volplane.faces.report.honesty_words import honesty_part
from volplane.faces.report.parts import Part, entries, table
from volplane.services.standing_in import StandInAnswer
from volplane.units import FOOT_M, m_from_ft

_WINGS_LEVEL_M = m_from_ft(300.0)


def sheet_data(
    plan: Plan,
    reason: str | None,
    trainee: str | None,
    units: Units,
    altered: Sequence[Alteration],
    stand_in: StandInAnswer | None,
) -> dict[str, Any]:
    """Every text of the sheet."""
    document = plan_document(plan, units)
    parts = [
        windows(plan, units),
        phases(document, plan, units),
        findings(document, reason),
        break_off(plan, units),
        ledger(plan, units),
        ways(document, units),
        no_oil_pressure(plan, units),
        honesty_part(plan, stand_in, units),
        hand_alter(plan, altered, units),
        comparison(document),
        dispersion(plan, units),
        estimated(plan),
    ]
    return magnetic_head(plan.exercise, units) | {
        "place": f"{place_words(plan.exercise, trainee, units)}. {air_words(plan, units)}",
        "parts": [part.data() for part in parts if part is not None],
        "caution": list(wording.CAUTION_LINES),
    }


def air_words(plan: Plan, units: Units) -> str:
    """The temperature, and what the glide is today."""
    exercise = plan.exercise
    glide = exercise.airplane.glide.at_weight(exercise.weight_kg)
    temperature = units.temperature(exercise.weather.atmosphere.field_temperature_k)
    speed = units.speed.text(glide.best_eas_mps)
    return f"{temperature} at the field; best glide {speed}, {wording.ratio(glide.best_ratio)}."


def windows(plan: Plan, units: Units) -> Part:
    """Every gate with its window, and what is in hand above what a dead engine needs and below what can be lost."""
    height = units.height
    heads = ["Gate", "Altimeter", "lowest", "highest", "Height", "required", "in hand", "room"]
    heads += [f"Abeam, {units.distance.unit}", units.speed.unit, "Heading", "s"]
    rows = [
        [
            wording.sentence_case(gate.name),
            units.altimeter(gate.altimeter_msl_m),
            *_window(gate, units),
            height.figure(gate.height_m),
            height.figure(gate.required_m),
            _finite(gate.height_m - gate.required_m, units),
            _finite(gate.highest_m - gate.height_m, units),
            units.distance.figure(abs(gate.y_m)),
            units.speed.figure(gate.ias_mps),
            wording.direction(gate.heading_magnetic_rad),
            wording.figure(gate.time_s),
        ]
        for gate in plan.gates
    ]
    reserve = units.height.text(plan.exercise.reserve_m)
    note = (
        f"Heights in {height.unit} above the touchdown point; lowest holds the reserve of {reserve}, required not; "
        "room is up to the highest. Headings are magnetic, times from the first gate."
    )
    return table("Gates and their windows", heads, rows, wide=0, notes=(note,), is_whole=True)


def _window(gate: PlannedGate, units: Units) -> tuple[str, str]:
    lowest_m, highest_m = gate.altimeter_lowest_msl_m, gate.altimeter_highest_msl_m
    if not (math.isfinite(lowest_m) and highest_m >= lowest_m):
        return wording.NOT_OBSERVABLE, wording.NOT_OBSERVABLE
    return units.altimeter(lowest_m, "up"), units.altimeter(highest_m, "down")


def _finite(height_m: float, units: Units) -> str:
    return units.height.figure(height_m if math.isfinite(height_m) else None)


def phases(document: dict[str, Any], plan: Plan, units: Units) -> Part:
    """The two columns of every phase."""
    zone = units.rounded_height(TOUCHDOWN_ZONE_M)
    rows = [
        [
            wording.sentence_case(said["name"]),
            units.speed.figure(phase.ias_mps),
            f"within {zone} past the point" if phase.real == "touchdown" else said["real"],
            said["flown"],
        ]
        for said, phase in zip(document["phases"], plan.phases, strict=True)
    ]
    heads = ["Phase", units.speed.unit, "Real: dead engine", "Flown: stand-in"]
    return table("How it is flown", heads, rows, words=(0, 2, 3), wide=3, is_whole=True)


def findings(document: dict[str, Any], reason: str | None) -> Part:
    """Every finding, and the instructor's reason for flying with cautions."""
    said = [(wording.sentence_case(each["severity"]), each["text"]) for each in document["findings"]]
    has_caution = any(each["severity"] == Severity.CAUTION.value for each in document["findings"])
    if has_caution and reason:
        said.append(("Reason", reason.strip()))
    return entries("Findings", said or [("", "Nothing stands out.")], is_whole=True)


def break_off(plan: Plan, units: Units) -> Part:
    """The rule at the break-off height."""
    rule = plan.break_off
    low, high = units.speed.figure(rule.ias_low_mps), units.speed.text(rule.ias_high_mps)
    return entries(
        f"Break off at altimeter {units.altimeter_text(rule.altimeter_msl_m, 'up')}",
        [],
        notes=(
            f"{units.height.text(rule.height_m)} above the touchdown point: inside the window, {low} to {high}, bank "
            f"{wording.angle(rule.bank_rad)} or less, aligned or in the planned last turn. Any no is a go-around now. "
            f"Wings level by {units.rounded_height(_WINGS_LEVEL_M)}; the instructor's call is final.",
        ),
    )


def ledger(plan: Plan, units: Units) -> Part:
    """Where the entry height goes."""
    entry_m = sum(item.height_m for item in plan.ledger)
    rows = [[plan_words.ledger_text(item, plan, units), units.height.figure(item.height_m)] for item in plan.ledger]
    rows.append(["altogether", units.height.figure(entry_m)])
    note = f"To spare from high to low key: {units.height.text(plan.surplus_m)}."
    return table("Where the height goes", ["", units.height.unit], rows, wide=0, notes=(note,), has_total=True)


def ways(document: dict[str, Any], units: Units) -> Part | None:
    """The ways to lose height per gate, as flown and for real; None where the plan has none."""
    found = document["ways_to_lose_height"]
    if not found:
        return None
    rows, before = [], None
    for each in found:
        gate = each["gate"]
        rows.append(
            [
                wording.sentence_case(gate) if gate != before else "",
                each["way"],
                *(_feet(each[key], units) for key in ("flown_ft", "real_ft")),
            ]
        )
        before = gate
    return table("Ways to lose height", ["From", "", "flown", "real"], rows, words=(0, 1), wide=1)


def _feet(height_ft: float | None, units: Units) -> str:
    return units.height.figure(None if height_ft is None else height_ft * FOOT_M)


def no_oil_pressure(plan: Plan, units: Units) -> Part | None:
    """The second line of the plan: the propeller in fine pitch."""
    fine = plan.fine_pitch
    if fine is None:
        return None
    heads = ["Fine from the", "Lowest altimeter", "required", "in hand"]
    rows = [
        [
            gate.name.value,
            units.altimeter(gate.altimeter_lowest_msl_m, "up"),
            units.height.figure(gate.required_m),
            units.height.figure(gate.in_hand_m),
        ]
        for gate in fine.gates
    ]
    estimate = " (estimate)" if fine.is_estimate else ""
    note = f"{units.height.text(fine.extra_to_touchdown_m)} lower by the touchdown point."
    if plan.gate(GateName.LOW_KEY) not in (None, plan.gates[0]):
        note = f"{units.height.text(fine.extra_to_low_key_m)} lower at the low key, {note.replace(' lower', '')}"
    return table(f"No oil pressure: propeller in fine pitch{estimate}", heads, rows, wide=0, notes=(note,))


def hand_alter(plan: Plan, altered: Sequence[Alteration], units: Units) -> Part | None:
    """The hand-alter table of the card."""
    if not altered:
        return None
    said = alter_data(plan, altered, units)
    missing = ["does not come out"] + [wording.NOT_OBSERVABLE] * len(said["heads"])
    rows = [[row["name"], *([*row["cells"], row["speed"]] if row["cells"] else missing)] for row in said["rows"]]
    heads = ["reading / lowest", *said["heads"], units.speed.unit]
    return table(f"If it changes, {units.height.unit}", heads, rows, wide=0)


def comparison(document: dict[str, Any]) -> Part | None:
    """All runways and sides, where a comparison was asked for."""
    found = document["comparison"]
    if not found:
        return None
    rows = [
        [
            f"{each['runway']} {each['pattern']}",
            "recommended" if each["recommended"] else "possible" if each["feasible"] else "not possible",
            each["reason"] or "",
        ]
        for each in found
    ]
    return table("Runways and sides compared", ["Runway", "", ""], rows, words=(0, 1, 2), wide=2, is_whole=True)


def dispersion(plan: Plan, units: Units) -> Part | None:
    """What became of many flights, where they were asked for."""
    if plan.dispersion is None:
        return None
    title = f"Flown {plan.dispersion.runs:,} times by a pilot who errs and corrects"
    rows = [list(each) for each in outcome_entries(plan.dispersion)]
    notes = tuple(dispersion_sentences(plan.dispersion, units))
    return table(title, ["", ""], rows, wide=0, notes=notes)


def estimated(plan: Plan) -> Part:
    """Which figures of the airplane nobody has measured."""
    names = [_estimate(each) for each in sorted(plan.exercise.airplane.estimates)]
    words = f"{wording.sentence_case('; '.join(names))}." if names else "None of the airplane's figures."
    return entries("Estimated, not measured", [], notes=(words,))


def _estimate(key: str) -> str:
    """A key of the airplane file in words: landing without power, approach speed."""
    room, _, name = key.partition(".")
    if room == "configuration":
        return f"drag of {name}"
    return ", ".join(filter(None, (room, name))).replace("_", " ").replace(".", ", ")

"""Ways to lose height as the document's `ways_to_lose_height`, and as rows of a table for every face."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from volplane.domain.exercise.plan import LegSpeed, WayFromGate
from volplane.faces.documents import wording
from volplane.faces.documents.quantities import ft, kt
from volplane.faces.documents.wording import Units

NOTE = "Each alone, beyond the plan; flown: in the stand-in, real: with a dead engine. They do not quite add up."


def ways_document(ways: Sequence[WayFromGate]) -> list[dict[str, Any]] | None:
    """The entries of `ways_to_lose_height`; None where they were not worked out."""
    if not ways:
        return None
    return [
        {
            "gate": each.gate.value,
            "way": each.way,
            "flown_ft": None if each.flown_m is None else ft(each.flown_m),
            "real_ft": None if each.real_m is None else ft(each.real_m),
            "flown_why_not": each.flown_why_not,
            "real_why_not": each.real_why_not,
        }
        for each in ways
    ]


def ways_rows(ways: Sequence[WayFromGate], units: Units) -> list[tuple[str, str, str, str]]:
    """The ways left at each gate: gate (once), way, height lost as flown and for real; an en dash where not offered."""
    rows: list[tuple[str, str, str, str]] = []
    before = None
    for each in ways:
        if each.flown_m is None and each.real_m is None:
            continue
        gate = wording.sentence_case(each.gate) if each.gate is not before else ""
        rows.append((gate, each.way, units.height.figure(each.flown_m), units.height.figure(each.real_m)))
        before = each.gate
    return rows


def not_offered_sentences(ways: Sequence[WayFromGate]) -> list[str]:
    """Why ways are not offered, one sentence a gate: those left in neither column, then those the stand-in lacks."""
    sentences = []
    for gate in dict.fromkeys(each.gate for each in ways):
        here = [each for each in ways if each.gate is gate]
        parts = [f"{each.way} ({_why(each)})" for each in here if each.flown_m is None or each.real_m is None]
        if parts:
            sentences.append(f"Not from the {gate}: {', '.join(parts)}.")
    return sentences


def leg_speeds_document(speeds: Sequence[LegSpeed]) -> list[dict[str, Any]] | None:
    """The entries of `speed_to_fly`; None where they were not worked out."""
    if not speeds:
        return None
    return [
        {
            "leg": each.leg,
            "tailwind_kt": kt(each.tailwind_mps),
            "speed_kias": kt(each.farthest_ias_mps),
            "rule_kias": kt(each.rule_ias_mps),
        }
        for each in speeds
    ]


def leg_speeds_rows(speeds: Sequence[LegSpeed], units: Units) -> list[tuple[str, str, str, str]]:
    """Leg, wind along it, speed that carries farthest, what the rule of thumb says."""
    return [(wording.sentence_case(each.leg), _along(each, units), *_speeds(each, units)) for each in speeds]


def rule_differs_text(speeds: Sequence[LegSpeed], units: Units) -> str:
    """Where the rule of thumb (best glide and a quarter of the headwind) is off by a unit or more."""
    legs = [each.leg for each in speeds if len(set(_speeds(each, units))) > 1]
    rule = "The rule of thumb is best glide and a quarter of the headwind"
    return f"{rule}; it differs on {', '.join(legs)}." if legs else f"{rule}; it agrees on every leg."


def _along(each: LegSpeed, units: Units) -> str:
    return f"{units.speed.text(abs(each.tailwind_mps))} {'behind' if each.tailwind_mps > 0.0 else 'ahead'}"


def _speeds(each: LegSpeed, units: Units) -> tuple[str, str]:
    return units.speed.figure(each.farthest_ias_mps), units.speed.figure(each.rule_ias_mps)


def _why(each: WayFromGate) -> str:
    if each.flown_why_not == each.real_why_not:
        return str(each.real_why_not)
    said = [("flown", each.flown_why_not), ("real", each.real_why_not)]
    return ", ".join(f"{column} {why}" for column, why in said if why is not None)

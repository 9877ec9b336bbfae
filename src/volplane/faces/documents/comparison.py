"""Runways and sides against each other, in words and as the document's `comparison`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from volplane.domain.exercise.plan import ComparedRunway
from volplane.faces.documents.quantities import ft, kt
from volplane.faces.documents.wording import Units, counted, sentence_case

# what most often speaks against a runway, in two words; other findings are counted
_SAID = {
    "impossible": "does not come out",
    "tailwind": "tailwind",
    "crosswind": "crosswind",
    "gusts": "gusts",
    "cloud": "cloud over the entry",
    "night": "darkness",
    "visibility": "visibility",
    "go-around-climb": "little climb",
    "little-runway-left": "little runway left",
    "aim-point-before-threshold": "aim point before the threshold",
    "unpublished-side": "not the published side",
    "nothing-to-spare": "nothing to spare",
    "wind-not-below-airspeed": "wind over the airspeed",
}


def comparison_document(compared: Sequence[ComparedRunway], units: Units) -> list[dict[str, Any]] | None:
    """The entries of `comparison`; None where nothing was compared."""
    if not compared:
        return None
    return [
        {
            "runway": each.runway,
            "pattern": each.pattern.value,
            "feasible": each.is_feasible,
            "recommended": each.is_recommended,
            "reason": reason_text(each, units),
            "headwind_kt": kt(each.headwind_mps),
            "crosswind_gust_kt": kt(each.crosswind_gust_mps),
            "published_side": each.is_published_side,
            "in_hand_ft": None if each.in_hand_m is None else ft(each.in_hand_m),
            "stops": list(each.stops),
            "cautions": list(each.cautions),
        }
        for each in compared
    ]


def reason_text(each: ComparedRunway, units: Units) -> str:
    """What speaks for and against a runway end and side, in one line."""
    if each.refusal is not None:
        return f"No plan: {_named([each.refusal])}."
    said = [_wind(each, units), "published side" if each.is_published_side else "not the published side"]
    if each.in_hand_m is not None:
        said.append(f"{units.rounded_height(each.in_hand_m, mode='down')} in hand at the tightest gate")
    if each.stops:
        said.append(f"stop: {_named(each.stops)}")
    if each.cautions:
        said.append(counted(len(each.cautions), "caution"))
    return f"{sentence_case(', '.join(said))}."


def against_text(each: ComparedRunway) -> str:
    """What speaks against a runway end and side besides its figures; stops first, every caution by its name."""
    if each.refusal is not None:
        return f"No plan: {_named([each.refusal])}."
    said = [] if each.is_published_side else ["not the published side"]
    if each.stops:
        said.insert(0, f"stop: {_named(each.stops)}")
    if each.cautions:
        said.append(f"caution: {_named(each.cautions)}")
    return f"{sentence_case('; '.join(said))}." if said else "Nothing."


def verdict_text(compared: Sequence[ComparedRunway]) -> str:
    """Which one is recommended, or that none is."""
    best = next((each for each in compared if each.is_recommended), None)
    if best is None:
        return "None can be flown today without a stop: take another day or another field."
    return f"Recommended: runway {best.runway}, {best.pattern} pattern."


def _named(codes: Sequence[str]) -> str:
    return ", ".join(_SAID.get(code, code.replace("-", " ")) for code in codes)


def _wind(each: ComparedRunway, units: Units) -> str:
    along = f"{'headwind' if each.headwind_mps >= 0.0 else 'tailwind'} {units.speed.text(abs(each.headwind_mps))}"
    return f"{along}, crosswind {units.speed.text(each.crosswind_gust_mps)}"

"""The document `volplane/check/1`: what `volplane check` found in each file."""

from __future__ import annotations

from typing import Any

from volplane.faces.documents import wording
from volplane.faces.documents.problems import problem_entry
from volplane.faces.documents.quantities import fpm, in_trade_units, rounded
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.services.checking import CheckedFile, Contradiction

SCHEMA = "volplane/check/1"


def check_document(files: tuple[CheckedFile, ...], units: Units = IMPERIAL) -> dict[str, Any]:
    """The check of one or more files.

    `implied_sink_fpm` is that of the first file that has one; each file's own stands in `files`.
    """
    implied = next((each.implied_sink_mps for each in files if each.implied_sink_mps is not None), None)
    return {
        "schema": SCHEMA,
        "implied_sink_fpm": fpm(implied),
        "contradictions": [_entry(found, units) for each in files for found in each.contradictions],
        "problems": [problem_entry(problem) for each in files for problem in each.problems],
        "files": [
            {
                "file": each.file,
                "kind": each.kind,
                "accepted": each.is_accepted,
                "implied_sink_fpm": fpm(each.implied_sink_mps),
            }
            for each in files
        ],
    }


def contradiction_sentence(found: Contradiction, units: Units = IMPERIAL) -> str:
    """Two figures that do not hold at once, as one sentence that says which keys disagree and by how much."""
    stated, implied = _text(found.stated, found.quantity, units), _text(found.implied, found.quantity, units)
    apart = wording.percent(abs(found.difference_fraction))
    side = "above" if found.difference_fraction > 0.0 else "below"
    others = wording.listed(found.keys[1:])
    said = "imply" if len(found.keys) > 2 else "says"
    if found.quantity == "speed_mps" and found.keys[0].startswith("landing"):
        said = "allows"
        implied = f"{'at most' if found.difference_fraction > 0.0 else 'no less than'} {implied}"
    return f"{found.keys[0]} is {stated}, {apart} {side} what {others} {said}, {implied}. Check which of them is right."


def check_text(files: tuple[CheckedFile, ...], units: Units = IMPERIAL) -> str:
    """The check for a reader at the terminal, problems left to stderr."""
    lines: list[str] = []
    for each in files:
        state = "can be used" if each.is_accepted else f"{wording.counted(len(each.problems), 'problem')}"
        lines.append(f"{each.file}: {each.kind}, {state}")
        if each.implied_sink_mps is not None:
            sink = units.sink.text(each.implied_sink_mps)
            lines.append(f"  best speed and ratio imply a sink of {sink} at sea level")
        lines += [f"  {contradiction_sentence(found, units)}" for found in each.contradictions]
    return "\n".join(lines)


def _entry(found: Contradiction, units: Units) -> dict[str, Any]:
    stated, unit = in_trade_units(found.stated, found.quantity)
    implied, _ = in_trade_units(found.implied, found.quantity)
    return {
        "keys": list(found.keys),
        "stated": stated,
        "implied": implied,
        "unit": unit,
        "percent": rounded(100.0 * found.difference_fraction, 1),
        "text": contradiction_sentence(found, units),
    }


def _text(value_si: float, quantity: str, units: Units) -> str:
    if quantity == "sink_mps":
        return units.sink.text(value_si)
    if quantity == "speed_mps":
        return units.speed.text(value_si)
    return wording.ratio(value_si)

"""What came of flying on otherwise from a second of a flight, in short sentences with a figure in each."""

from __future__ import annotations

from volplane.domain.debrief.what_if import FlownOn
from volplane.faces.documents import wording
from volplane.faces.documents.debrief_finding_words import height_text, length_text
from volplane.faces.documents.wording import Units

# rolling out farther beside the centreline than this is told (ours)
_BESIDE_M = 30.0
MODEL = "Flown by the model of the dead-engine airplane; a real one differs by some of this."


def what_if_sentences(flown: FlownOn, unchanged: FlownOn, units: Units) -> list[str]:
    """Where it ends, and what that is against flying on as planned from the same second."""
    said = [_ending(flown, units)]
    if flown.off_centreline_m > _BESIDE_M:
        beside = length_text(flown.off_centreline_m, units)
        said.append(f"The turn to final rolls out {beside} beside the centreline.")
    if flown is not unchanged:
        gained = flown.to_spare_m - unchanged.to_spare_m
        worth = height_text(abs(gained), units)
        said.append(f"Against flying on as planned from there: {worth} {'more' if gained >= 0.0 else 'less'} height.")
    return [*said, MODEL]


def what_if_note(parts: list[str]) -> str:
    """The pen note at the path: what is done otherwise."""
    return wording.listed(parts) if parts else "flown on as planned"


def _ending(flown: FlownOn, units: Units) -> str:
    height = height_text(abs(flown.to_spare_m), units)
    if flown.touchdown_x_m is None:
        return f"It comes down before the final: {height} missing."
    place = f"{length_text(abs(flown.touchdown_x_m), units)} {'past' if flown.touchdown_x_m >= 0.0 else 'before'}"
    if flown.to_spare_m >= 0.0:
        return f"On final with {height} to spare; with nothing done about it the wheels touch {place} the point."
    return f"On final with {height} missing; the wheels touch {place} the point."

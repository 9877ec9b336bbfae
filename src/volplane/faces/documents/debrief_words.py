"""The debrief in words: short sentences with a figure in each, no praise, no blame, nobody addressed.

Every finding of the debrief has a title, a text and what to do next time; what cannot be known has its reason.
"""

from __future__ import annotations

import math

from volplane.domain.debrief.results import Attempt, NotObservable, Outcome, StandardItem, Touchdown, VerdictText
from volplane.domain.finding import Finding
from volplane.faces.documents import wording
from volplane.faces.documents.debrief_finding_words import BAND_90, WORDS, height_text, length_text, since_where
from volplane.faces.documents.wording import Units

# a touchdown no better known than this is said to be so
_VAGUE_M = 30.0
# touching this near is touching on the point
_ON_POINT_STEPS = 1.0

_VERDICTS = {
    VerdictText.MADE_IT: "With a dead engine it would have made it.",
    VerdictText.TOO_CLOSE_TO_CALL: "With a dead engine it was too close to call.",
    VerdictText.WOULD_NOT_HAVE_MADE_IT: "With a dead engine it would not have made it.",
}

REASONS = {
    "no-airspeed-recorded": "No airspeed in this recording: speeds are not judged.",
    "no-power-recorded": "No power setting in this recording: stand-in and engine are not judged.",
    "turned-too-little": "The flight turned by less than 120°: the wind cannot be found from it.",
    "too-short": "The glide in this recording is too short.",
    "wind-unknown": "Without the wind the air cannot be told from the airplane. A wind given by hand helps.",
    "wind-too-strong": "The wind found is as strong as the airspeed: nothing can be reached in it.",
    "no-low-key": "No low key was flown: verdict and budget start there.",
    "no-recording": "Readings were written down and nothing was recorded: this is not known.",
    "no-temperature-recorded": "No engine temperatures in this recording: how fast the engine cooled is not judged.",
    "no-rpm-recorded": "No engine speed in this recording: the governed one of the airplane file is taken.",
    "no-stand-in-configuration": "The airplane file has no configuration to practise in: the stand-in is not judged.",
}

# why an item of a standard was not judged
ITEM_REASONS = {
    "no-airspeed-recorded": "no airspeed recorded, and a ground track tells none",
    "no-low-key": "no low key flown",
    "no-recording": "nothing was recorded",
    "final-not-reached": "not established on final",
    "break-off-not-reached": "not flown down to the break-off height",
    "did-not-land": "not landed",
    "sink-in-scatter": "drowns in the scatter of the heights",
    "direction-not-given": "the wished direction is not known",
    "too-near-to-tell": "nearer to the limit than the recording can tell",
    "flown-from-overhead": "flown from overhead, the item is one of a power-off 180",
}


def headline(attempt: Attempt, units: Units) -> str:
    """How it ended, with its figure and since when it was off, and whether a dead engine would have made it."""
    return f"{_ending(attempt, units)}{_since(attempt)}. {_verdict(attempt)}"


def subline(attempt: Attempt, units: Units) -> str:
    """The least height in hand with its band, and the one decision that mattered."""
    sentences = []
    if attempt.verdict is not None:
        height_m = attempt.verdict.in_hand_m
        band = wording.figure(
            wording.rounded(units.height.value(BAND_90 * attempt.verdict.sd_m), units.altimeter_step / 5.0)
        )
        state = "were missing" if height_m < 0.0 else "were in hand"
        sentences.append(f"At worst {height_text(abs(height_m), units)} {state}, give or take {band}.")
    if attempt.touchdown is not None and BAND_90 * attempt.touchdown.x_sd_m > _VAGUE_M:
        sentences.append(f"The touchdown is known to within {length_text(BAND_90 * attempt.touchdown.x_sd_m, units)}.")
    dearest = sorted(attempt.findings, key=lambda finding: -(finding.cost_m or 0.0))
    decision = next((said for finding in dearest if (said := _decision(finding))), None)
    if decision is not None:
        sentences.append(f"The decision that mattered: {decision}.")
    return " ".join(sentences)


def finding_title(finding: Finding, units: Units) -> str:
    """A finding as the short sentence over its cut-out."""
    words = WORDS.get(finding.code)
    return _unworded(finding) if words is None else words.title(finding, units)


def finding_text(finding: Finding, units: Units) -> str:
    """What happened and what it cost."""
    words = WORDS.get(finding.code)
    return _unworded(finding) if words is None else words.text(finding, units)


def next_time(finding: Finding, units: Units) -> str:
    """What to do next time; empty where there is nothing to change."""
    words = WORDS.get(finding.code)
    return "" if words is None else words.next_time(finding, units)


def reason_text(item: NotObservable) -> str:
    """Why a value is not there, as a sentence; the code itself where it has no sentence."""
    return REASONS.get(item.reason, item.reason)


def item_reason_text(item: StandardItem) -> str:
    """Why an item of a standard was not judged, in a few words; empty where it was."""
    return "" if item.reason is None else ITEM_REASONS.get(item.reason, item.reason)


def _ending(attempt: Attempt, units: Units) -> str:
    if attempt.outcome is Outcome.LANDED and attempt.touchdown is not None:
        return _touched(attempt.touchdown, units)
    if attempt.outcome is Outcome.WENT_AROUND and attempt.go_around is not None:
        when = "in time" if attempt.go_around.is_timely else "late"
        return f"Went around at {height_text(attempt.go_around.height_m, units)}, {when}"
    last_m = _last_height_m(attempt)
    if attempt.outcome is Outcome.DISCONTINUED:
        return f"Discontinued at {height_text(last_m, units)}"
    return f"The recording ends at {height_text(last_m, units)}"


def _since(attempt: Attempt) -> str:
    """From where on it was too high or too low to end well; nothing where it was neither."""
    since = next((each for each in attempt.findings if each.code in ("too-high-since", "too-low-since")), None)
    if since is None:
        return ""
    return f": too {'high' if since.code == 'too-high-since' else 'low'} {since_where(since)}"


def _last_height_m(attempt: Attempt) -> float:
    known = attempt.path.height_m[~(attempt.path.height_m != attempt.path.height_m)]
    return float(known[-1]) if len(known) else math.nan


def _touched(touchdown: Touchdown, units: Units) -> str:
    step = units.altimeter_step / 5.0
    if abs(wording.rounded(units.length.value(touchdown.x_m), step)) < _ON_POINT_STEPS * step:
        return "Touched down on the point"
    side = "past" if touchdown.x_m > 0.0 else "short of"
    return f"Touched down {length_text(abs(touchdown.x_m), units)} {side} the point"


def _verdict(attempt: Attempt) -> str:
    if attempt.verdict is None:
        return "Whether a dead engine would have made it cannot be told."
    return _VERDICTS[attempt.verdict.text]


def _decision(finding: Finding) -> str | None:
    words = WORDS.get(finding.code)
    return None if words is None or words.decision is None else words.decision(finding)


def _unworded(finding: Finding) -> str:
    return finding.code.replace("-", " ")

"""The debrief in words: short sentences with a figure in each, no praise, no blame, nobody addressed.

Every finding of the debrief has a title, a text and what to do next time; what cannot be known has its reason.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from volplane.domain.debrief.results import Attempt, NotObservable, Outcome, Touchdown, VerdictText
from volplane.domain.finding import Finding
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units

# half the 90 % band in standard deviations: what "give or take" means
_BAND_90 = 1.645
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
    "no-low-key": "No low key was flown: the verdict starts there.",
}


def headline(attempt: Attempt, units: Units) -> str:
    """How it ended, with its figure, and whether a dead engine would have made it."""
    return f"{_ending(attempt, units)} {_verdict(attempt)}"


def subline(attempt: Attempt, units: Units) -> str:
    """The least height in hand with its band, and the one decision that mattered."""
    sentences = []
    if attempt.verdict is not None:
        height_m = attempt.verdict.in_hand_m
        band = wording.figure(
            wording.rounded(units.height.value(_BAND_90 * attempt.verdict.sd_m), units.altimeter_step / 5.0)
        )
        state = "were missing" if height_m < 0.0 else "were in hand"
        sentences.append(f"At worst {_height(abs(height_m), units)} {state}, give or take {band}.")
    if attempt.touchdown is not None and _BAND_90 * attempt.touchdown.x_sd_m > _VAGUE_M:
        sentences.append(f"The touchdown is known to within {_length(_BAND_90 * attempt.touchdown.x_sd_m, units)}.")
    dearest = sorted(attempt.findings, key=lambda finding: -(finding.cost_m or 0.0))
    decision = next((said for finding in dearest if (said := _decision(finding))), None)
    if decision is not None:
        sentences.append(f"The decision that mattered: {decision}.")
    return " ".join(sentences)


def finding_title(finding: Finding, units: Units) -> str:
    """A finding as the short sentence over its cut-out."""
    words = _WORDS.get(finding.code)
    return _unworded(finding) if words is None else words.title(finding, units)


def finding_text(finding: Finding, units: Units) -> str:
    """What happened and what it cost."""
    words = _WORDS.get(finding.code)
    return _unworded(finding) if words is None else words.text(finding, units)


def next_time(finding: Finding, units: Units) -> str:
    """What to do next time; empty where there is nothing to change."""
    words = _WORDS.get(finding.code)
    return "" if words is None else words.next_time(finding, units)


def reason_text(item: NotObservable) -> str:
    """Why a value is not there, as a sentence; the code itself where it has no sentence."""
    return REASONS.get(item.reason, item.reason)


def _ending(attempt: Attempt, units: Units) -> str:
    if attempt.outcome is Outcome.LANDED and attempt.touchdown is not None:
        return f"{_touched(attempt.touchdown, units)}."
    if attempt.outcome is Outcome.WENT_AROUND and attempt.go_around is not None:
        when = "in time" if attempt.go_around.is_timely else "late"
        return f"Went around at {_height(attempt.go_around.height_m, units)}, {when}."
    last_m = _last_height_m(attempt)
    if attempt.outcome is Outcome.DISCONTINUED:
        return f"Discontinued at {_height(last_m, units)}."
    return f"The recording ends at {_height(last_m, units)}."


def _last_height_m(attempt: Attempt) -> float:
    known = attempt.path.height_m[~(attempt.path.height_m != attempt.path.height_m)]
    return float(known[-1]) if len(known) else math.nan


def _touched(touchdown: Touchdown, units: Units) -> str:
    step = units.altimeter_step / 5.0
    if abs(wording.rounded(units.length.value(touchdown.x_m), step)) < _ON_POINT_STEPS * step:
        return "Touched down on the point"
    side = "past" if touchdown.x_m > 0.0 else "short of"
    return f"Touched down {_length(abs(touchdown.x_m), units)} {side} the point"


def _verdict(attempt: Attempt) -> str:
    if attempt.verdict is None:
        return "Whether a dead engine would have made it cannot be told."
    return _VERDICTS[attempt.verdict.text]


def _height(height_m: float, units: Units) -> str:
    return units.rounded_height(height_m, units.altimeter_step / 5.0)


def _length(length_m: float, units: Units) -> str:
    step = units.altimeter_step / 5.0
    return wording.with_unit(wording.figure(wording.rounded(units.length.value(length_m), step)), units.length.unit)


def _exact(height_m: float, units: Units) -> str:
    return units.height.text(height_m)


def _number(finding: Finding, name: str) -> float:
    """A quantity of a finding, nought where it does not say."""
    return finding.number(name) if name in finding.quantities else 0.0


def _turn_then(finding: Finding) -> str:
    if "past_low_key_s" not in finding.quantities:
        return "turn to base where it was planned."
    return f"turn {wording.seconds(finding.number('past_low_key_s'))} past the low key."


def _give_or_take(finding: Finding, units: Units) -> str:
    if "sd_m" not in finding.quantities:
        return "The place is an estimate."
    return f"Give or take {_length(_BAND_90 * finding.number('sd_m'), units)}."


def _word(finding: Finding, name: str) -> str:
    return str(finding.quantities.get(name, ""))


@dataclass(frozen=True, slots=True)
class _Words:
    """How one code is said."""

    title: Callable[[Finding, Units], str]
    text: Callable[[Finding, Units], str]
    next_time: Callable[[Finding, Units], str]
    decision: Callable[[Finding], str] | None = None


def _decision(finding: Finding) -> str | None:
    words = _WORDS.get(finding.code)
    return None if words is None or words.decision is None else words.decision(finding)


def _unworded(finding: Finding) -> str:
    return finding.code.replace("-", " ")


def _off_title(finding: Finding, units: Units, key: str, word: str) -> str:
    place = "outside" if _number(finding, "outside_m") > 0.0 else "inside"
    return f"{_exact(finding.number(key), units)} {word} at the {_word(finding, 'gate')}, {place} the window"


def _off_text(finding: Finding, units: Units, key: str, word: str) -> str:
    outside_m = _number(finding, "outside_m")
    edge = "lowest" if word == "low" else "highest"
    beyond = f" {_exact(outside_m, units)} beyond the {edge} that works." if outside_m > 0.0 else ""
    grown_m = _number(finding, "since_last_gate_m")
    same_way = (grown_m < 0.0) == (word == "low")
    if (
        _word(finding, "gate") == "high key"
        or not same_way
        or abs(grown_m) >= finding.number(key) - 1.0
        or grown_m == 0.0
    ):
        return f"{_exact(finding.number(key), units)} {_lower_higher(word)} than planned.{beyond}"
    return f"{_exact(abs(grown_m), units)} of it since the gate before.{beyond}"


def _lower_higher(word: str) -> str:
    return "lower" if word == "low" else "higher"


_LOW_NEXT = {
    "high key": "enter at the planned height.",
    "low key": "begin the half turn abeam the point, at the planned bank.",
    "base key": "turn to base sooner.",
    "final": "keep the turns shallower and nearer to the runway.",
}
_HIGH_NEXT = {
    "high key": "enter at the planned height.",
    "low key": "fly the half turn wider, or start it later.",
    "base key": "lose height on the downwind leg, or fly it longer.",
    "final": "lose height before the last turn.",
}
_LOW_DECISION = {
    "high key": "the height of the entry",
    "low key": "where to begin the half turn",
    "base key": "when to turn to base",
    "final": "how to fly the last turn",
}


def _stall_rise(finding: Finding) -> str:
    return wording.percent(1.0 / math.sqrt(math.cos(min(finding.number("bank_rad"), 1.4))) - 1.0)


_WORDS: dict[str, _Words] = {
    "turn-to-base-late": _Words(
        lambda f, u: f"The turn to base came {wording.seconds(f.number('late_s'))} late",
        lambda f, u: (
            f"{_length(f.number('farther_m'), u)} farther downwind than planned cost {_exact(f.number('cost_m'), u)}."
        ),
        lambda f, u: _turn_then(f),
        lambda f: "when to turn to base",
    ),
    "turn-to-base-early": _Words(
        lambda f, u: f"The turn to base came {wording.seconds(f.number('early_s'))} early",
        lambda f, u: (
            f"{_length(f.number('nearer_m'), u)} nearer than planned: the height was left to be lost on final."
        ),
        lambda f, u: _turn_then(f),
        lambda f: "when to turn to base",
    ),
    "low-at-gate": _Words(
        lambda f, u: _off_title(f, u, "low_m", "low"),
        lambda f, u: _off_text(f, u, "low_m", "low"),
        lambda f, u: _LOW_NEXT.get(_word(f, "gate"), ""),
        lambda f: _LOW_DECISION.get(_word(f, "gate"), ""),
    ),
    "high-at-gate": _Words(
        lambda f, u: _off_title(f, u, "high_m", "high"),
        lambda f, u: _off_text(f, u, "high_m", "high"),
        lambda f, u: _HIGH_NEXT.get(_word(f, "gate"), ""),
        lambda f: "where to lose height",
    ),
    "too-high-to-lose": _Words(
        lambda f, u: f"Too high to be lost by {_height(f.number('above_m'), u)}",
        lambda f, u: f"Everything out from here on would have left {_height(f.number('above_m'), u)}.",
        lambda f, u: "lose height as soon as the window is left above; else go around.",
        lambda f: "where to lose height",
    ),
    "short-touchdown": _Words(
        lambda f, u: f"Touched down {_length(f.number('short_m'), u)} short of the point",
        _give_or_take,
        lambda f, u: "keep more height to the final, and lose it once the point is made.",
    ),
    "long-touchdown": _Words(
        lambda f, u: f"Touched down {_length(f.number('long_m'), u)} past the point",
        _give_or_take,
        lambda f, u: "lose the height before the last turn, and the speed before the round-out.",
    ),
    "glide-worse": _Words(
        lambda f, u: "It sank more than a dead engine would",
        lambda f, u: (
            f"{u.sink.text(f.number('sink_mps'))} more, {_height(f.number('height_m'), u)} from the low key on: "
            "configuration, power or sinking air."
        ),
        lambda f, u: "compare gear, flap and power with the plan.",
    ),
    "glide-better": _Words(
        lambda f, u: "It sank less than a dead engine would",
        lambda f, u: (
            f"{u.sink.text(f.number('sink_mps'))} less, {_height(f.number('height_m'), u)} from the low key on: "
            "power, configuration or rising air."
        ),
        lambda f, u: "less power, and gear and flap as planned.",
    ),
    "steep-bank": _Words(
        lambda f, u: f"Bank {wording.angle(f.number('bank_rad'))}, the limit is {wording.angle(f.number('limit_rad'))}",
        lambda f, u: f"The stall comes at a speed {_stall_rise(f)} higher in that bank.",
        lambda f, u: "begin the turn sooner and keep it shallower.",
        lambda f: "when to begin the turn",
    ),
    "timely-go-around": _Words(
        lambda f, u: "The go-around came in time",
        lambda f, u: (
            f"Lowest height {_height(f.number('height_m'), u)}; break off is at {_height(f.number('break_off_m'), u)}."
        ),
        lambda f, u: "",
        lambda f: "to go around",
    ),
    "late-go-around": _Words(
        lambda f, u: "The go-around came late",
        lambda f, u: (
            f"Lowest height {_height(f.number('height_m'), u)}; break off is at {_height(f.number('break_off_m'), u)}."
        ),
        lambda f, u: f"go around at {_height(f.number('break_off_m'), u)} when the picture is not right.",
        lambda f: "when to go around",
    ),
}

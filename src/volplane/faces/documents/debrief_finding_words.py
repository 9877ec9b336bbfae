"""The findings of a debrief in words: each has a title, what happened with its cost, and what to do next time.

Short sentences with a figure in each, no praise, no blame, nobody addressed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from volplane.domain.finding import Finding
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units

# half the 90 % band in standard deviations: what "give or take" means
BAND_90 = 1.645


@dataclass(frozen=True, slots=True)
class Words:
    """How one code is said; `decision` names the decision it was, where it was one."""

    title: Callable[[Finding, Units], str]
    text: Callable[[Finding, Units], str]
    next_time: Callable[[Finding, Units], str]
    decision: Callable[[Finding], str] | None = None


def since_where(finding: Finding) -> str:
    """From where on it was too high or too low: "from the low key on"."""
    if "gate" in finding.quantities:
        return f"from the {_word(finding, 'gate')} on"
    return f"after the {_word(finding, 'after')}" if "after" in finding.quantities else "from the start"


def height_text(height_m: float, units: Units) -> str:
    """A height rounded as a flight tells it."""
    return units.rounded_height(height_m, units.altimeter_step / 5.0)


def length_text(length_m: float, units: Units) -> str:
    """A length along the runway, rounded as a flight tells it."""
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


def _turn_sooner(finding: Finding, units: Units) -> str:
    late, worth = wording.seconds(finding.number("late_s")), _exact(finding.number("cost_m"), units)
    return f"turn to base {late} earlier, {_past_low_key(finding)}: {worth}."


def _past_low_key(finding: Finding) -> str:
    if "past_low_key_s" not in finding.quantities:
        return "where it was planned"
    return f"{wording.seconds(finding.number('past_low_key_s'))} past the low key"


def _give_or_take(finding: Finding, units: Units) -> str:
    if "sd_m" not in finding.quantities:
        return "The place is an estimate."
    return f"Give or take {length_text(BAND_90 * finding.number('sd_m'), units)}."


def _word(finding: Finding, name: str) -> str:
    return str(finding.quantities.get(name, ""))


def _off_title(finding: Finding, units: Units, key: str, word: str) -> str:
    place = "outside" if _number(finding, "outside_m") > 0.0 else "inside"
    return f"{_exact(finding.number(key), units)} {word} at the {_word(finding, 'gate')}, {place} the window"


def _off_text(finding: Finding, units: Units, key: str, word: str) -> str:
    outside_m = _number(finding, "outside_m")
    edge = "lowest" if word == "low" else "highest"
    beyond = f" {_exact(outside_m, units)} beyond the {edge} that works." if outside_m > 0.0 else ""
    grown_m = _number(finding, "since_last_gate_m")
    has_grown = _word(finding, "gate") != "high key" and (grown_m < 0.0) == (word == "low")
    if has_grown and 0.0 < abs(grown_m) < finding.number(key) - 1.0:
        return f"{_exact(abs(grown_m), units)} of it since the gate before.{beyond}"
    if "planned_m" not in finding.quantities:
        return f"{_exact(finding.number(key), units)} {'lower' if word == 'low' else 'higher'} than planned.{beyond}"
    flown, planned = _exact(finding.number("height_m"), units), _exact(finding.number("planned_m"), units)
    return f"{flown} where {planned} was planned.{beyond}"


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


def _gate_next(finding: Finding, units: Units, key: str) -> str:
    """What makes up for a gate flown off, with its figure where it was worked out."""
    gate, off = _word(finding, "gate"), height_text(finding.number(key), units)
    if gate == "high key":
        return f"enter {off} {'higher' if key == 'low_m' else 'lower'}."
    if "turn_shift_s" in finding.quantities:
        shift_s = finding.number("turn_shift_s")
        when = "earlier" if shift_s < 0.0 else "later"
        worth = height_text(finding.number("turn_worth_m"), units)
        return f"turn to base {wording.seconds(abs(shift_s))} {when}: {worth}."
    return (_LOW_NEXT if key == "low_m" else _HIGH_NEXT).get(gate, "")


def _remedies(finding: Finding, units: Units) -> str:
    """What would have mended it, each with its feet; empty where nothing would have."""
    said = []
    number = 0
    while f"remedy_{number}" in finding.quantities:
        said.append(_remedy(finding, number, units))
        number += 1
    if not said and finding.code == "too-high-since":
        return "lose height before the last turn, or go around."
    return f"{'; '.join(said)}." if said else ""


def _remedy(finding: Finding, number: int, units: Units) -> str:
    action, worth = _word(finding, f"remedy_{number}"), height_text(finding.number(f"worth_{number}_m"), units)
    what = action
    if f"change_{number}_s" in finding.quantities:
        shift_s = finding.number(f"change_{number}_s")
        what = f"turn to base {wording.seconds(abs(shift_s))} {'earlier' if shift_s < 0.0 else 'later'}"
    elif action.startswith("drag out: "):
        what = f"{action.removeprefix('drag out: ')}{_from_place(finding, number)}"
    elif f"speed_{number}_mps" in finding.quantities:
        speed = units.speed.text(finding.number(f"speed_{number}_mps"))
        what = f"{speed}{_from_place(finding, number)}, then slow" if action == "faster" else f"hold {speed}"
    return f"{what}: {worth}"


def _from_place(finding: Finding, number: int) -> str:
    place = _word(finding, f"from_{number}")
    return f" from the {place}" if place else ""


def _since_title(finding: Finding, units: Units) -> str:
    high = finding.code == "too-high-since"
    at_gate = ""
    if "at_gate_m" in finding.quantities:
        at_gate = f", {height_text(finding.number('at_gate_m'), units)} {'high' if high else 'low'} there"
    return f"Too {'high' if high else 'low'} {since_where(finding)}{at_gate}"


def _since_text(finding: Finding, units: Units) -> str:
    off_m = finding.number("off_m")
    if finding.code == "too-high-since":
        left = f"{height_text(off_m, units)} too much at the final" if off_m > 0.0 else "no room for more at the final"
        return f"Flown on with a dead engine: {left}, before anything was done about it."
    left = f"{height_text(off_m, units)} missing at the final" if off_m > 0.0 else "nothing to spare at the final"
    return f"Flown on with a dead engine: {left}."


def _since_decision(finding: Finding) -> str:
    """What the best remedy is a matter of."""
    action = _word(finding, "remedy_0")
    if action.startswith("turn to base"):
        return "when to turn to base"
    return "where to lose height" if finding.code == "too-high-since" else "where the height was kept"


def _is_the_air(finding: Finding) -> bool:
    return _word(finding, "cause") == "vertical air"


def _sank_why(finding: Finding) -> str:
    """What the sink that is no fault of the path comes from, as far as the recording tells it apart."""
    why = _word(finding, "cause")
    better = finding.code == "glide-better"
    air = "rising air" if better else "sinking air"
    known = {
        "configuration and power": "by the power recorded: configuration and power",
        "vertical air": f"not by power or configuration: {air}",
        "speed, configuration and air": f"speed, configuration, power or {air}",
    }
    return known.get(why, f"configuration, power or {air}")


_LOW_DECISION = {
    "high key": "the height of the entry",
    "low key": "where to begin the half turn",
    "base key": "when to turn to base",
    "final": "how to fly the last turn",
}


def _stall_rise(finding: Finding) -> str:
    return wording.percent(1.0 / math.sqrt(math.cos(min(finding.number("bank_rad"), 1.4))) - 1.0)


def _feet(finding: Finding, name: str, units: Units) -> str:
    return height_text(finding.number(name), units)


def _far(finding: Finding, name: str, units: Units) -> str:
    return length_text(finding.number(name), units)


def _pressure(finding: Finding, name: str, units: Units) -> str:
    return units.manifold_pressure.text(finding.number(name))


def _seconds(finding: Finding, name: str) -> str:
    return wording.seconds(finding.number(name))


WORDS: dict[str, Words] = {
    "turn-to-base-late": Words(
        lambda f, u: f"The turn to base came {_seconds(f, 'late_s')} late",
        lambda f, u: f"{_far(f, 'farther_m', u)} farther downwind than planned cost {_exact(f.number('cost_m'), u)}.",
        _turn_sooner,
        lambda f: "when to turn to base",
    ),
    "turn-to-base-early": Words(
        lambda f, u: f"The turn to base came {_seconds(f, 'early_s')} early",
        lambda f, u: f"{_far(f, 'nearer_m', u)} nearer than planned: the height was left to be lost on final.",
        lambda f, u: _turn_then(f),
        lambda f: "when to turn to base",
    ),
    "taken-over": Words(
        lambda f, u: f"The instructor took over at {height_text(f.number('height_m'), u)}",
        lambda f, u: "What follows was flown by the instructor.",
        lambda f, u: "",
    ),
    "low-at-gate": Words(
        lambda f, u: _off_title(f, u, "low_m", "low"),
        lambda f, u: _off_text(f, u, "low_m", "low"),
        lambda f, u: _gate_next(f, u, "low_m"),
        lambda f: _LOW_DECISION.get(_word(f, "gate"), ""),
    ),
    "high-at-gate": Words(
        lambda f, u: _off_title(f, u, "high_m", "high"),
        lambda f, u: _off_text(f, u, "high_m", "high"),
        lambda f, u: _gate_next(f, u, "high_m"),
        lambda f: "where to lose height",
    ),
    "too-high-since": Words(_since_title, _since_text, _remedies, _since_decision),
    "too-low-since": Words(_since_title, _since_text, _remedies, _since_decision),
    "off-best-glide": Words(
        lambda f, u: (
            f"{u.speed.text(abs(f.number('off_mps')))} {'fast' if f.number('off_mps') > 0.0 else 'slow'} "
            "from the low key on"
        ),
        lambda f, u: f"On average, against best glide; it cost {_feet(f, 'cost_m', u)}.",
        lambda f, u: f"hold {u.speed.text(f.number('best_mps'))}: {_feet(f, 'cost_m', u)}.",
        lambda f: "which speed to hold",
    ),
    "too-high-to-lose": Words(
        lambda f, u: f"Too high to be lost by {_feet(f, 'above_m', u)}",
        lambda f, u: f"Everything out from here on would have left {_feet(f, 'above_m', u)}.",
        lambda f, u: "lose height as soon as the window is left above; else go around.",
        lambda f: "where to lose height",
    ),
    "short-touchdown": Words(
        lambda f, u: f"Touched down {_far(f, 'short_m', u)} short of the point",
        _give_or_take,
        lambda f, u: "keep more height to the final, and lose it once the point is made.",
    ),
    "long-touchdown": Words(
        lambda f, u: f"Touched down {_far(f, 'long_m', u)} past the point",
        _give_or_take,
        lambda f, u: "lose the height before the last turn, and the speed before the round-out.",
    ),
    "glide-worse": Words(
        lambda f, u: "It sank more than a dead engine would",
        lambda f, u: (
            f"{u.sink.text(f.number('sink_mps'))} more, {_feet(f, 'height_m', u)} from the low key on: {_sank_why(f)}."
        ),
        lambda f, u: "" if _is_the_air(f) else "compare gear, flap and power with the plan.",
    ),
    "glide-better": Words(
        lambda f, u: "It sank less than a dead engine would",
        lambda f, u: (
            f"{u.sink.text(f.number('sink_mps'))} less, {_feet(f, 'height_m', u)} from the low key on: {_sank_why(f)}."
        ),
        lambda f, u: "" if _is_the_air(f) else "less power, and gear and flap as planned.",
    ),
    "steep-bank": Words(
        lambda f, u: f"Bank {wording.angle(f.number('bank_rad'))}, the limit is {wording.angle(f.number('limit_rad'))}",
        lambda f, u: f"The stall comes at a speed {_stall_rise(f)} higher in that bank.",
        lambda f, u: "begin the turn sooner and keep it shallower.",
        lambda f: "when to begin the turn",
    ),
    "power-reduced-fast": Words(
        lambda f, u: f"{_pressure(f, 'change_pa', u)} taken off within {_seconds(f, 'within_s')}",
        lambda f, u: (
            f"More than {_pressure(f, 'limit_pa', u)} so fast cools the engine unevenly; how much that matters is "
            "disputed."
        ),
        lambda f, u: "take the power off in steps.",
    ),
    "power-added-fast": Words(
        lambda f, u: f"{_pressure(f, 'change_pa', u)} put on within {_seconds(f, 'within_s')}",
        lambda f, u: (
            f"More than {_pressure(f, 'limit_pa', u)} so fast is hard on the engine; in a real need it is right."
        ),
        lambda f, u: "open the throttle over three seconds.",
    ),
    "propeller-drives-engine": Words(
        lambda f, u: (
            f"{_seconds(f, 'duration_s')} below {_pressure(f, 'least_pa', u)}, down to {_pressure(f, 'lowest_pa', u)}"
        ),
        lambda f, u: "There the propeller may drive the engine. How much that matters is disputed.",
        lambda f, u: "keep a little more power, and more drag instead.",
    ),
    "timely-go-around": Words(
        lambda f, u: "The go-around came in time",
        lambda f, u: f"Lowest height {_feet(f, 'height_m', u)}; break off is at {_feet(f, 'break_off_m', u)}.",
        lambda f, u: "",
        lambda f: "to go around",
    ),
    "late-go-around": Words(
        lambda f, u: "The go-around came late",
        lambda f, u: f"Lowest height {_feet(f, 'height_m', u)}; break off is at {_feet(f, 'break_off_m', u)}.",
        lambda f, u: f"go around at {_feet(f, 'break_off_m', u)} when the picture is not right.",
        lambda f: "when to go around",
    ),
}

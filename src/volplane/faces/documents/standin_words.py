"""A stand-in in words: its findings, why a point was left out, the phases of its honesty table."""

from __future__ import annotations

from collections.abc import Callable

from volplane.domain.finding import Finding
from volplane.faces.documents.wording import Units, counted, percent, sentence_case

FindingWords = Callable[[Finding, Units], str]

_WHY = {
    "engine speed": "at another engine speed",
    "speed": "too far from best glide",
    "climbing": "not coming down",
    "sink": "a sink no glide has",
    "outlier": "far from what the others say",
}


def why_text(why: str) -> str:
    """Why a point was left out, empty for one that was used."""
    return _WHY.get(why, why)


def finding_text(finding: Finding, units: Units) -> str:
    """A finding of a stand-in as a sentence or two."""
    return _FINDINGS[finding.code](finding, units)


def _inches(finding: Finding, name: str, units: Units) -> str:
    return units.manifold_pressure.text(finding.number(name))


def _sink(finding: Finding, units: Units) -> str:
    return units.sink.text(abs(finding.number("sink_mps")))


def _above_limit(finding: Finding, units: Units) -> str:
    speed, limit = (units.speed.text(finding.number(name)) for name in ("ias_mps", "limit_mps"))
    return (
        f"Best glide at this weight is {speed}; the limit with {finding.quantities['what']} is {limit}. "
        "Choose another configuration."
    )


def _near_limit(finding: Finding, units: Units) -> str:
    limit = units.speed.text(finding.number("limit_mps"))
    return f"The limit with {finding.quantities['what']} is {limit}: the fast end of the table is beyond it."


def _limit_unknown(finding: Finding, units: Units) -> str:
    what = str(finding.quantities["what"])
    whose = "least manifold pressure in a descent" if "manifold" in what else f"speed limit for {what}"
    return f"The airplane file names no {whose}: look it up."


def _below_least(finding: Finding, units: Units) -> str:
    others = str(finding.quantities["others"])
    more_drag = f" More drag would raise it: {others}." if others else " It takes more drag."
    return (
        f"The match of {_inches(finding, 'wanted_pa', units)} lies below the airplane's least, "
        f"{_inches(finding, 'least_pa', units)}. Held there, it sinks {_sink(finding, units)} less than the dead "
        f"engine.{more_drag}"
    )


def _uncertain(finding: Finding, units: Units) -> str:
    sd = units.manifold_pressure.figure(finding.number("sd_pa"))
    unit = units.manifold_pressure.unit
    return f"The setting is known to {sd} {unit} only (one standard deviation). Fly points on either side of it."


def _disagrees(finding: Finding, units: Units) -> str:
    side = "more" if finding.number("sink_mps") > 0.0 else "less"
    return (
        f"The airplane file says {_inches(finding, 'stated_pa', units)}; by this it would sink "
        f"{_sink(finding, units)} {side} than the dead engine. Check which of them is right."
    )


def _left_out(finding: Finding, units: Units) -> str:
    return f"{sentence_case(counted(round(finding.number('count')), 'point'))} left out; the reason stands beside each."


def _model_only(finding: Finding, units: Units) -> str:
    count = round(finding.number("count"))
    estimates = f", {counted(count, 'figure')} of the engine estimated" if count else ""
    return f"No flown points: the setting is the model's{estimates}. Two or three points flown beat it."


def _points_close(finding: Finding, units: Units) -> str:
    span = _inches(finding, "span_pa", units)
    return f"The points lie within {span}: how sink changes with manifold pressure is mostly the model's."


def _beyond_points(finding: Finding, units: Units) -> str:
    low, high = units.manifold_pressure.figure(finding.number("low_pa")), _inches(finding, "high_pa", units)
    return f"The setting lies outside the points flown, {low} to {high}. Fly one at the setting."


def _offset(finding: Finding, units: Units) -> str:
    offset = finding.number("offset_mps")
    return f"{units.speed.text(abs(offset))} {'faster' if offset > 0.0 else 'slower'} than best glide"


def _sinks_more(finding: Finding, units: Units) -> str:
    part = percent(finding.number("part_fraction"))
    if finding.number("offset_mps") == 0.0:
        return f"At best glide the stand-in sinks {_sink(finding, units)} more than the dead engine ({part})."
    return (
        f"{sentence_case(_offset(finding, units))} the stand-in sinks {_sink(finding, units)} more than the dead "
        f"engine ({part}): a fast trainee looks worse than the airplane is."
    )


def _sinks_less(finding: Finding, units: Units) -> str:
    part = percent(finding.number("part_fraction"))
    if finding.number("offset_mps") == 0.0:
        return f"At best glide the stand-in sinks {_sink(finding, units)} less than the dead engine ({part})."
    return (
        f"{sentence_case(_offset(finding, units))} the stand-in sinks {_sink(finding, units)} less than the dead "
        f"engine ({part}): practice forgives what the real glide does not."
    )


def _power_off_final(finding: Finding, units: Units) -> str:
    part = percent(finding.number("part_fraction"))
    return (
        f"On final with the power off the propeller goes to its fine stop: {_sink(finding, units)} more sink than the "
        f"dead engine in coarse pitch ({part})."
    )


def _creep(finding: Finding, units: Units) -> str:
    creep = units.manifold_pressure.figure(abs(finding.number("per_thousand_feet_pa")))
    return f"With the throttle left it gains {creep} {units.manifold_pressure.unit} for every 1,000 ft down."


def _retrim(finding: Finding, units: Units) -> str:
    altitude = units.altimeter_text(finding.number("altitude_msl_m"))
    return f"Take the creep off again at {altitude}: by then the sink is 50 fpm off."


def _exercise_error(finding: Finding, units: Units) -> str:
    error_m = finding.number("error_m")
    more, less = (units.rounded_height(finding.number(name)) for name in ("more_m", "less_m"))
    side, where = ("more", "high") if error_m > 0.0 else ("less", "short")
    error = units.rounded_height(abs(error_m))
    return (
        f"Over a whole exercise the stand-in loses {error} {side} than the dead engine ({more} more in parts, {less} "
        f"less in others): whoever learnt the picture with it arrives {error} {where} with a real dead engine."
    )


def _may_drive(finding: Finding, units: Units) -> str:
    least = _inches(finding, "least_pa", units)
    return f"Below {least} the propeller may drive the engine; do not stay there for long (advisory)."


def _power_off_slowly(finding: Finding, units: Units) -> str:
    setting = _inches(finding, "setting_pa", units)
    return (
        f"Take the {setting} off over several seconds on final, and let the engine cool before the exercise (advisory)."
    )


_FINDINGS: dict[str, FindingWords] = {
    "above-limit": _above_limit,
    "near-limit": _near_limit,
    "limit-unknown": _limit_unknown,
    "below-least": _below_least,
    "setting-uncertain": _uncertain,
    "setting-disagrees": _disagrees,
    "points-left-out": _left_out,
    "model-only": _model_only,
    "points-close": _points_close,
    "beyond-points": _beyond_points,
    "sinks-more": _sinks_more,
    "sinks-less": _sinks_less,
    "power-off-final": _power_off_final,
    "creep": _creep,
    "retrim": _retrim,
    "exercise-error": _exercise_error,
    "propeller-may-drive": _may_drive,
    "power-off-slowly": _power_off_slowly,
}

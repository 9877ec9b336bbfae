"""What today's air means for a plan, in words: wind, cloud, daylight, weather report, thin air."""

from __future__ import annotations

from collections.abc import Callable

from volplane.domain.finding import Finding, Severity
from volplane.faces.documents.wording import (
    Units,
    counted,
    direction,
    figure,
    percent,
    rounded,
    sentence_case,
    utc_clock,
    with_unit,
)

FindingWords = Callable[[Finding, Units], str]


def _tailwind(finding: Finding, units: Units) -> str:
    return f"Tailwind {_gusting(finding, units)} on the runway. {_other_runway(finding)}"


def _crosswind(finding: Finding, units: Units) -> str:
    limit = units.speed.text(finding.number("limit_mps"))
    said = f"Crosswind {_gusting(finding, units)}; the airplane's figure is {limit}."
    return f"{said} {_other_runway(finding)}" if finding.severity is Severity.STOP else said


def _gusting(finding: Finding, units: Units) -> str:
    """A wind and its gust: "15 kt gusting 27 kt", or one figure where they read alike."""
    wind, gust = (units.speed.text(finding.number(name)) for name in ("wind_mps", "gust_mps"))
    return wind if wind == gust else f"{wind} gusting {gust}"


def _other_runway(finding: Finding) -> str:
    other = str(finding.quantities["other"])
    return f"Take runway {other}." if other else "Take another day or another field."


def _gusts(finding: Finding, units: Units) -> str:
    spread, gust = (units.speed.text(finding.number(name)) for name in ("spread_mps", "gust_mps"))
    return f"Gusts of {gust}, {spread} over the mean wind: speed and sink will swing by that. Wait for steadier air."


def _strong_wind(finding: Finding, units: Units) -> str:
    return f"Wind {units.speed.text(finding.number('wind_mps'))} at the entry height. Small errors grow fast in it."


def _wind_aloft_unknown(finding: Finding, units: Units) -> str:
    wind, likely = (units.speed.text(finding.number(name)) for name in ("wind_mps", "likely_mps"))
    return (
        f"Only the wind at the field is known: planned with {wind} at every height, about {likely} are likely at the "
        "entry. Give the wind aloft."
    )


def _cloud(finding: Finding, units: Units) -> str:
    base, above_m = _height(finding, "base_m", units), finding.number("above_m")
    if finding.severity is Severity.STOP:
        return f"Cloud at {base}, not above the entry. Enter lower or take another day."
    return f"Cloud at {base}, {units.rounded_height(above_m)} above the entry. Enter lower."


def _scattered_cloud(finding: Finding, units: Units) -> str:
    base, above_m = _height(finding, "base_m", units), finding.number("above_m")
    place = f"{units.rounded_height(abs(above_m))} {'above' if above_m > 0.0 else 'below'} the entry"
    return f"Some cloud at {base}, {place}. The high key needs a clear sky."


def _visibility(finding: Finding, units: Units) -> str:
    visibility = units.distance.text(finding.number("visibility_m"))
    if finding.severity is Severity.STOP:
        return f"Visibility {visibility}. Take another day."
    return f"Visibility {visibility}: the field and other traffic are seen late."


def _night(finding: Finding, units: Units) -> str:
    clock = utc_clock(finding.number("time_unix_s"))
    if finding.severity is Severity.STOP:
        return f"Night at {clock} UTC. Failures are simulated by day only."
    return f"The sun is down at {clock} UTC. Fly earlier: failures are simulated by day only."


def _night_now(finding: Finding, units: Units) -> str:
    clock = utc_clock(finding.number("time_unix_s"))
    return f"No time given, and the sun is down now, {clock} UTC. Give the time of the lesson."


def _typed_over_report(finding: Finding, units: Units) -> str:
    key = str(finding.quantities["key"])
    name = sentence_case("altimeter setting" if key == "qnh" else key)
    quantity = next(name for name in finding.quantities if name.startswith("typed_")).removeprefix("typed_")
    typed, reported = (_REPORTED[quantity](finding.number(f"{said}_{quantity}"), units) for said in _SAID)
    return f"{name}: planned with {typed} as typed, the weather report says {reported}."


_SAID = ("typed", "reported")
_REPORTED: dict[str, Callable[[float, Units], str]] = {
    "angle_rad": lambda value, units: direction(value),
    "speed_mps": lambda value, units: units.speed.text(value),
    "temperature_k": lambda value, units: units.temperature(value),
    "pressure_pa": lambda value, units: units.altimeter_setting.text(value),
    "height_m": lambda value, units: units.rounded_height(value, 100.0),
    "length_m": lambda value, units: units.distance.text(value),
}


def _report_age(finding: Finding, units: Units) -> str:
    hours = counted(round(abs(finding.number("age_s")) / 3600.0), "hour")
    when = "before" if finding.number("age_s") > 0.0 else "after"
    return f"The weather report is from {hours} {when} the lesson, {utc_clock(finding.number('observed_unix_s'))} UTC."


def _go_around_climb(finding: Finding, units: Units) -> str:
    climb_mps, altitude = finding.number("climb_mps"), units.rounded_height(finding.number("altitude_m"), 100.0)
    here = f"at a density altitude of {altitude} (estimate)"
    if climb_mps <= 0.0:
        return f"No climb is left for a go-around {here}. Take a cooler hour or less weight."
    climb = with_unit(figure(rounded(units.sink.value(climb_mps), 10.0)), units.sink.unit)
    if units.system == "metric":
        climb = units.sink.text(climb_mps)
    return f"Go-around climbs {climb} {here}. Take a cooler hour or less weight."


def _go_around_unknown(finding: Finding, units: Units) -> str:
    altitude = units.rounded_height(finding.number("altitude_m"), 100.0)
    return f"The airplane file has no go-around climb: look it up for a density altitude of {altitude}."


def _sea_level_habit(finding: Finding, units: Units) -> str:
    dearer, extra = percent(finding.number("dearer_fraction")), _height(finding, "extra_m", units)
    return (
        f"Turns cost {dearer} more height than at sea level, {extra} over the exercise. Keys from sea-level habit are "
        "too low here."
    )


def _height(finding: Finding, name: str, units: Units) -> str:
    return units.rounded_height(finding.number(name))


AIR_FINDINGS: dict[str, FindingWords] = {
    "tailwind": _tailwind,
    "crosswind": _crosswind,
    "gusts": _gusts,
    "strong-wind-at-entry": _strong_wind,
    "wind-aloft-unknown": _wind_aloft_unknown,
    "cloud": _cloud,
    "scattered-cloud": _scattered_cloud,
    "visibility": _visibility,
    "night": _night,
    "night-now": _night_now,
    "typed-over-report": _typed_over_report,
    "report-not-of-this-hour": _report_age,
    "go-around-climb": _go_around_climb,
    "go-around-climb-unknown": _go_around_unknown,
    "sea-level-habit": _sea_level_habit,
}

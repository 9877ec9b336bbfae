"""The document `volplane/measure/1` and its words: the glide that partial glides show."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from volplane import units as si
from volplane.domain.airplane.measured_glide import MeasuredConfiguration, MeasuredGlide
from volplane.domain.airplane.partial_glides import JudgedGlide, Why
from volplane.domain.finding import Finding
from volplane.faces.documents import wording
from volplane.faces.documents.quantities import deg, fpm, kt, lb, pure, rounded, seconds
from volplane.faces.documents.wording import IMPERIAL, Units

SCHEMA = "volplane/measure/1"
# 95 % of a normal distribution lie within so many standard deviations; every `sd` here is made to be read so
NINETY_FIVE = 1.96

_WHY: dict[Why, str] = {
    Why.CLIMBING: "does not come down: a climb, or start and end heights exchanged",
    Why.POWER_ON: "power on: the manifold pressure is above that of a closed throttle",
    Why.TOO_STEEP: "steeper than a glide: check the heights and the time",
    Why.NOT_STEADY: "the speed changed too much on the way",
    Why.UNKNOWN_CONFIGURATION: "a configuration the airplane file does not know",
    Why.WEIGHT: "a weight this airplane cannot have",
    Why.STALLED: "slower than the stall",
    Why.SINKS_MORE: "more than the curve says: sinking air, drag of something out, or a slip",
    Why.SINKS_LESS: "less than the curve says: rising air, power, or a slip",
}


def measure_document(
    measured: MeasuredGlide, *, airplane: str, written: str | None = None, kept: str | None = None
) -> dict[str, Any]:
    """The measured glide; `written` is the airplane file written, `kept` where the old one is."""
    return {
        "schema": SCHEMA,
        "airplane": airplane,
        "best_speed_kcas": kt(measured.best_eas_mps),
        "best_speed_sd_kt": _fine_kt(measured.best_eas_sd_mps),
        "ratio": rounded(measured.ratio, 2),
        "ratio_sd": rounded(measured.ratio_sd, 2),
        "weight_lb": lb(measured.reference_weight_kg),
        "sink_at_best_fpm": fpm(measured.sink_at_best_mps),
        "sink_at_best_sd_fpm": fpm(measured.sink_at_best_sd_mps),
        "minimum_sink_fpm": fpm(measured.minimum_sink_mps),
        "minimum_sink_sd_fpm": fpm(measured.minimum_sink_sd_mps),
        "minimum_sink_speed_kcas": kt(measured.minimum_sink_eas_mps),
        "fit": "curve" if measured.is_curve else "parabola",
        "scatter": pure(measured.scatter_ratio),
        "curve": [
            {"speed_kcas": kt(speed), "sink_fpm": fpm(sink), "sink_sd_fpm": fpm(sd)}
            for speed, sink, sd in zip(
                measured.band.eas_mps, measured.band.sink_mps, measured.band.sink_sd_mps, strict=True
            )
        ],
        "points": [_point_entry(point) for point in measured.points],
        "configurations": [_configuration_entry(each) for each in measured.configurations],
        "findings": [
            {"code": each.code, "severity": str(each.severity), "text": finding_text(each)}
            for each in measured.findings
        ],
        "written": written,
        "kept": kept,
    }


def why_text(point: JudgedGlide, units: Units = IMPERIAL) -> str:
    """Why a glide has no part in the result, in words; "" where it has."""
    if point.why is None:
        return ""
    words = _WHY[point.why]
    if point.why is Why.UNKNOWN_CONFIGURATION:
        return f"{words}: {point.glide.configuration}"
    if point.why in (Why.SINKS_MORE, Why.SINKS_LESS) and point.residual_mps is not None:
        return f"sinks {units.sink.text(abs(point.residual_mps))} {words}"
    return words


def finding_text(finding: Finding, units: Units = IMPERIAL) -> str:
    """A finding of a measurement as a sentence."""
    return _FINDINGS[finding.code](finding, units)


def fit_text(measured: MeasuredGlide) -> str:
    """Which curve was taken, and why."""
    if measured.is_curve:
        return "A smooth curve: the glides speak against a parabola."
    return "A parabola: nothing in the glides speaks against it."


def _range(finding: Finding, units: Units) -> str:
    flown, needed = (wording.figure(finding.number(name), 2) for name in ("range_ratio", "needed_ratio"))
    return (
        f"The fastest glide is {flown} times as fast as the slowest. Under {needed} times induced drag cannot be told "
        "from the rest; that of the handbook was leaned on. Fly slower and faster glides too."
    )


def _rough(finding: Finding, units: Units) -> str:
    times = wording.figure(finding.number("scatter_ratio"), 1)
    return f"The glides scatter {times} times as much as in smooth air; measure again on a smooth morning."


def _beyond(finding: Finding, units: Units) -> str:
    best = units.speed.text(finding.number("best_eas_mps"))
    slowest, fastest = (units.speed.text(finding.number(f"{name}_eas_mps")) for name in ("slowest", "fastest"))
    return f"The best speed, {best}, lies outside the speeds flown, {slowest} to {fastest}; fly glides around it."


def _weight(finding: Finding, units: Units) -> str:
    weight = units.weight.text(finding.number("weight_kg"))
    return f"Nobody said the weight in the recordings; {weight} was taken. Best speed goes with the root of the weight."


_FINDINGS: dict[str, Callable[[Finding, Units], str]] = {
    "induced-drag-from-handbook": _range,
    "rough-air": _rough,
    "recording-weight-assumed": _weight,
    "best-speed-beyond-flown": _beyond,
}


def _fine_kt(speed_mps: float) -> float | None:
    return rounded(speed_mps / si.KNOT_MPS, 2)


def _point_entry(point: JudgedGlide) -> dict[str, Any]:
    glide = point.glide
    return {
        "speed_kcas": kt(point.eas_mps),
        "sink_fpm": fpm(point.sink_mps),
        "ratio": rounded(point.ratio, 2),
        "used": point.is_used,
        "why": why_text(point) or None,
        "source": glide.place,
        "configuration": glide.configuration,
        "flown_speed_kcas": kt(glide.cas_mps),
        "flown_sink_fpm": fpm(glide.sink_mps),
        "flown_weight_lb": lb(glide.weight_kg),
        "bank_deg": deg(glide.bank_rad),
        "time_s": seconds(glide.time_s),
        "residual_fpm": fpm(point.residual_mps),
    }


def _configuration_entry(found: MeasuredConfiguration) -> dict[str, Any]:
    return {
        "name": found.name,
        "extra_drag": rounded(found.extra_drag_factor, 3),
        "extra_drag_sd": rounded(found.extra_drag_factor_sd, 3),
        "glides": found.glides_count,
    }

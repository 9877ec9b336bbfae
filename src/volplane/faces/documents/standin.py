"""The document `volplane/standin/1`: the stand-in setting, its manifold pressure by height, and its honesty."""

from __future__ import annotations

from typing import Any

from volplane.domain.airplane.honesty import HeightRow, HonestyRow
from volplane.domain.airplane.powered_glide import JudgedPoint
from volplane.domain.airplane.stand_in import LOWEST_MANIFOLD_PRESSURE_PA
from volplane.domain.exercise.stand_in_flown import FlownExercise
from volplane.faces.documents.quantities import deg, degc, fpm, ft, inhg, kt, lb, pure, rounded
from volplane.faces.documents.standin_words import finding_text, why_text
from volplane.faces.documents.wording import CAUTION_LINES, IMPERIAL, Units
from volplane.services.standing_in import StandInAnswer
from volplane.units import RPM_RADPS

SCHEMA = "volplane/standin/1"


def standin_document(
    answer: StandInAnswer, units: Units = IMPERIAL, *, written: str | None = None, kept: str | None = None
) -> dict[str, Any]:
    """A stand-in as `volplane/standin/1`. `units` are those of its sentences; its numbers are always in trade units.

    `written` is the airplane file the setting was written into, `kept` where the file that stood there is kept.
    """
    found = answer.found
    here = found.conditions
    return {
        "schema": SCHEMA,
        "airplane": answer.airplane.name,
        "configuration": answer.configuration.name,
        "configuration_estimate": answer.configuration.is_estimate,
        "extra_drag": pure(found.extra_drag_factor),
        "extra_drag_sd": pure(found.extra_drag_sd_factor),
        "extra_drag_measured": answer.measured_configuration() is not None,
        "source": "points" if answer.is_from_points else "model",
        "weight_lb": lb(here.weight_kg),
        "altitude_ft": ft(here.altitude_msl_m),
        "temperature_degc": degc(here.air.temperature_k),
        "rpm": rounded(here.engine_speed_radps / RPM_RADPS, 0),
        "speed_kias": kt(answer.ias_mps(found.best_eas_mps)),
        "manifold_pressure_inhg": inhg(_shown_pa(answer)),
        "sd_inhg": inhg(found.sd_pa),
        "setting_inhg": inhg(found.setting_pa),
        "real_sink_fpm": fpm(found.real_sink_mps),
        "standin_sink_fpm": fpm(found.setting_sink_mps),
        "by_height": [_height(row) for row in answer.heights],
        "retrim_ft": [ft(altitude) for altitude in answer.retrim_msl_m],
        "honesty": [_honesty(answer, row) for row in answer.honesty],
        "exercise": [_exercise(each) for each in answer.flown],
        "others": [
            {
                "configuration": each.configuration,
                "manifold_pressure_inhg": inhg(each.manifold_pressure_pa),
                "sd_inhg": inhg(each.sd_pa),
            }
            for each in answer.others
        ],
        "points": [_point(answer, judged) for judged in found.points],
        "findings": [
            {"code": each.code, "severity": each.severity.value, "text": finding_text(each, units)}
            for each in answer.findings
        ],
        "estimates": sorted(found.powered.plant.estimates),
        "not_observable": _not_observable(answer),
        "written": written,
        "kept": kept,
        "caution": list(CAUTION_LINES),
    }


def _shown_pa(answer: StandInAnswer) -> float | None:
    """The match, None where no gauge could show it."""
    wanted_pa = answer.found.wanted_pa
    return wanted_pa if wanted_pa >= LOWEST_MANIFOLD_PRESSURE_PA else None


def _height(row: HeightRow) -> dict[str, Any]:
    return {
        "altitude_ft": ft(row.altitude_msl_m),
        "manifold_pressure_inhg": inhg(row.manifold_pressure_pa),
        "honest_inhg": inhg(row.honest_pa),
        "error_fpm": fpm(row.sink_error_mps),
    }


def _honesty(answer: StandInAnswer, row: HonestyRow) -> dict[str, Any]:
    return {
        "phase": row.phase,
        "speed_kias": kt(answer.ias_mps(row.eas_mps)),
        "speed_offset_kt": kt(row.speed_offset_mps),
        "bank_deg": deg(row.bank_rad),
        "headwind_kt": kt(row.headwind_mps),
        "real_sink_fpm": fpm(row.real_sink_mps),
        "standin_sink_fpm": fpm(row.stand_in_sink_mps),
        "standin_sink_sd_fpm": fpm(row.stand_in_sink_sd_mps),
        "difference_fpm": fpm(row.difference_mps),
        "verdict": row.verdict or None,
        "real_ground_ratio": pure(row.real_ground_ratio),
        "standin_ground_ratio": pure(row.stand_in_ground_ratio),
    }


def _exercise(flown: FlownExercise) -> dict[str, Any]:
    return {
        "speed_offset_kt": kt(flown.speed_offset_mps),
        "headwind_kt": kt(flown.headwind_mps),
        "error_ft": ft(flown.error_m),
        "more_ft": ft(flown.more_m),
        "less_ft": ft(flown.less_m),
        "parts": [
            {
                "part": part.part,
                "real_loss_ft": ft(part.real_loss_m),
                "standin_loss_ft": ft(part.stand_in_loss_m),
                "error_ft": ft(part.error_m),
            }
            for part in flown.parts
        ],
    }


def _point(answer: StandInAnswer, judged: JudgedPoint) -> dict[str, Any]:
    point = judged.point
    return {
        "line": point.line_number,
        "manifold_pressure_inhg": inhg(point.manifold_pressure_pa),
        "rpm": rounded(point.engine_speed_radps / RPM_RADPS, 0),
        "speed_kias": kt(answer.ias_mps(point.eas_mps)),
        "sink_fpm": fpm(point.sink_mps),
        "reference_sink_fpm": fpm(judged.reference_sink_mps),
        "residual_fpm": fpm(judged.residual_mps),
        "used": judged.is_used,
        "why": why_text(judged.why),
    }


def _not_observable(answer: StandInAnswer) -> list[dict[str, str]]:
    """Why keys of the document are null."""
    reasons = {
        "honesty[].standin_sink_sd_fpm": "On final, and near the stall, no spread is worked out.",
        "honesty[].real_ground_ratio": "Given in straight flight only, where way is made good.",
        "honesty[].standin_ground_ratio": "Given in straight flight only, where way is made good.",
    }
    if any(row.real_sink_mps is None for row in answer.honesty):
        too_near = "Too near the stall in that turn to be compared."
        for key in ("real_sink_fpm", "standin_sink_fpm", "difference_fpm", "verdict"):
            reasons[f"honesty[].{key}"] = too_near
    if _shown_pa(answer) is None:
        reasons["manifold_pressure_inhg"] = "The drag is so small that even a closed throttle sinks less."
    if any(judged.why == "sink" for judged in answer.found.points):
        for key in ("reference_sink_fpm", "residual_fpm"):
            reasons[f"points[].{key}"] = "A sink no glide has cannot be brought to other conditions."
    return [{"key": key, "reason": reason} for key, reason in reasons.items()]

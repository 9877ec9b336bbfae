"""The document `volplane/plan/1`: a solved exercise in trade units."""

from __future__ import annotations

import math
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.plan import Binding, Lever, Phase, Plan, PlannedGate
from volplane.domain.exercise.speeds import ias_mps_from_cas_mps
from volplane.domain.finding import Finding
from volplane.domain.geometry.angles import true_rad_from_runway_heading_rad
from volplane.faces.documents.comparison import comparison_document
from volplane.faces.documents.dispersion import dispersion_document
from volplane.faces.documents.quantities import (
    deg,
    degc,
    direction_deg,
    ft,
    in_trade_units,
    inhg,
    kt,
    lb,
    nm,
    place_deg,
    rounded,
    seconds,
    utc,
)
from volplane.faces.documents.ways import leg_speeds_document, ways_document
from volplane.faces.documents.wording import CAUTION_LINES, IMPERIAL, Units

SCHEMA = "volplane/plan/1"
# rows of the path are this far apart in time, besides those where the phase or the configuration changes
PATH_STEP_S = 1.0


class PlanWords(Protocol):
    """The sentences of a plan: `volplane.faces.documents.plan_words`, or others in tests."""

    def finding_text(self, finding: Finding, units: Units) -> str:
        """A finding as a sentence."""
        ...

    def binding_text(self, binding: Binding, units: Units) -> str:
        """The limit that makes the exercise impossible, as a sentence."""
        ...

    def phase_texts(self, phase: Phase, units: Units) -> tuple[str, str]:
        """What is done for real and what is flown in a phase."""
        ...


def plan_document(plan: Plan, units: Units = IMPERIAL, words: PlanWords | None = None) -> dict[str, Any]:
    """A plan as `volplane/plan/1`. `units` are those of its sentences; its numbers are always in trade units."""
    said = _own_words() if words is None else words
    return {
        "schema": SCHEMA,
        "exercise": _exercise(plan),
        "feasible": plan.feasible,
        "gates": [_gate(gate) for gate in plan.gates],
        "phases": [_phase(phase, units, said) for phase in plan.phases],
        "path": _path(plan),
        "ledger": _ledger(plan),
        "circles": 0 if plan.legs.circles is None else plan.legs.circles.count,
        "ends_in": "go-around" if plan.ends_in_go_around else "touchdown",
        "surplus_ft": ft(plan.surplus_m),
        "fine_pitch": _fine_pitch(plan),
        "touchdown": {"x_ft": ft(plan.touchdown_x_m), "time_s": seconds(plan.touchdown_time_s)},
        "ways_to_lose_height": ways_document(plan.ways),
        "speed_to_fly": leg_speeds_document(plan.leg_speeds),
        "dispersion": None if plan.dispersion is None else dispersion_document(plan.dispersion),
        "findings": [_finding(each, units, said) for each in plan.findings],
        "break_off": _break_off(plan),
        "binding": _binding(plan, units, said),
        "levers": [_lever(each) for each in plan.levers],
        "comparison": comparison_document(plan.comparison, units),
        "not_observable": _not_observable(plan),
        "caution": list(CAUTION_LINES),
    }


def _own_words() -> PlanWords:
    from volplane.faces.documents import plan_words

    return plan_words


def _exercise(plan: Plan) -> dict[str, Any]:
    """What the plan was made for, so that the document can be read without its files."""
    exercise = plan.exercise
    return {
        "airplane": exercise.airplane.name,
        "airfield": exercise.airfield.name,
        "runway": exercise.runway.name,
        "pattern": exercise.pattern.value,
        "shape": exercise.shape.value,
        "weight_lb": lb(exercise.weight_kg),
        "utc": utc(exercise.time_unix_s),
        "qnh_inhg": inhg(exercise.weather.atmosphere.qnh_pa),
        "temperature_degc": degc(exercise.weather.atmosphere.field_temperature_k),
        "variation_east_deg": deg(exercise.airfield.variation_east_rad),
        "ground_msl_ft": ft(exercise.ground_msl_m),
        "standard": exercise.standard,
        "stated": sorted(exercise.stated),
        "estimates": sorted(exercise.airplane.estimates),
    }


def _gate(gate: PlannedGate) -> dict[str, Any]:
    return {
        "name": gate.name.value,
        "height_ft": ft(gate.height_m),
        "altimeter_ft": ft(gate.altimeter_msl_m),
        "required_ft": ft(gate.required_m),
        "lowest_ft": ft(gate.lowest_m),
        "highest_ft": ft(gate.highest_m),
        "altimeter_lowest_ft": ft(gate.altimeter_lowest_msl_m),
        "altimeter_highest_ft": ft(gate.altimeter_highest_msl_m),
        "x_ft": ft(gate.x_m),
        "y_ft": ft(gate.y_m),
        "distance_abeam_nm": nm(abs(gate.y_m)),
        "latitude_deg": place_deg(gate.latitude_deg),
        "longitude_deg": place_deg(gate.longitude_deg),
        "heading_true_deg": direction_deg(gate.heading_true_rad),
        "heading_magnetic_deg": direction_deg(gate.heading_magnetic_rad),
        "track_true_deg": direction_deg(gate.track_true_rad),
        "time_s": seconds(gate.time_s),
        "speed_kias": kt(gate.ias_mps),
    }


def _phase(phase: Phase, units: Units, said: PlanWords) -> dict[str, Any]:
    real, flown = said.phase_texts(phase, units)
    pressures = (phase.manifold_pressure_from_pa, phase.manifold_pressure_to_pa)
    start, end = (inhg(pressure) for pressure in pressures)
    return {
        "name": phase.name,
        "from": phase.start,
        "real": real,
        "flown": flown,
        "speed_kias": kt(phase.ias_mps),
        "manifold_pressure_from_inhg": start,
        "manifold_pressure_to_inhg": end,
    }


def _path(plan: Plan) -> list[dict[str, Any]]:
    """The path row by row; headings of the runway frame become true ones."""
    path, exercise = plan.path, plan.exercise
    bearing = exercise.runway.bearing_true_rad
    heading = true_rad_from_runway_heading_rad(path.heading_rad, bearing)
    track = true_rad_from_runway_heading_rad(path.track_rad, bearing)
    above_field = path.height_m + (exercise.ground_msl_m - exercise.airfield.elevation_msl_m)
    cas = exercise.weather.atmosphere.cas_mps_from_tas_mps(path.tas_mps, above_field)
    return [
        {
            "time_s": seconds(path.time_s[row]),
            "x_ft": ft(path.x_m[row]),
            "y_ft": ft(path.y_m[row]),
            "height_ft": ft(path.height_m[row]),
            "heading_true_deg": direction_deg(heading[row]),
            "track_true_deg": direction_deg(track[row]),
            "bank_deg": deg(path.bank_rad[row]),
            "speed_kias": kt(ias_mps_from_cas_mps(exercise.airplane, float(cas[row]))),
            "configuration": path.configuration_names[int(path.configuration_index[row])],
        }
        for row in _rows(path.time_s, path.phase_index, path.configuration_index)
    ]


def _rows(time_s: NDArray[np.float64], phase: NDArray[np.int64], configuration: NDArray[np.int64]) -> list[int]:
    """Rows to print: one a step of time, the first and last, and the first of every phase and configuration."""
    rows: list[int] = []
    due_s = -math.inf
    for row, now_s in enumerate(time_s):
        is_change = row > 0 and (phase[row] != phase[row - 1] or configuration[row] != configuration[row - 1])
        if now_s >= due_s - 1e-6 or is_change or row == len(time_s) - 1:
            rows.append(row)
        if now_s >= due_s - 1e-6:
            due_s = now_s + PATH_STEP_S
    return rows


def _ledger(plan: Plan) -> list[dict[str, Any]]:
    """The ledger with its running sum rounded, so that the parts as printed still add up to the entry height."""
    entries: list[dict[str, Any]] = []
    sum_m, printed_ft = 0.0, 0.0
    for each in plan.ledger:
        sum_m += each.height_m
        sum_ft = ft(sum_m) or 0.0
        entries.append({"item": each.item, "height_ft": rounded(sum_ft - printed_ft, 1)})
        printed_ft = sum_ft
    return entries


def _fine_pitch(plan: Plan) -> dict[str, Any] | None:
    if plan.fine_pitch is None:
        return None
    fine = plan.fine_pitch
    return {
        "cause": "no oil pressure",
        "extra_ft": {"low_key": ft(fine.extra_to_low_key_m), "touchdown": ft(fine.extra_to_touchdown_m)},
        "estimate": fine.is_estimate,
        "gates": [
            {
                "name": gate.name.value,
                "required_ft": ft(gate.required_m),
                "lowest_ft": ft(gate.lowest_m),
                "altimeter_lowest_ft": ft(gate.altimeter_lowest_msl_m),
                "in_hand_ft": ft(gate.in_hand_m),
            }
            for gate in fine.gates
        ],
    }


def _break_off(plan: Plan) -> dict[str, Any]:
    rule = plan.break_off
    return {
        "height_ft": ft(rule.height_m),
        "altimeter_ft": ft(rule.altimeter_msl_m),
        "speed_low_kias": kt(rule.ias_low_mps),
        "speed_high_kias": kt(rule.ias_high_mps),
        "bank_deg": deg(rule.bank_rad),
    }


def _finding(finding: Finding, units: Units, said: PlanWords) -> dict[str, Any]:
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "text": said.finding_text(finding, units),
    }


def _binding(plan: Plan, units: Units, said: PlanWords) -> dict[str, Any] | None:
    if plan.binding is None:
        return None
    return {"code": plan.binding.code, "text": said.binding_text(plan.binding, units)}


def _lever(lever: Lever) -> dict[str, Any]:
    now, unit = in_trade_units(lever.now, lever.quantity)
    needed, _ = in_trade_units(lever.needed, lever.quantity)
    return {"key": lever.key, "now": now, "needed": needed, "unit": unit}


def _not_observable(plan: Plan) -> list[dict[str, str]]:
    """Why keys of the document are null."""
    reasons = {
        "ways_to_lose_height": "Worked out where asked for, and the exercise is possible as wished.",
        "speed_to_fly": "Worked out where asked for.",
        "dispersion": "Worked out only when runs are asked for and the exercise is possible as wished.",
        "comparison": "Worked out only when a comparison of runways is asked for.",
    }
    if plan.dispersion is not None:
        del reasons["dispersion"]
    if plan.comparison:
        del reasons["comparison"]
    if plan.ways:
        del reasons["ways_to_lose_height"]
    if plan.leg_speeds:
        del reasons["speed_to_fly"]
    if plan.fine_pitch is None:
        reasons["fine_pitch"] = (
            "Not worked out: no configuration with the propeller in fine pitch, or no plan to compare."
        )
    return [{"key": key, "reason": reason} for key, reason in reasons.items()]

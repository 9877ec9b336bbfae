"""What an instructor should know about a stand-in before a lesson. Thresholds are ours where nothing else is said."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from volplane.domain.airplane.engine_care import least_manifold_pressure_pa
from volplane.domain.airplane.honesty import FINAL_POWER_OFF, STILL_AIR, HonestyRow
from volplane.domain.finding import Finding, Severity, by_weight
from volplane.domain.glide.configuration import Flap, Gear
from volplane.units import FOOT_M, FOOT_PER_MINUTE_MPS, INCH_OF_MERCURY_PA, KNOT_MPS

if TYPE_CHECKING:
    from volplane.services.standing_in import StandInAnswer

# points nearer to each other than this leave the slope to the model
CLOSE_POINTS_PA = 2.0 * INCH_OF_MERCURY_PA
# a setting known no better than this is a guess
UNCERTAIN_PA = 1.0 * INCH_OF_MERCURY_PA
# a setting in the file that is off by less than this needs no word
DISAGREES_PA = 0.5 * INCH_OF_MERCURY_PA
# an exercise whose stand-in is off by more than this teaches a wrong picture
EXERCISE_ERROR_M = 100.0 * FOOT_M
DISHONEST_MPS = 75.0 * FOOT_PER_MINUTE_MPS
FASTEST_OFFSET_MPS = 20.0 * KNOT_MPS


def stand_in_findings(answer: StandInAnswer) -> tuple[Finding, ...]:
    """The findings of a stand-in, stops first."""
    found = [
        *_limits(answer),
        *_setting(answer),
        *_points(answer),
        *_honesty(answer),
        *_on_the_way_down(answer),
        *_exercise(answer),
        *_engine(answer),
    ]
    return by_weight(found)


def _limits(answer: StandInAnswer) -> Iterator[Finding]:
    """Gear and flap against the speeds of the table: never beyond a known limit, an unknown one is to be looked up."""
    limits, out = answer.airplane.limits, answer.configuration
    best_mps = answer.ias_mps(answer.found.best_eas_mps)
    wanted = [("gear", limits.gear_ias_mps)] if out.gear is Gear.DOWN else []
    if out.flap is not Flap.UP:
        flap_mps = limits.approach_flap_ias_mps if out.flap is Flap.APPROACH else limits.full_flap_ias_mps
        wanted.append((f"{out.flap.value} flap", flap_mps))
    for what, limit_mps in wanted:
        if limit_mps is None:
            yield Finding("limit-unknown", Severity.NOTE, {"what": what})
        elif best_mps > limit_mps:
            yield Finding("above-limit", Severity.STOP, {"what": what, "ias_mps": best_mps, "limit_mps": limit_mps})
        elif best_mps + FASTEST_OFFSET_MPS > limit_mps:
            yield Finding("near-limit", Severity.NOTE, {"what": what, "limit_mps": limit_mps})


def _setting(answer: StandInAnswer) -> Iterator[Finding]:
    found, airplane = answer.found, answer.airplane
    least_pa = airplane.limits.minimum_descent_manifold_pressure_pa
    if least_pa is not None and found.wanted_pa < least_pa:
        less_mps = found.real_sink_mps - found.setting_sink_mps
        more_drag = [
            each.configuration
            for each in answer.others
            if each.manifold_pressure_pa >= least_pa and each.manifold_pressure_pa > found.wanted_pa
        ]
        quantities = {"wanted_pa": found.wanted_pa, "least_pa": least_pa, "sink_mps": less_mps}
        severity = Severity.CAUTION if less_mps > DISHONEST_MPS else Severity.NOTE
        yield Finding("below-least", severity, {**quantities, "others": ", ".join(more_drag)})
    if least_pa is None:
        yield Finding("limit-unknown", Severity.NOTE, {"what": "least manifold pressure"})
    if found.sd_pa > UNCERTAIN_PA:
        yield Finding("setting-uncertain", Severity.CAUTION, {"sd_pa": found.sd_pa})
    stated = airplane.stand_in
    if stated is not None and answer.stated_sink_mps is not None:
        off_pa = stated.manifold_pressure_pa - found.setting_pa
        if abs(off_pa) > max(DISAGREES_PA, 2.0 * found.sd_pa):
            quantities = {
                "stated_pa": stated.manifold_pressure_pa,
                "setting_pa": found.setting_pa,
                "sink_mps": answer.stated_sink_mps - found.real_sink_mps,
            }
            yield Finding("setting-disagrees", Severity.CAUTION, quantities)


def _points(answer: StandInAnswer) -> Iterator[Finding]:
    used = [judged.point for judged in answer.found.points if judged.is_used]
    left_out = len(answer.found.points) - len(used)
    if left_out:
        yield Finding("points-left-out", Severity.NOTE, {"count": float(left_out)})
    if not used:
        count = float(len(answer.found.powered.plant.estimates))
        yield Finding("model-only", Severity.CAUTION, {"sd_pa": answer.found.sd_pa, "count": count})
        return
    pressures = [point.manifold_pressure_pa for point in used]
    if max(pressures) - min(pressures) < CLOSE_POINTS_PA:
        yield Finding("points-close", Severity.NOTE, {"span_pa": max(pressures) - min(pressures)})
    if not min(pressures) <= answer.found.setting_pa <= max(pressures):
        quantities = {"setting_pa": answer.found.setting_pa, "low_pa": min(pressures), "high_pa": max(pressures)}
        yield Finding("beyond-points", Severity.CAUTION, quantities)


def _honesty(answer: StandInAnswer) -> Iterator[Finding]:
    """The straight rows of the table that lie, the worst on either side, and the final."""
    straight = [row for row in answer.honesty if row.phase == STILL_AIR and row.bank_rad == 0.0]
    for code, verdict in (("sinks-more", "sinks more"), ("sinks-less", "sinks less")):
        lying = [row for row in straight if row.verdict == verdict]
        if lying:
            yield _lie(code, max(lying, key=lambda row: abs(row.difference_mps or 0.0)))
    final = next((row for row in answer.honesty if row.phase == FINAL_POWER_OFF), None)
    if final is not None and final.verdict == "sinks more":
        yield _lie("power-off-final", final, Severity.NOTE)


def _lie(code: str, row: HonestyRow, severity: Severity = Severity.CAUTION) -> Finding:
    quantities: dict[str, float | str] = {
        "offset_mps": row.speed_offset_mps,
        "sink_mps": abs(row.difference_mps or 0.0),
        "part_fraction": abs(row.difference_mps or 0.0) / (row.real_sink_mps or math.inf),
    }
    return Finding(code, severity, quantities)


def _on_the_way_down(answer: StandInAnswer) -> Iterator[Finding]:
    highest, lowest = answer.heights[0], answer.heights[-1]
    if highest.altitude_msl_m > lowest.altitude_msl_m:
        creep = lowest.manifold_pressure_pa - highest.manifold_pressure_pa
        per_m = creep / (highest.altitude_msl_m - lowest.altitude_msl_m)
        yield Finding("creep", Severity.NOTE, {"per_thousand_feet_pa": per_m * 1000.0 * FOOT_M})
    for altitude_m in answer.retrim_msl_m[:1]:
        yield Finding("retrim", Severity.NOTE, {"altitude_msl_m": altitude_m})


def _exercise(answer: StandInAnswer) -> Iterator[Finding]:
    """The whole exercise: what the dead engine would do after practice with this setting."""
    planned = next(each for each in answer.flown if each.speed_offset_mps == 0.0 and not each.is_in_stronger_wind)
    quantities = {"error_m": planned.error_m, "more_m": planned.more_m, "less_m": planned.less_m}
    severity = Severity.CAUTION if abs(planned.error_m) > EXERCISE_ERROR_M else Severity.NOTE
    yield Finding("exercise-error", severity, quantities)


def _engine(answer: StandInAnswer) -> Iterator[Finding]:
    """Engine care, advisory: power taken off in one go on final, and a propeller that may drive the engine."""
    found, airplane = answer.found, answer.airplane
    here = found.conditions
    least_pa = least_manifold_pressure_pa(
        found.powered.plant,
        here.engine_speed_radps,
        here.air,
        airplane.limits.minimum_descent_manifold_pressure_pa,
    )
    if found.setting_pa < least_pa - 1.0:
        yield Finding("propeller-may-drive", Severity.NOTE, {"setting_pa": found.setting_pa, "least_pa": least_pa})
    yield Finding("power-off-slowly", Severity.NOTE, {"setting_pa": found.setting_pa})

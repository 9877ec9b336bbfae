"""The phase table: what is done for a real dead engine, and what is flown in practice with the stand-in."""

from __future__ import annotations

from volplane.domain.exercise.exercise import GateName, ShapeName
from volplane.domain.exercise.flying import Bench
from volplane.domain.exercise.pilot_limits import wished_ias_mps
from volplane.domain.exercise.plan import Phase
from volplane.domain.exercise.windows import gate_ias_mps
from volplane.units import KNOT_MPS

# the set-up is flown so much faster than best glide, to the next 5 kt down (ours), never above gear and flap limits
_SET_UP_FACTOR = 1.17
_FIVE_KNOTS_MPS = 5.0 * KNOT_MPS


# the glide's name and where it begins, by shape
_GLIDES = {
    ShapeName.OVERHEAD: ("high key to base key", GateName.HIGH_KEY.value),
    ShapeName.POWER_OFF_180: ("low key to base key", GateName.LOW_KEY.value),
    ShapeName.NINETY_DEGREES: ("base key to final", GateName.BASE_KEY.value),
    ShapeName.STEEP_SPIRAL: ("spiral to base key", "spiral"),
    ShapeName.EN_ROUTE: ("failure to base key", "failure"),
}


def phase_table(ready: Bench) -> tuple[Phase, ...]:
    """Set-up, glide to the base key, final, touchdown or go-around; `real` and `flown` are codes or configurations.

    The stand-in's manifold pressure creeps up on the way down at a fixed throttle, as the pressure outside does.
    """
    exercise, limits = ready.exercise, ready.limits
    airplane = exercise.airplane
    glide_ias_mps = gate_ias_mps(ready, limits.glide_eas_mps, exercise.low_key_height_m)
    begin_pa = _manifold_pressure_pa(ready, exercise.entry_height_m)
    end_pa = _manifold_pressure_pa(ready, 0.5 * exercise.low_key_height_m)
    stand_in = "no stand-in" if airplane.stand_in is None else airplane.stand_in.configuration
    wished = next((phase.configuration for phase in exercise.phases if phase.configuration), None)
    name, start = _GLIDES[exercise.shape]
    speed_mps = _wished_glide_ias_mps(ready) or glide_ias_mps
    final_mps = wished_ias_mps(exercise, GateName.FINAL) or airplane.approach_ias_mps
    return (
        Phase("set-up", f"before the {start}", _set_up_ias_mps(ready, glide_ias_mps), "set-up", "set-up", begin_pa),
        Phase(name, start, speed_mps, limits.glide_configuration.name, wished or stand_in, begin_pa, end_pa),
        Phase("final", "point made", final_mps, "landing", "landing"),
        _last(ready, final_mps),
    )


def _wished_glide_ias_mps(ready: Bench) -> float | None:
    """The phase table's own speed for the glide: that of the first key the shape passes."""
    exercise = ready.exercise
    low_key = wished_ias_mps(exercise, GateName.LOW_KEY)
    return (wished_ias_mps(exercise, GateName.HIGH_KEY) if exercise.shape.has_high_key else None) or low_key


def _last(ready: Bench, final_ias_mps: float) -> Phase:
    """The touchdown; over a practice floor the go-around."""
    if ready.exercise.flies_to_practice_floor:
        return Phase("go-around", "practice floor", final_ias_mps, "go-around", "go-around")
    return Phase("touchdown", "touchdown", ready.exercise.airplane.touchdown_ias_mps, "touchdown", "touchdown")


def _set_up_ias_mps(ready: Bench, glide_ias_mps: float) -> float:
    limits = ready.exercise.airplane.limits
    wished = _FIVE_KNOTS_MPS * int(_SET_UP_FACTOR * glide_ias_mps / _FIVE_KNOTS_MPS)
    known = [limit for limit in (limits.gear_ias_mps, limits.approach_flap_ias_mps) if limit is not None]
    return min([max(wished, glide_ias_mps), *known])


def _manifold_pressure_pa(ready: Bench, height_m: float) -> float | None:
    """The stand-in's manifold pressure at a height with the throttle left where it was set."""
    stand_in = ready.exercise.airplane.stand_in
    if stand_in is None:
        return None
    air, base_m = ready.air.atmosphere, ready.air.base_above_field_m
    set_at_m = stand_in.altitude_msl_m - air.field_elevation_msl_m
    ratio = float(air.pressure_pa(height_m + base_m)) / float(air.pressure_pa(set_at_m))
    return stand_in.manifold_pressure_pa * ratio

"""The plan's second line: no oil pressure, the propeller in fine pitch.

Most single-engine governors need oil pressure to hold coarse pitch. Whoever loses the engine with its oil glides with
the propeller fine, some fifth less far; the same gates then need more height.
"""

from __future__ import annotations

import numpy as np

from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.flying import Bench, bench
from volplane.domain.exercise.ledger import fine_pitch_extra_m
from volplane.domain.exercise.pilot_limits import fine_pitch_configuration, gliding_configuration, with_propeller_fine
from volplane.domain.exercise.plan import FinePitch, FinePitchGate, PlannedGate
from volplane.domain.exercise.windows import Windows, windows
from volplane.domain.glide.configuration import Configuration, Propeller
from volplane.domain.glide.defaults import with_propeller
from volplane.domain.glide.guided_flight import GuidedFlight
from volplane.domain.glide.touchdown import DoesNotTouchDown


def fine_pitch(ready: Bench, flight: GuidedFlight, gates: tuple[PlannedGate, ...], low_key_s: float) -> FinePitch:
    """What the propeller in fine pitch costs along the planned path, and what each gate then needs.

    The gates' heights are those from which the fine-pitch airplane, landing included, still reaches its aim point; none
    are given where it would not even come to a landing.
    """
    fine = _fine(ready.exercise)
    factor = fine.extra_drag_factor - gliding_configuration(ready.exercise).extra_drag_factor
    whole_s = float(flight.path.time_s[-1])
    to_low_key_m, to_touchdown_m = (
        fine_pitch_extra_m(flight, ready.glide, factor, until_s) for until_s in (low_key_s, whole_s)
    )
    return FinePitch(to_low_key_m, to_touchdown_m, fine.is_estimate, _gates(ready, flight, gates, fine))


def _fine(exercise: Exercise) -> Configuration:
    """Clean in fine pitch: the airplane file's own, else the gliding configuration with the estimate added."""
    return fine_pitch_configuration(exercise) or with_propeller(gliding_configuration(exercise), Propeller.FINE)


def _gates(
    ready: Bench, flight: GuidedFlight, gates: tuple[PlannedGate, ...], fine: Configuration
) -> tuple[FinePitchGate, ...]:
    exercise = ready.exercise
    try:
        stuck = bench(exercise, with_propeller_fine(ready.limits, fine))
    except DoesNotTouchDown:
        return ()
    around = windows(stuck, flight)
    return tuple(_gate(stuck, around, flight, gate) for gate in gates)


def _gate(stuck: Bench, around: Windows, flight: GuidedFlight, gate: PlannedGate) -> FinePitchGate:
    path = flight.path
    heading_rad, bank_rad = (
        float(np.interp(gate.time_s, path.time_s, series)) for series in (path.heading_rad, path.bank_rad)
    )
    state = (gate.x_m, gate.y_m, heading_rad, bank_rad, gate.height_m)
    required_m = float(around.required_m(*(np.array([value]) for value in state))[0])
    lowest_m = required_m + stuck.exercise.reserve_m
    altimeter_m = stuck.air.altimeter_msl_m(lowest_m) if np.isfinite(lowest_m) else lowest_m
    return FinePitchGate(gate.name, required_m, lowest_m, altimeter_m, gate.height_m - required_m)

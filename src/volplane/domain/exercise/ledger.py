"""Where the entry height goes: the ledger of a plan, exact by construction."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.before_key import CIRCLE, KEY_TURN, TO_KEY
from volplane.domain.exercise.plan import LedgerItem
from volplane.domain.exercise.shape import (
    BASE,
    BASE_TURN,
    CROSSWIND,
    DOWNWIND,
    FINAL,
    FINAL_CLEAN,
    FINAL_RESERVE,
    FINAL_TURN,
    HALF_TURN,
    UPWIND,
)
from volplane.domain.glide.guided_flight import GuidedFlight
from volplane.domain.glide.polar import GlideModel

Array = NDArray[np.float64]

_G = 9.80665
# the ledger's items by leg; items of legs that were not flown are left out
_FINAL = "final and round-out"
_ITEMS = (
    ("to the key", (TO_KEY, KEY_TURN)),
    ("circles", (CIRCLE,)),
    ("upwind", (UPWIND,)),
    ("half turn", (HALF_TURN, CROSSWIND)),
    ("downwind", (DOWNWIND,)),
    ("turn to base and final", (BASE_TURN, BASE, FINAL_TURN)),
    (_FINAL, (FINAL_CLEAN, FINAL_RESERVE, FINAL)),
)


def ledger(
    flight: GuidedFlight, glide: GlideModel, landing_extra_factor: float, *, ends_in_go_around: bool = False
) -> tuple[LedgerItem, ...]:
    """The parts of a flight's height, from its start to the touchdown point's level.

    A leg's item is what the clean airplane loses in still air over the ground covered. Gear and flap are the drag they
    added; the reserve is what the drag beyond the landing configuration (`landing_extra_factor`) took on final; slowing
    is the height won from speed given up; wind is all the rest: time spent against it or saved by it, and its gradient.
    """
    path = flight.path
    step_m = np.diff(flight.clean_loss_m)
    air_m = np.diff(path.time_s) * 0.5 * (path.tas_mps[1:] + path.tas_mps[:-1])
    ground_m = np.hypot(np.diff(path.x_m), np.diff(path.y_m))
    in_still_air_m = step_m * np.minimum(ground_m / np.maximum(air_m, 1e-9), 10.0)
    names = np.array(path.phase_names)[path.phase_index[1:]]

    items: list[LedgerItem] = []
    for item, legs in _ITEMS:
        height_m = float(in_still_air_m[np.isin(names, legs)].sum())
        if item == _FINAL:
            height_m += float(path.height_m[-1])
        if any(leg in path.phase_names for leg in legs):
            is_to_floor = item == _FINAL and ends_in_go_around
            items.append(LedgerItem("final, to the practice floor" if is_to_floor else item, height_m))
    reserve_m = _beyond_landing_m(flight, glide, landing_extra_factor)
    items.append(LedgerItem("gear and flap", float(flight.extra_loss_m[-1]) - reserve_m))
    items.append(LedgerItem("slowing", float(path.tas_mps[-1] ** 2 - path.tas_mps[0] ** 2) / (2.0 * _G)))
    rest_m = float(path.height_m[0]) - sum(item.height_m for item in items) - reserve_m
    items.append(LedgerItem("wind", rest_m))
    items.append(LedgerItem("reserve, lost on final", reserve_m))
    return tuple(items)


def _beyond_landing_m(flight: GuidedFlight, glide: GlideModel, landing_extra_factor: float) -> float:
    """Height that drag beyond the landing configuration's took."""
    more = np.maximum(flight.extra_drag_factor - landing_extra_factor, 0.0)
    return float(np.trapezoid(more * parasite_sink_mps(flight, glide), flight.path.time_s))


def parasite_sink_mps(flight: GuidedFlight, glide: GlideModel) -> Array:
    """Sink that one clean airplane's parasite drag causes along a flight, (n,)."""
    path = flight.path
    return np.asarray(0.5 / glide.best_ratio * (path.eas_mps / glide.best_eas_mps) ** 2 * path.tas_mps)


def fine_pitch_extra_m(flight: GuidedFlight, glide: GlideModel, extra_drag_factor: float, until_s: float) -> float:
    """Extra height the same path at the same speeds needs, until a time, with this extra drag of the propeller."""
    path = flight.path
    until = path.time_s <= until_s
    sink_mps = extra_drag_factor * parasite_sink_mps(flight, glide)
    return float(np.trapezoid(sink_mps[until], path.time_s[until]))

"""From raw fixes in file order to those a track may hold, and the ground speed that positions give by themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.track.cleaning import growing

Floats = NDArray[np.float64]

# a clock that is wrong by this much was not set yet
UNSET_CLOCK_S = 365.0 * 86_400.0
_EARTH_RADIUS_M = 6_371_000.0
# a baseline long enough that rounded positions do not matter, short enough that turns do not either
_BASELINE_S = 8.0
_LONGEST_BASELINE_S = 20.0
_SLOWEST_COMPARED_MPS = 15.0
_LEAST_COMPARED = 5


@dataclass(frozen=True, slots=True)
class SoundFixes:
    """Which raw fixes to keep (indices, in order) and plain sentences on those left out."""

    index: NDArray[np.intp]
    notes: tuple[str, ...]


def sound_fixes(unix_s: Floats, latitude_deg: Floats, longitude_deg: Floats) -> SoundFixes:
    """The fixes with a place on earth and a time, times strictly growing; all arrays (n,), NaN where unknown."""
    notes: list[str] = []
    on_earth = (np.abs(latitude_deg) <= 90.0) & (np.abs(longitude_deg) <= 180.0)
    # receivers without a fix write nought and nought
    placed = on_earth & ~((latitude_deg == 0.0) & (longitude_deg == 0.0))
    kept = np.flatnonzero(placed & np.isfinite(unix_s))
    without = int((~placed & np.isfinite(unix_s)).sum())
    if without:
        notes.append(f"{without} lines without a position on earth were left out.")
    if len(kept) > 1:
        middle = float(np.median(unix_s[kept]))
        is_set = np.abs(unix_s[kept] - middle) < UNSET_CLOCK_S
        if not is_set.all():
            notes.append(f"{int((~is_set).sum())} fixes from before the clock was set were left out.")
            kept = kept[is_set]
    if len(kept):
        keep, said = growing(unix_s[kept])
        notes += said
        kept = kept[keep]
    return SoundFixes(kept, tuple(notes))


def speed_over_positions(time_s: Floats, latitude_deg: Floats, longitude_deg: Floats, channel: Floats) -> float | None:
    """Recorded ground speed `channel` (n,), whatever its unit, over the speed in m/s the positions give: a pure factor.

    Median over baselines of some 8 s flown at more than 15 m/s; None when there are too few.
    """
    after = np.searchsorted(time_s, time_s + _BASELINE_S)
    before = np.flatnonzero(after < len(time_s))
    after = after[before]
    seconds = time_s[after] - time_s[before]
    latitude = np.radians(latitude_deg)
    east = np.remainder(np.radians(longitude_deg[after] - longitude_deg[before]) + np.pi, 2.0 * np.pi) - np.pi
    east *= np.cos(0.5 * (latitude[after] + latitude[before]))
    flown_mps = _EARTH_RADIUS_M * np.hypot(east, latitude[after] - latitude[before]) / seconds
    recorded = 0.5 * (channel[after] + channel[before])
    with np.errstate(invalid="ignore"):
        usable = (seconds <= _LONGEST_BASELINE_S) & (flown_mps > _SLOWEST_COMPARED_MPS) & (recorded > 0.0)
    if usable.sum() < _LEAST_COMPARED:
        return None
    return float(np.median(recorded[usable] / flown_mps[usable]))

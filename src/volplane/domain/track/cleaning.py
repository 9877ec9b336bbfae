"""Cleaning of a recording: what a receiver can only have got wrong is left out, and said so.

Nothing is repaired: a fix is kept as it was or dropped, an altitude is kept or becomes missing. The notes are plain
sentences with counts and seconds.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import fields, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.track.track import Track

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# faster over the ground than any airplane that practises glides; a jump at this speed is the receiver's. Ours.
FASTEST_MPS = 200.0
# a jump shorter than this is scatter, whatever its speed
SCATTER_M = 60.0
# an altitude changes by scatter and by climbing no faster than this
ALTITUDE_JUMP_M = 60.0
FASTEST_VERTICAL_MPS = 50.0
# a position that stays the same while the airplane goes on at more than this was repeated by the receiver
FROZEN_ABOVE_MPS = 10.0
GAP_S = 5.0
# nothing recorded for so long parts two flights of one file
ANOTHER_FLIGHT_S = 1800.0
# a chain is looked for over so many runs back
_RUNS_BACK = 300
# at the beginning of a run so many samples may be the wrong ones
_MAY_BE_SKIPPED = 4
_EARTH_RADIUS_M = 6_371_000.0


def growing(time_s: Array) -> tuple[Mask, tuple[str, ...]]:
    """Which samples of a raw time channel (n,) to keep so that times strictly grow, for the readers of recordings.

    A repeated time and a time that goes back are dropped (the first sample stays), and so is a time that is no number.
    A single time far ahead of all that follow is dropped itself, not its followers.
    """
    keep = np.isfinite(time_s)
    finite = np.flatnonzero(keep)
    if len(finite) > 1:
        # nothing that comes later may be earlier: compare with the least time still to come
        coming = np.minimum.accumulate(time_s[finite][::-1])[::-1]
        ahead = np.zeros(len(finite), dtype=bool)
        ahead[:-1] = time_s[finite][:-1] > coming[1:]
        # many samples ahead of one late straggler are right, the straggler is wrong
        latest = np.maximum.accumulate(time_s[finite])
        behind = np.zeros(len(finite), dtype=bool)
        behind[1:] = time_s[finite][1:] < latest[:-1]
        keep[finite[ahead if ahead.sum() < behind.sum() else behind]] = False
        kept = np.flatnonzero(keep)
        keep[kept[1:][np.diff(time_s[kept]) <= 0.0]] = False
    dropped = int(len(time_s) - keep.sum())
    if dropped == 0:
        return keep, ()
    return keep, (f"{dropped} fixes with a time repeated, going back or missing were left out.",)


def cleaned(track: Track) -> tuple[Track, tuple[str, ...]]:
    """The track without impossible fixes and altitudes, and a sentence for each kind of fault found.

    Dropped: missing positions, positions an airplane cannot have reached, positions repeated while the airplane moved.
    Made missing: altitudes that jump. Only said: gaps. A track with fewer than two sound fixes is given back as it is.
    """
    notes: list[str] = []
    steps: tuple[tuple[Callable[[Track], Mask], str], ...] = (
        (_has_position, "{} fixes without a position were left out."),
        # first, because a receiver that wakes up jumps
        (_is_fresh, "{} repeated positions while the airplane was moving were left out."),
        (_is_reachable, "{} fixes too far off the path to have been flown were left out."),
    )
    for test, sentence in steps:
        keep = test(track)
        if not keep.all() and keep.sum() >= 2:
            notes.append(sentence.format(int((~keep).sum())))
            track = _only(track, keep)
    wrong = _altitude_is_wrong(track)
    if track.altitude_m is not None and wrong.any():
        notes.append(f"{int(wrong.sum())} altitudes that jump were left out.")
        track = replace(track, altitude_m=np.where(wrong, np.nan, track.altitude_m))
    steps_s = np.diff(track.time_s)
    gaps = steps_s > max(GAP_S, 3.0 * float(np.median(steps_s)))
    if gaps.any():
        notes.append(f"{int(gaps.sum())} gaps in the recording, the longest {steps_s.max():.0f} s.")
    return track, tuple(notes)


def _only(track: Track, keep: Mask) -> Track:
    channels = {
        field.name: getattr(track, field.name)[keep]
        for field in fields(track)
        if isinstance(getattr(track, field.name), np.ndarray)
    }
    return replace(track, **channels)


def _has_position(track: Track) -> Mask:
    return np.asarray(np.isfinite(track.latitude_deg) & np.isfinite(track.longitude_deg))


def _distance_m(track: Track, first: NDArray[np.intp], second: NDArray[np.intp]) -> Array:
    """Distance over a sphere between pairs of fixes; good to half a percent, which is all a jump needs."""
    latitude = np.radians(track.latitude_deg)
    east = np.radians(track.longitude_deg[second] - track.longitude_deg[first])
    east = np.remainder(east + np.pi, 2.0 * np.pi) - np.pi
    east *= np.cos(0.5 * (latitude[first] + latitude[second]))
    return np.asarray(_EARTH_RADIUS_M * np.hypot(east, latitude[second] - latitude[first]))


def _is_reachable(track: Track) -> Mask:
    """Fixes that hang together at speeds an airplane can fly: of all such chains the longest."""

    def can_fly(first: NDArray[np.intp], second: NDArray[np.intp]) -> Mask:
        seconds = np.abs(track.time_s[second] - track.time_s[first])
        return np.asarray(_distance_m(track, first, second) <= SCATTER_M + FASTEST_MPS * seconds)

    return _longest_chain(len(track.time_s), can_fly)


def _longest_chain(count: int, follows: Callable[[NDArray[np.intp], NDArray[np.intp]], Mask]) -> Mask:
    """The samples of the chain with most of them in which each may follow the one before.

    A run ends where a sample may not follow its neighbour; runs stay whole but for some samples at their beginning. So
    a wrong stretch that agrees with itself is left out as a whole, as long as what is right on both sides is longer.
    """
    index = np.arange(count)
    breaks = np.flatnonzero(~follows(index[:-1], index[1:])) + 1
    if len(breaks) == 0:
        return np.ones(count, dtype=bool)
    first, last = np.concatenate([[0], breaks]), np.concatenate([breaks, [count]]) - 1
    samples = last - first + 1
    before, begins = np.full(len(first), -1), first.copy()
    for run in range(1, len(first)):
        earlier = np.arange(max(0, run - _RUNS_BACK), run)
        alone = samples[run]
        for begin in range(first[run], min(first[run] + _MAY_BE_SKIPPED, last[run]) + 1):
            may = earlier[follows(last[earlier], np.full(len(earlier), begin))]
            most = int(samples[may].max()) if len(may) else 0
            if most + alone - (begin - first[run]) > samples[run]:
                samples[run] = most + alone - (begin - first[run])
                before[run], begins[run] = may[np.argmax(samples[may])], begin
    keep = np.zeros(count, dtype=bool)
    run = int(np.argmax(samples))
    while run >= 0:
        keep[begins[run] : last[run] + 1] = True
        run = int(before[run])
    return keep


def _is_fresh(track: Track) -> Mask:
    """False for positions exactly as the one before while the airplane was moving before and has moved on after."""
    same = np.zeros(len(track.time_s), dtype=bool)
    same[1:] = (np.diff(track.latitude_deg) == 0.0) & (np.diff(track.longitude_deg) == 0.0)
    keep = np.ones(len(same), dtype=bool)
    fresh = np.flatnonzero(~same)
    held = np.diff(fresh) > 1
    first, after = fresh[:-1][held], fresh[1:][held]
    seconds = track.time_s[after] - track.time_s[first]
    moved_mps = _distance_m(track, first, after) / seconds
    before = np.maximum(first - 1, 0)
    was_moving = _distance_m(track, before, first) > FROZEN_ABOVE_MPS * (track.time_s[first] - track.time_s[before])
    is_frozen = was_moving & (moved_mps > FROZEN_ABOVE_MPS) & (moved_mps < FASTEST_MPS)
    for start, end in zip(first[is_frozen], after[is_frozen], strict=True):
        keep[start + 1 : end] = False
    return keep


def _altitude_is_wrong(track: Track) -> Mask:
    """Altitudes no airplane could have reached from the others."""
    wrong = np.zeros(len(track.time_s), dtype=bool)
    if track.altitude_m is None:
        return wrong
    known = np.flatnonzero(np.isfinite(track.altitude_m))
    altitude_m, time_s = track.altitude_m[known], track.time_s[known]

    def can_climb(first: NDArray[np.intp], second: NDArray[np.intp]) -> Mask:
        reach_m = ALTITUDE_JUMP_M + FASTEST_VERTICAL_MPS * np.abs(time_s[second] - time_s[first])
        return np.asarray(np.abs(altitude_m[second] - altitude_m[first]) <= reach_m)

    if len(known) > 1:
        wrong[known] = ~_longest_chain(len(known), can_climb)
    return wrong


def flights_apart(track: Track) -> tuple[Track, ...]:
    """The flights of a recording that holds several: parted where nothing was recorded for half an hour or longer.

    Times go on counting from the recording's start. A flight of a single fix is none.
    """
    breaks = np.flatnonzero(np.diff(track.time_s) >= ANOTHER_FLIGHT_S) + 1
    if len(breaks) == 0:
        return (track,)
    edges = np.concatenate([[0], breaks, [len(track.time_s)]])
    index = np.arange(len(track.time_s))
    return tuple(
        _only(track, (index >= first) & (index < after))
        for first, after in itertools.pairwise(edges)
        if after - first >= 2
    )

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
# altitudes this far from the median of their neighbours are wrong, if the climb to them is impossible too
ALTITUDE_JUMP_M = 60.0
FASTEST_VERTICAL_MPS = 50.0
# a position that stays the same while the airplane goes on at more than this was repeated by the receiver
FROZEN_ABOVE_MPS = 10.0
GAP_S = 5.0
_NEIGHBOURS = 3
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
        (_is_reachable, "{} fixes too far off the path to have been flown were left out."),
        (_is_fresh, "{} repeated positions while the airplane was moving were left out."),
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
    """Fixes that hang together with the longest run of the recording at speeds an airplane can fly."""
    index = np.arange(len(track.time_s))
    jump = ~_can_fly(track, index[:-1], index[1:])
    run = np.concatenate([[0], np.cumsum(jump)])
    keep = run == int(np.argmax(np.bincount(run)))
    if keep.all():
        return np.asarray(keep)
    inside = np.flatnonzero(keep)
    for order in (index[inside[-1] + 1 :], index[: inside[0]][::-1]):
        last = inside[-1] if len(order) and order[0] > inside[-1] else inside[0]
        for candidate in order:
            if _can_fly(track, np.array([last]), np.array([candidate]))[0]:
                keep[candidate] = True
                last = candidate
    return np.asarray(keep)


def _can_fly(track: Track, first: NDArray[np.intp], second: NDArray[np.intp]) -> Mask:
    seconds = np.abs(track.time_s[second] - track.time_s[first])
    return np.asarray(_distance_m(track, first, second) <= SCATTER_M + FASTEST_MPS * seconds)


def _is_fresh(track: Track) -> Mask:
    """False for positions exactly as the one before while the airplane was moving on."""
    same = np.zeros(len(track.time_s), dtype=bool)
    same[1:] = (np.diff(track.latitude_deg) == 0.0) & (np.diff(track.longitude_deg) == 0.0)
    keep = np.ones(len(same), dtype=bool)
    fresh = np.flatnonzero(~same)
    for start, after in itertools.pairwise(fresh):
        if after - start > 1:
            moved_m = float(_distance_m(track, np.array([start]), np.array([after]))[0])
            if moved_m > FROZEN_ABOVE_MPS * float(track.time_s[after] - track.time_s[start]):
                keep[start + 1 : after] = False
    return keep


def _altitude_is_wrong(track: Track) -> Mask:
    """Altitudes far from the median of the three before and after that no airplane could have reached."""
    if track.altitude_m is None:
        return np.zeros(len(track.time_s), dtype=bool)
    wrong = np.zeros(len(track.time_s), dtype=bool)
    known = np.flatnonzero(np.isfinite(track.altitude_m))
    altitudes = track.altitude_m[known]
    times = track.time_s[known]
    for place in range(len(known)):
        window = slice(max(0, place - _NEIGHBOURS), place + _NEIGHBOURS + 1)
        others = np.delete(altitudes[window], place - max(0, place - _NEIGHBOURS))
        if len(others) < 2:
            continue
        off = abs(altitudes[place] - float(np.median(others)))
        reach = FASTEST_VERTICAL_MPS * float(times[window][-1] - times[window][0]) / 2.0
        wrong[known[place]] = off > ALTITUDE_JUMP_M + reach
    return wrong

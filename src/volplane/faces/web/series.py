"""The flight second by second, for the one cursor that stands in every figure of a debrief."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.results import Attempt
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Scale, Units
from volplane.faces.report.charts import BAND_SD
from volplane.faces.report.flown_board import zero_time_s
from volplane.units import DEGREE_RAD

Array = NDArray[np.float64]
STEP_S = 1.0


def series_of(attempt: Attempt, units: Units) -> dict[str, Any]:
    """Times from the track's start, position in the runway frame, height, height in hand, and the words of each second.

    The client only moves a line and a bead; numbers and words are made here. What is not known at a second is None.
    """
    path = attempt.path
    time_s = np.arange(path.time_s[0], path.time_s[-1] + STEP_S / 2.0, STEP_S)

    def at(values: Array) -> Array:
        return np.asarray(np.interp(time_s, path.time_s, values), dtype=np.float64)

    height_m = at(path.height_m)
    in_hand_m = _in_hand(attempt, time_s)
    names = _names(attempt, time_s, height_m, in_hand_m, units)
    return {
        "time_s": np.round(time_s, 2).tolist(),
        "x_m": np.round(at(path.x_m), 1).tolist(),
        "y_m": np.round(at(path.y_m), 1).tolist(),
        "height_m": np.round(height_m, 1).tolist(),
        "in_hand_m": _plain(in_hand_m, 1),
        "words": names,
        "zero_s": round(zero_time_s(attempt), 2),
        "quantities": _quantities(attempt, time_s, units),
    }


def _quantities(attempt: Attempt, time_s: Array, units: Units) -> list[dict[str, Any]]:
    """What the chart that can be looked at closely shows: title with unit, values, a 90 % band where there is one."""
    path, hand = attempt.path, attempt.height_in_hand
    found: list[dict[str, Any]] = []

    def add(title: str, scale: Scale, of_time_s: Array, values: Array, sd: Array | None = None) -> None:
        known = np.interp(time_s, of_time_s, values, left=np.nan, right=np.nan) / scale.unit_si
        shown: dict[str, Any] = {"title": f"{title}, {scale.unit}", "values": _plain(known, 2)}
        if sd is not None:
            half = BAND_SD * np.interp(time_s, of_time_s, sd, left=np.nan, right=np.nan) / scale.unit_si
            shown |= {"low": _plain(known - half, 2), "high": _plain(known + half, 2)}
        found.append(shown)

    if hand is not None:
        add("Height in hand", units.height, hand.time_s, hand.in_hand_m, hand.sd_m)
        add("Room above", units.height, hand.time_s, hand.room_above_m)
    add("Height above the point", units.height, path.time_s, path.height_m)
    add("Ground speed", units.speed, path.time_s, path.ground_speed_mps)
    if path.cas_mps is not None:
        add("Calibrated airspeed", units.speed, path.time_s, path.cas_mps)
    add("Sink", units.sink, path.time_s, -path.vertical_speed_mps)
    add("Bank, right wing down", Scale(DEGREE_RAD, "°"), path.time_s, path.bank_rad)
    course = attempt.budget_course
    if course is not None:
        add("Change of height in hand since the low key", units.height, course.time_s, course.in_hand_m)
        for cause, part in zip(course.causes, course.by_cause_m, strict=True):
            add(f"Of that, {cause}", units.height, course.time_s, part)
    return found


def _plain(values: Array, decimals: int) -> list[float | None]:
    return [None if np.isnan(value) else round(float(value), decimals) for value in values]


def _in_hand(attempt: Attempt, time_s: Array) -> Array:
    hand = attempt.height_in_hand
    if hand is None:
        return np.full_like(time_s, np.nan)
    values = np.interp(time_s, hand.time_s, hand.in_hand_m, left=np.nan, right=np.nan)
    return np.asarray(values, dtype=np.float64)


def _names(
    attempt: Attempt,
    time_s: Array,
    height_m: Array,
    in_hand_m: Array,
    units: Units,
) -> list[str]:
    start_s = zero_time_s(attempt)
    sentences = []
    for time, height, in_hand in zip(time_s.tolist(), height_m.tolist(), in_hand_m.tolist(), strict=True):
        words = f"At {wording.seconds(time - start_s)}: {units.rounded_height(height)} above the point"
        if not np.isnan(in_hand):
            amount = units.rounded_height(abs(in_hand), 5.0)
            words += f", {amount} {'in hand' if in_hand >= 0 else 'missing'}"
        sentences.append(words + ".")
    return sentences

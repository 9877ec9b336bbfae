"""A debrief is kept whole: what it says, the figures lists are made of, and what it needs to be made again."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.results import Attempt, Debrief, HeightInHand
from volplane.services.keeping import Store
from volplane.services.kept import (
    FileText,
    KeptAttempt,
    KeptDebrief,
    KeptGate,
    KeptRecording,
    KeptStandardItem,
    Record,
)

_LEVELS = ("height_above_field_m", "wind_east_mps", "wind_north_mps")


@dataclass(frozen=True, slots=True)
class DebriefOptions:
    """What a debrief was made with besides the texts: the day that stood for today, and what was given by hand.

    `column_map_text` is the map of a table with unknown titles, letter for letter.
    """

    now_unix_s: float
    qnh_pa: float | None = None
    weight_kg: float | None = None
    wind: WindProfile | None = None
    column_map_text: str | None = None

    def to_text(self) -> str:
        """The options as JSON, in SI."""
        known: dict[str, Any] = {each: getattr(self, each) for each in ("now_unix_s", "qnh_pa", "weight_kg")}
        if self.wind is not None:
            known["wind"] = {name: getattr(self.wind, name).tolist() for name in _LEVELS}
            known["shear_exponent_factor"] = self.wind.shear_exponent_factor
        if self.column_map_text is not None:
            known["column_map"] = self.column_map_text
        return json.dumps(known, sort_keys=True)

    @classmethod
    def of_text(cls, text: str) -> DebriefOptions:
        """The options that `to_text` wrote."""
        known = json.loads(text)
        wind = None
        if "wind" in known:
            levels = {name: np.array(known["wind"][name], dtype=np.float64) for name in _LEVELS}
            wind = WindProfile(**levels, shear_exponent_factor=known["shear_exponent_factor"])
        return cls(known["now_unix_s"], known.get("qnh_pa"), known.get("weight_kg"), wind, known.get("column_map"))


@dataclass(frozen=True, slots=True)
class DebriefOf:
    """What a debrief was made of and by whom: texts of the exercise, options, people, the code's version."""

    exercise_text: FileText
    airplane_text: FileText
    airfield_text: FileText
    options: DebriefOptions
    code_version: str
    made_unix_s: float
    trainee: str | None = None
    instructor: str | None = None
    lesson: str | None = None


def keep_debrief(store: Store, recording: KeptRecording, debrief: Debrief, document: str, of: DebriefOf) -> KeptDebrief:
    """Keep a debrief with its attempts, all in one transaction; the recording is kept before."""
    kept = KeptDebrief(
        key=store.new_key(),
        recording=recording.key,
        exercise_text=of.exercise_text.key,
        airplane_text=of.airplane_text.key,
        airfield_text=of.airfield_text.key,
        options=of.options.to_text(),
        document=document,
        code_version=of.code_version,
        made_unix_s=of.made_unix_s,
        trainee=of.trainee,
        instructor=of.instructor,
        lesson=of.lesson,
    )
    store.change([kept, *attempt_records(kept.key, debrief, store.new_key)])
    return replace(kept, version=1)


def replace_debrief(
    store: Store, kept: KeptDebrief, debrief: Debrief, document: str, code_version: str, now_unix_s: float
) -> KeptDebrief:
    """Put a debrief that was made again in place of the kept one; people, lesson and notes stay with it.

    :raises ChangedMeanwhile: somebody else was faster.
    """
    with store.snapshot() as reader:
        old = records_below(reader.find, kept.key)
    again = replace(kept, document=document, code_version=code_version, made_unix_s=now_unix_s)
    store.change([again, *attempt_records(kept.key, debrief, store.new_key)], remove=old)
    return replace(again, version=kept.version + 1)


def records_below(find: Callable[..., tuple[Record, ...]], debrief: str) -> tuple[Record, ...]:
    """The attempts of a debrief with their gates and standard items."""
    attempts = find(KeptAttempt, debrief=debrief)
    below = [each for one in attempts for kind in (KeptGate, KeptStandardItem) for each in find(kind, attempt=one.key)]
    return (*attempts, *below)


def attempt_records(debrief_key: str, debrief: Debrief, new_key: Callable[[], str]) -> tuple[Record, ...]:
    """The attempts of a debrief as rows, each with its gates and standard items."""
    start = debrief.recording.start_unix_s
    rows: list[Record] = []
    for number, attempt in enumerate(debrief.attempts, start=1):
        row = _attempt(attempt, KeptAttempt(new_key(), debrief_key, number, start, start, "", "", ""))
        rows.append(row)
        rows.extend(_gates(attempt, row.key, new_key))
        rows.extend(_items(attempt, row.key, new_key))
    return tuple(rows)


def _attempt(attempt: Attempt, blank: KeptAttempt) -> KeptAttempt:
    touchdown, went, verdict = attempt.touchdown, attempt.go_around, attempt.verdict
    headwind, crosswind = _wind_along_and_across(attempt)
    return replace(
        blank,
        start_unix_s=blank.start_unix_s + attempt.start_time_s,
        end_unix_s=blank.end_unix_s + attempt.end_time_s,
        runway=attempt.plan.exercise.runway.name,
        side=attempt.pattern.value,
        outcome=attempt.outcome.value,
        verdict=None if verdict is None else verdict.text.value,
        in_hand_m=None if verdict is None else _known(verdict.in_hand_m),
        in_hand_sd_m=None if verdict is None else _known(verdict.sd_m),
        least_room_above_m=_least_room(attempt.height_in_hand),
        touchdown_x_m=None if touchdown is None else _known(touchdown.x_m),
        touchdown_x_sd_m=None if touchdown is None else _known(touchdown.x_sd_m),
        touchdown_y_m=None if touchdown is None else _known(touchdown.y_m),
        go_around_height_m=None if went is None else _known(went.height_m),
        is_timely=None if went is None else went.is_timely,
        headwind_mps=headwind,
        crosswind_mps=crosswind,
        maximum_bank_rad=_known(attempt.maximum_bank_rad),
        minimum_cas_mps=_known(attempt.minimum_cas_mps),
    )


def _wind_along_and_across(attempt: Attempt) -> tuple[float | None, float | None]:
    """Mean wind against the landing direction and from its left, over the heights it was found at."""
    if not attempt.wind:
        return None, None
    bearing = attempt.plan.exercise.runway.bearing_true_rad
    against = [each.speed_mps * math.cos(each.from_true_rad - bearing) for each in attempt.wind]
    # a direction counts clockwise: what comes from less than the bearing comes from the left
    from_left = [each.speed_mps * math.sin(bearing - each.from_true_rad) for each in attempt.wind]
    return math.fsum(against) / len(against), math.fsum(from_left) / len(from_left)


def _least_room(hand: HeightInHand | None) -> float | None:
    if hand is None:
        return None
    known = hand.room_above_m[np.isfinite(hand.room_above_m)]
    return float(known.min()) if known.size else None


def _gates(attempt: Attempt, key: str, new_key: Callable[[], str]) -> Iterator[KeptGate]:
    for gate in attempt.gates:
        yield KeptGate(
            key=new_key(),
            attempt=key,
            gate=gate.name.value,
            height_m=gate.height_m,
            height_sd_m=gate.height_sd_m,
            planned_m=_known(gate.planned_m),
            lowest_m=_known(gate.lowest_m),
            highest_m=_known(gate.highest_m),
        )


def _items(attempt: Attempt, key: str, new_key: Callable[[], str]) -> Iterator[KeptStandardItem]:
    for number, item in enumerate(attempt.standard, start=1):
        yield KeptStandardItem(
            key=new_key(),
            attempt=key,
            number=number,
            item=item.item,
            quantity=item.quantity,
            source=item.source,
            limit_low=_known(item.limit_low),
            limit_high=_known(item.limit_high),
            value=_known(item.value),
            is_met=item.is_met,
        )


def _known(value: float | None) -> float | None:
    """The number as a plain one, None where it is not known."""
    return None if value is None or not math.isfinite(value) else float(value)

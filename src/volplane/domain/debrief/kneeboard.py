"""A debrief without a recorder: altimeter readings at the gates and the touchdown, written on a kneeboard.

The path between them is taken as planned and says so; nothing is claimed of speeds, banks or the wind, which is the
exercise's. How sure a reading and a place paced off by eye are is ours.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.findings import Flown, findings_of
from volplane.domain.debrief.in_hand import BAND_90_FACTOR, verdict_of
from volplane.domain.debrief.observed import DID_NOT_LAND, NO_FINAL, NO_LOW_KEY
from volplane.domain.debrief.results import (
    Attempt,
    Debrief,
    FlownGate,
    FlownPath,
    HeightInHand,
    NotObservable,
    Outcome,
    RecordingFacts,
    Touchdown,
)
from volplane.domain.debrief.standards import (
    ABEAM_HEIGHT,
    FINAL_HEIGHT,
    ITEMS,
    TOUCHDOWN,
    Observed,
    Standard,
    judged,
    standard_named,
)
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.plan import Plan, PlannedGate
from volplane.domain.exercise.solver import solve
from volplane.errors import Refusal
from volplane.units import FOOT_M

Array = NDArray[np.float64]

# an altimeter read in a glide and written down; a touchdown seen from the seat (ours)
READING_SD_M = 30.0 * FOOT_M
SEEN_SD_M = 50.0 * FOOT_M
# what the required height may be off where nobody knows how far abeam and how late the gate was flown (ours)
PLACE_SD_M = 80.0 * FOOT_M
_LEAST_PATH_S = 3.0
NO_RECORDING = "no-recording"
_NOT_OBSERVABLE = ("path", "speed_kcas", "wind", "glide", "budget", "standin", "engine")


class NoGateNoted(Refusal):
    """None of the gates written down is one of this exercise."""

    code = "no-gate-noted"

    def __init__(self, planned: tuple[str, ...]) -> None:
        super().__init__(f"no gate of the exercise: {', '.join(planned)}")
        self.planned = planned


@dataclass(frozen=True, slots=True)
class GateNoted:
    """What the altimeter read at a gate, and when, counted from any moment; None where no time was written."""

    gate: GateName
    altimeter_msl_m: float
    time_s: float | None = None


@dataclass(frozen=True, slots=True)
class KneeboardNotes:
    """The gates written down, and how far beyond the touchdown point the wheels touched; None where nobody says."""

    gates: tuple[GateNoted, ...]
    touchdown_x_m: float | None = None


def debrief_notes(
    notes: KneeboardNotes,
    exercise: Exercise,
    facts: RecordingFacts,
    *,
    plan_of: Callable[[Exercise], Plan] = solve,
    standard: Standard | None = None,
) -> Debrief:
    """What the readings say of one exercise flown.

    :raises NoGateNoted: no reading belongs to a gate of this exercise.
    :raises StandardUnknown: the exercise names a standard that nobody knows.
    """
    held_against = standard_named(exercise.standard) if standard is None else standard
    noted = _Noted(notes, plan_of(exercise))
    if not noted.pairs:
        raise NoGateNoted(tuple(str(gate.name) for gate in noted.plan.gates))
    attempt = noted.attempt(held_against)
    end_unix_s = facts.start_unix_s + attempt.end_time_s
    return Debrief(replace(facts, end_unix_s=end_unix_s), (attempt,))


@dataclass(frozen=True, slots=True)
class _Noted:
    """The readings beside the plan they belong to."""

    notes: KneeboardNotes
    plan: Plan

    @property
    def pairs(self) -> list[tuple[GateNoted, PlannedGate]]:
        """Each reading with its planned gate, in the order they are flown."""
        by_name = {noted.gate: noted for noted in self.notes.gates}
        return [(by_name[gate.name], gate) for gate in self.plan.gates if gate.name in by_name]

    def attempt(self, standard: Standard) -> Attempt:
        """The exercise as far as the readings tell it."""
        plan, exercise = self.plan, self.plan.exercise
        gates = tuple(self._gate(noted, planned) for noted, planned in self.pairs)
        path, series, touchdown = self._path(gates), self._in_hand(gates), self._touchdown()
        verdict = None if series is None else verdict_of(series)
        missing = [NotObservable(key, NO_RECORDING) for key in _NOT_OBSERVABLE]
        if verdict is None:
            missing += [NotObservable(key, "no-low-key") for key in ("verdict", "height_in_hand")]
        rules = standard.rules_for(exercise)
        is_from_abeam = plan.gate(GateName.HIGH_KEY) is None
        return Attempt(
            start_time_s=float(path.time_s[0]),
            end_time_s=float(path.time_s[-1]),
            plan=plan,
            pattern=exercise.pattern,
            outcome=Outcome.LANDED if touchdown else Outcome.NOT_RECORDED_TO_THE_END,
            path=path,
            verdict=verdict,
            gates=gates,
            wind=(),
            glide=None,
            height_in_hand=series,
            budget=(),
            touchdown=touchdown,
            go_around=None,
            maximum_bank_rad=None,
            minimum_cas_mps=None,
            standard=judged(rules, self._observed(gates, touchdown), is_from_abeam=is_from_abeam),
            not_observable=tuple(missing),
            findings=findings_of(Flown(plan, path, 0.0, gates, series, (), touchdown, None)),
            standard_name=standard.name,
        )

    def _gate(self, noted: GateNoted, planned: PlannedGate) -> FlownGate:
        exercise = self.plan.exercise
        atmosphere = exercise.weather.atmosphere
        above_field_m = float(atmosphere.height_above_field_m_from_altimeter_m(noted.altimeter_msl_m))
        base_m = exercise.ground_msl_m - atmosphere.field_elevation_msl_m
        return FlownGate(
            name=planned.name,
            time_s=planned.time_s,
            x_m=planned.x_m,
            y_m=planned.y_m,
            height_m=above_field_m - base_m,
            height_sd_m=READING_SD_M,
            planned_m=planned.height_m,
            lowest_m=planned.lowest_m,
            highest_m=planned.highest_m,
            altimeter_msl_m=noted.altimeter_msl_m,
            cas_mps=None,
            ground_speed_mps=None,
        )

    def _path(self, gates: tuple[FlownGate, ...]) -> FlownPath:
        """The planned path from the first reading to the last or the touchdown, at the heights that were read."""
        planned = self.plan.path
        last_s = self.plan.touchdown_time_s if self.notes.touchdown_x_m is not None else gates[-1].time_s
        # one reading alone still is a place to be drawn
        end_s = max(last_s, gates[0].time_s + _LEAST_PATH_S)
        inside = (planned.time_s >= gates[0].time_s - 1e-9) & (planned.time_s <= end_s + 1e-9)
        time_s = planned.time_s[inside]
        known_s = [*(gate.time_s for gate in gates), self.plan.touchdown_time_s]
        off_m = [*(gate.height_m - (gate.planned_m or 0.0) for gate in gates), 0.0]
        height_m = planned.height_m[inside] + np.interp(time_s, known_s, off_m)
        unknown = np.full(len(time_s), np.nan)
        return FlownPath(
            time_s=time_s,
            x_m=planned.x_m[inside],
            y_m=planned.y_m[inside],
            height_m=height_m,
            track_rad=planned.track_rad[inside],
            ground_speed_mps=planned.ground_speed_mps[inside],
            vertical_speed_mps=np.gradient(height_m, time_s),
            bank_rad=unknown,
            cas_mps=None,
        )

    def _in_hand(self, gates: tuple[FlownGate, ...]) -> HeightInHand | None:
        """Height in hand at the gates from the low key on, in the exercise's wind; None without any."""
        below = [
            (flown, planned)
            for flown, (_, planned) in zip(gates, self.pairs, strict=True)
            if flown.name is not GateName.HIGH_KEY and np.isfinite(planned.required_m)
        ]
        if not below:
            return None
        in_hand = np.array([flown.height_m - planned.required_m for flown, planned in below])
        # on final the place is the runway's line, and only the reading is in doubt
        sd = [
            READING_SD_M if flown.name is GateName.FINAL else np.hypot(READING_SD_M, PLACE_SD_M) for flown, _ in below
        ]
        time_s = np.array([flown.time_s for flown, _ in below])
        least = int(np.argmin(in_hand))
        negative = np.flatnonzero(in_hand < 0.0)
        return HeightInHand(
            time_s=time_s,
            height_m=np.array([flown.height_m for flown, _ in below]),
            in_hand_m=in_hand,
            sd_m=np.array(sd),
            room_above_m=np.array([planned.highest_m - flown.height_m for flown, planned in below]),
            minimum_m=float(in_hand[least]),
            minimum_time_s=float(time_s[least]),
            first_negative_time_s=float(time_s[negative[0]]) if len(negative) else None,
        )

    def _touchdown(self) -> Touchdown | None:
        x_m = self.notes.touchdown_x_m
        return None if x_m is None else Touchdown(x_m, SEEN_SD_M, 0.0, self.plan.touchdown_time_s, None)

    def _observed(self, gates: tuple[FlownGate, ...], touchdown: Touchdown | None) -> dict[str, Observed]:
        """Heights and touchdown; every other item needs a recording."""
        blur = BAND_90_FACTOR * READING_SD_M
        seen = dict.fromkeys(ITEMS, Observed(reason=NO_RECORDING))
        seen[TOUCHDOWN] = Observed(reason=DID_NOT_LAND)
        if touchdown is not None:
            seen[TOUCHDOWN] = Observed(touchdown.x_m, BAND_90_FACTOR * touchdown.x_sd_m)
        height_m = {gate.name: gate.height_m for gate in gates}
        for item, gate, reason in (
            (FINAL_HEIGHT, GateName.FINAL, NO_FINAL),
            (ABEAM_HEIGHT, GateName.LOW_KEY, NO_LOW_KEY),
        ):
            seen[item] = Observed(height_m.get(gate), blur, None if gate in height_m else reason)
        return seen

"""When an exercise first went wrong, and which action would have mended it from there, flown by the integrator.

Low is: a dead engine would not surely have made it. Then it went wrong the second the height in hand was first gone,
and what mends it wins height. High is: touched down beyond the zone, or came to where nothing could have lost the
height. Then it went wrong at the gate from which on it was high, and what mends it loses height. Every action is flown
from the same second as the rest of the exercise really was, so its worth is the action's alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from volplane.domain.debrief.in_hand import BAND_90_FACTOR
from volplane.domain.debrief.results import (
    FlownGate,
    FlownPath,
    HeightInHand,
    Mending,
    Remedy,
    Touchdown,
    Verdict,
    VerdictText,
)
from volplane.domain.debrief.what_if import Actions, FlyingOn, Moment, moment_at
from volplane.domain.exercise.exercise import GateName
from volplane.domain.glide.configuration import Configuration, Flap, Gear, Propeller
from volplane.errors import Refusal
from volplane.units import FOOT_M, KNOT_MPS

TURN_EARLIER, TURN_LATER = "turn to base earlier", "turn to base later"
BEST_GLIDE, STEEPER, FASTER = "best glide speed", "steeper turns", "faster"
DRAG_OUT = "drag out"

# off by less than this at a gate is flown as planned (ours); the commercial standard's zone (FAA-S-ACS-7B)
OFF_AT_GATE_M, ZONE_M = 40.0 * FOOT_M, 200.0 * FOOT_M
# an action worth less is not worth telling; so many are told (ours)
LEAST_WORTH_M, MOST_REMEDIES = 40.0 * FOOT_M, 3
# how far back a turn that came too late is looked for, and how much later one is put at the most (ours)
_LOOK_BACK_S, _MOST_LATER_S = 12.0, 25.0
# speeds nearer to best glide than this are best glide; so much faster loses height and is soon got rid of again (ours)
_OFF_SPEED_MPS, _FASTER_MPS = 3.0 * KNOT_MPS, 15.0 * KNOT_MPS
ROOM_GONE_FOR_S = 3


@dataclass(frozen=True, slots=True)
class AsFlown:
    """What of an exercise tells where it went wrong.

    `eas_mps` is the mean equivalent airspeed from the low key to the final, None where none was recorded.
    """

    path: FlownPath
    gates: tuple[FlownGate, ...]
    series: HeightInHand
    verdict: Verdict
    touchdown: Touchdown | None
    low_key_s: float
    turn_to_base_s: float | None
    eas_mps: float | None
    reserve_m: float

    def gate(self, name: GateName) -> FlownGate | None:
        """The gate of that name."""
        return next((gate for gate in self.gates if gate.name is name), None)


def mending_of(flown: AsFlown, flying: FlyingOn) -> Mending | None:
    """When it went wrong and what would have mended it; None where nothing went wrong or nothing can be told."""
    if flown.verdict.text is not VerdictText.MADE_IT:
        first_s = flown.series.first_negative_time_s
        return _low(flown, flying, flown.verdict.time_s if first_s is None else first_s)
    is_high, since = high_since(flown)
    if not is_high or since is None:
        return None
    return _high(flown, flying, *since)


def high_since(flown: AsFlown) -> tuple[bool, tuple[float, GateName | None] | None]:
    """Whether it ended too high, and since when.

    Since the first of the gates from which on it was higher than planned by more than the reserve, which is there to be
    lost; if it never was, by more than nothing; else since no room was left.
    """
    room_gone_s = room_gone(flown.series, flown.low_key_s)
    touchdown = flown.touchdown
    is_long = touchdown is not None and touchdown.x_m - ZONE_M > BAND_90_FACTOR * touchdown.x_sd_m
    if not is_long and room_gone_s is None:
        return False, None
    for least_m in (flown.reserve_m, OFF_AT_GATE_M):
        since = _high_from(flown.gates, least_m)
        if since is not None:
            return True, (since.time_s, since.name)
    return True, None if room_gone_s is None else (room_gone_s, None)


def _high_from(gates: tuple[FlownGate, ...], least_m: float) -> FlownGate | None:
    """The first of the gates from which on to the last all were passed so much too high, surely."""
    since: FlownGate | None = None
    for gate in reversed(gates):
        off_m = -math.inf if gate.planned_m is None else gate.height_m - gate.planned_m
        if off_m < max(least_m, BAND_90_FACTOR * gate.height_sd_m):
            break
        since = gate
    return since


def room_gone(series: HeightInHand, from_s: float) -> float | None:
    """The first second from a time on at which the height was surely too much to be lost; it must last some seconds."""
    gone = (series.time_s >= from_s) & (series.room_above_m < -BAND_90_FACTOR * series.sd_m)
    seconds = np.flatnonzero(gone)
    return float(series.time_s[seconds[0]]) if len(seconds) >= ROOM_GONE_FOR_S else None


def _low(flown: AsFlown, flying: FlyingOn, wrong_s: float) -> Mending | None:
    turn_s = flown.turn_to_base_s
    start_s = wrong_s if turn_s is None else min(wrong_s, max(turn_s - _LOOK_BACK_S, flown.low_key_s))
    try:
        tries = _Tries(flown, flying, moment_at(flown.path, start_s))
        off_m = -tries.to_spare_m
        remedies = _best(_winning(tries), 0.0)
    except Refusal:
        return None
    gate = next((each for each in reversed(flown.gates) if abs(each.time_s - wrong_s) <= 1.5), None)
    return Mending(wrong_s, False, off_m, None if gate is None else gate.name, remedies)


def _high(flown: AsFlown, flying: FlyingOn, wrong_s: float, gate: GateName | None) -> Mending | None:
    # before the low key the half turn is not flown anew: there the exercise is mended from the low key on
    start_s = max(wrong_s, flown.low_key_s)
    try:
        tries = _Tries(flown, flying, moment_at(flown.path, start_s))
        # a flight as planned has the reserve left there, and loses it on final
        off_m = tries.to_spare_m - flying.plan.exercise.reserve_m
        remedies = _best(_losing(tries), LEAST_WORTH_M)
    except Refusal:
        return None
    return Mending(wrong_s, True, off_m, gate, remedies)


def _best(found: Iterator[Remedy], least_m: float) -> tuple[Remedy, ...]:
    """Those that mend alone first, then by worth."""
    worthy = [remedy for remedy in found if remedy.worth_m > max(least_m, 1.0)]
    worthy.sort(key=lambda remedy: (not remedy.is_enough, -remedy.worth_m))
    return tuple(worthy[:MOST_REMEDIES])


class _Tries:
    """Flights from one moment on: as the exercise really went on, and otherwise."""

    def __init__(self, flown: AsFlown, flying: FlyingOn, moment: Moment) -> None:
        self.flown, self.flying, self.moment = flown, flying, moment
        turn_s = flown.turn_to_base_s
        after_s = None if turn_s is None or turn_s < moment.time_s else turn_s - moment.time_s
        self.as_flown = Actions(turn_to_base_after_s=after_s, eas_mps=flown.eas_mps)
        self.to_spare_m = self.spare_m(self.as_flown)

    def spare_m(self, actions: Actions) -> float:
        """Height to spare at the final."""
        return self.flying.fly(self.moment, actions).to_spare_m

    @property
    def turn_after_s(self) -> float | None:
        """How long from the moment on the downwind leg was flown; None where the turn had begun or never came."""
        return self.as_flown.turn_to_base_after_s

    def later(self, time_s: float) -> _Tries | None:
        """The same from a later moment; None where that is past the glide."""
        try:
            return _Tries(self.flown, self.flying, moment_at(self.flown.path, time_s))
        except Refusal:
            return None


def _winning(tries: _Tries) -> Iterator[Remedy]:
    """What wins height."""
    yield from _turn_earlier(tries)
    limits = tries.flying.ready.limits
    eas = tries.flown.eas_mps
    if eas is not None and abs(eas - limits.glide_eas_mps) > _OFF_SPEED_MPS:
        spare = tries.spare_m(replace(tries.as_flown, eas_mps=limits.glide_eas_mps))
        yield _remedy(BEST_GLIDE, tries, spare, speed_mps=limits.glide_eas_mps)
    spare = tries.spare_m(replace(tries.as_flown, bank_rad=limits.bank_low_rad))
    if spare - tries.to_spare_m > LEAST_WORTH_M:
        yield _remedy(STEEPER, tries, spare)


def _turn_earlier(tries: _Tries) -> Iterator[Remedy]:
    """The turn to base begun as late as still mends it, at once where even that does not."""
    flown_after_s = tries.turn_after_s
    if flown_after_s is None or flown_after_s < 1.0:
        return
    at_once = tries.spare_m(replace(tries.as_flown, turn_to_base_after_s=0.0))
    after_s, spare = 0.0, at_once
    if at_once > 0.0 > tries.to_spare_m:
        after_s = _where(tries, 0.0, flown_after_s, 0.0)
        spare = tries.spare_m(replace(tries.as_flown, turn_to_base_after_s=after_s))
    yield _remedy(TURN_EARLIER, tries, spare, begun_s=tries.moment.time_s + after_s, change_s=after_s - flown_after_s)


def _where(tries: _Tries, early_s: float, late_s: float, spare_m: float) -> float:
    """When the turn to base leaves just so much to spare: a later one leaves less."""
    for _ in range(7):
        middle = 0.5 * (early_s + late_s)
        if tries.spare_m(replace(tries.as_flown, turn_to_base_after_s=middle)) >= spare_m:
            early_s = middle
        else:
            late_s = middle
    return early_s


def shifted_turn_s(flying: FlyingOn, path: FlownPath, from_s: float, turn_s: float, wanted_m: float) -> float | None:
    """By how much later than flown (earlier: negative) the turn to base makes up for a height, flown from a moment on.

    `wanted_m` is the height to win; negative is to lose. None where no turn from that moment on does it.
    """
    try:
        moment = moment_at(path, from_s)
        flown_after_s = max(turn_s - from_s, 0.0)

        def spare_m(after_s: float) -> float:
            return flying.fly(moment, Actions(turn_to_base_after_s=after_s)).to_spare_m

        target_m = spare_m(flown_after_s) + wanted_m
        early_s, late_s = (0.0, flown_after_s) if wanted_m > 0.0 else (flown_after_s, flown_after_s + _MOST_LATER_S)
        if not spare_m(early_s) >= target_m >= spare_m(late_s):
            return None
        for _ in range(7):
            middle = 0.5 * (early_s + late_s)
            early_s, late_s = (middle, late_s) if spare_m(middle) >= target_m else (early_s, middle)
    except Refusal:
        return None
    return early_s - flown_after_s


def _losing(tries: _Tries) -> Iterator[Remedy]:
    """What loses height without losing too much of it."""
    reserve_m = tries.flying.plan.exercise.reserve_m
    flown_after_s = tries.turn_after_s
    if flown_after_s is not None:
        after_s = _where(tries, flown_after_s, flown_after_s + _MOST_LATER_S, reserve_m)
        spare = tries.spare_m(replace(tries.as_flown, turn_to_base_after_s=after_s))
        begun_s, change_s = tries.moment.time_s + after_s, after_s - flown_after_s
        yield _remedy(TURN_LATER, tries, spare, begun_s=begun_s, change_s=change_s)
    for configuration in dragging(tries.flying.plan.exercise.airplane.configurations):
        yield from _drag_out(tries, configuration)
    limits = tries.flying.ready.limits
    fast = limits.glide_eas_mps + _FASTER_MPS
    spare = tries.spare_m(replace(tries.as_flown, eas_mps=fast))
    if spare >= 0.0:
        yield _remedy(FASTER, tries, spare, speed_mps=fast)


def _drag_out(tries: _Tries, configuration: Configuration) -> Iterator[Remedy]:
    """Gear or flap from the first of a few seconds on at which it does not cost too much."""
    turn_s = tries.flown.turn_to_base_s
    base = tries.flown.gate(GateName.BASE_KEY)
    seconds = [tries.moment.time_s, turn_s, None if base is None else base.time_s]
    for second in sorted({each for each in seconds if each is not None and each >= tries.moment.time_s}):
        there = tries if second == tries.moment.time_s else tries.later(second)
        if there is None:
            return
        spare = there.spare_m(replace(there.as_flown, configuration=configuration))
        if spare >= 0.0:
            yield _remedy(f"{DRAG_OUT}: {configuration.name}", there, spare)
            return


def dragging(configurations: tuple[Configuration, ...]) -> tuple[Configuration, ...]:
    """The airplane's everyday drag, least first: gear or flap out, no power, the propeller coarse."""
    everyday = [
        each
        for each in configurations
        if each.thrust_power_per_weight_mps == 0.0
        and each.propeller is Propeller.COARSE
        and (each.gear is Gear.DOWN or each.flap is not Flap.UP)
        and each.extra_drag_factor > 0.0
    ]
    return tuple(sorted(everyday, key=lambda each: each.extra_drag_factor))


def _remedy(
    action: str,
    tries: _Tries,
    spare_m: float,
    *,
    begun_s: float | None = None,
    change_s: float | None = None,
    speed_mps: float | None = None,
) -> Remedy:
    """How much an action is worth and whether it is enough: something to spare, and no more than the zone takes."""
    before_m = tries.to_spare_m
    most_m = tries.flying.plan.exercise.reserve_m + ZONE_M * tries.flying.slope_on_final_fraction
    is_enough = 0.0 <= spare_m <= most_m or (before_m < 0.0 <= spare_m)
    begun = tries.moment.time_s if begun_s is None else begun_s
    return Remedy(action, begun, abs(spare_m - before_m), is_enough, change_s, speed_mps)

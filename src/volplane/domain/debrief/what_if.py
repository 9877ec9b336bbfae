"""What if: from any second of a flight the dead-engine airplane flown on, with other actions or in other air.

The integrator flies the rest of the pattern from where the airplane was: what is left of the half turn, downwind, the
turn to base, base, the turn to final, and a final in landing configuration over the minimum final, with nothing else
done about its height. So two answers from one second differ by the action alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.results import Attempt, FlownPath
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.flying import Bench, bench
from volplane.domain.exercise.pilot_limits import even_radius_m
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.speeds import eas_mps_from_ias_mps
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.flight_path import FlightPath
from volplane.domain.glide.guided_flight import Air, Leg, LegKind, Start
from volplane.domain.glide.practical_height import FIFTY_FEET_M, FinalGlide, final_glide
from volplane.errors import Refusal
from volplane.units import rad_from_deg

Array = NDArray[np.float64]

HALF_TURN, DOWNWIND, BASE_TURN, BASE, FINAL_TURN = "half turn", "downwind", "turn to base", "base", "turn to final"
FINAL_CLEAN, FINAL = "final, clean", "final"
# nearer to a leg's direction than this the airplane flies along it
_ALONG_RAD = rad_from_deg(20.0)
# a turn begins so long before the place where its circle does
_ROLL_IN_S = 2.0
# a base leg shorter than this is flown as one round turn
_SHORTEST_BASE_M = 100.0
# a last turn wider than this is none: the airplane is lined up
_WIDEST_TURN_M = 4000.0
# an airplane that would come down before the final is flown again from so much higher, to tell what was missing
_LIFTED_M = 300.0
_FAR_M = 1e6


class NotFlownThen(Refusal):
    """A second outside the exercise flown, or one after it was over."""

    code = "not-flown-then"

    def __init__(self, time_s: float, first_s: float, last_s: float) -> None:
        super().__init__(f"{time_s:.0f} s is not within the glide, {first_s:.0f} to {last_s:.0f} s")
        self.time_s = time_s
        self.first_s = first_s
        self.last_s = last_s


class AirNotKnown(Refusal):
    """No wind was found from the flight and none was given, so nothing can be flown on in it."""

    code = "air-not-known"

    def __init__(self) -> None:
        super().__init__("the wind of this exercise is not known")


@dataclass(frozen=True, slots=True)
class Actions:
    """What is done otherwise from a second on; None leaves it as the exercise has it.

    `turn_to_base_after_s` is how long the downwind leg is still flown: nought turns at once, None turns where the plan
    does. `eas_mps` is held until the final. `bank_rad` is that of the turns still to come. `configuration` hangs out
    from that second to the landing configuration. `wind` blows instead of the one found.
    """

    turn_to_base_after_s: float | None = None
    eas_mps: float | None = None
    bank_rad: float | None = None
    configuration: Configuration | None = None
    wind: WindProfile | None = None

    def __post_init__(self) -> None:
        if self.turn_to_base_after_s is not None and not self.turn_to_base_after_s >= 0.0:
            raise ValueError(f"the turn cannot begin {self.turn_to_base_after_s} s from now; it is nought or more")
        if self.eas_mps is not None and not self.eas_mps > 0.0:
            raise ValueError(f"an airspeed of {self.eas_mps} m/s does not fly")
        if self.bank_rad is not None and not 0.0 < self.bank_rad < math.pi / 2.0:
            raise ValueError(f"a bank of {self.bank_rad} rad does not turn")


AS_PLANNED = Actions()


@dataclass(frozen=True, slots=True)
class Moment:
    """Where the airplane was and how it moved over the ground at one second; in the runway frame."""

    time_s: float
    x_m: float
    y_m: float
    height_m: float
    track_rad: float
    ground_speed_mps: float
    bank_rad: float


@dataclass(frozen=True, slots=True)
class FlownOn:
    """The rest of the exercise flown on; `path` counts its time from the moment it starts at.

    `to_spare_m` is the height over the straight glide to the aim point where the airplane is lined up: negative is
    missing. `off_centreline_m` is how far beside the centreline it rolls out there. `touchdown_x_m` is where the wheels
    meet the runway with nothing done about the height, None where the airplane comes down before the final.
    """

    path: FlightPath
    to_spare_m: float
    off_centreline_m: float
    touchdown_x_m: float | None


def moment_at(path: FlownPath, time_s: float) -> Moment:
    """The moment of a flown path. :raises NotFlownThen: before its start, after its end, or where it has no height."""
    first_s, last_s = float(path.time_s[0]), float(path.time_s[-1])

    def at(channel: Array) -> float:
        return float(np.interp(time_s, path.time_s, channel))

    if not first_s <= time_s <= last_s or not at(path.height_m) > FIFTY_FEET_M:
        raise NotFlownThen(time_s, first_s, last_s)
    track = float(np.interp(time_s, path.time_s, np.unwrap(path.track_rad)))
    return Moment(
        time_s, at(path.x_m), at(path.y_m), at(path.height_m), track, at(path.ground_speed_mps), at(path.bank_rad)
    )


@dataclass(frozen=True, slots=True)
class FlyingOn:
    """The exercise's dead-engine airplane in the air found, ready to be flown on from any of its moments."""

    plan: Plan
    ready: Bench
    final: FinalGlide
    is_past_low_key_from_s: float

    def fly(self, moment: Moment, actions: Actions = AS_PLANNED) -> FlownOn:
        """Fly on from a moment.

        :raises WindNotBelowAirspeed: a wind as strong as the airspeed.
        :raises BankLeavesTooLittleMargin: a bank that leaves less than the exercise's stall margin.
        """
        there = self if actions.wind is None else self._in_wind(actions.wind)
        start = self._start(moment)
        legs = _Route(there, moment, start, actions).legs()
        flight = there.ready.simulator.fly(start, legs)
        path = flight.path
        lined_up = _lined_up_row(path)
        if lined_up is None:
            lifted = replace(moment, height_m=moment.height_m + _LIFTED_M)
            high = there.ready.simulator.fly(replace(start, height_m=lifted.height_m), legs).path
            row = _lined_up_row(high)
            missing = -_LIFTED_M if row is None else there._to_spare_m(high, row) - _LIFTED_M
            off = 0.0 if row is None else abs(float(high.y_m[row]))
            return FlownOn(path, missing, off, None)
        touchdown = float(path.x_m[-1]) + there.ready.flare.touchdown_from_fifty_foot_m
        off_m = abs(float(path.y_m[lined_up]))
        return FlownOn(path, there._to_spare_m(path, lined_up), off_m, touchdown)

    @property
    def slope_on_final_fraction(self) -> float:
        """Height the straight glide in landing configuration loses over its way on the ground, at 50 ft."""
        return FIFTY_FEET_M / float(self.final.distance_m[-1])

    def _in_wind(self, wind: WindProfile) -> FlyingOn:
        return flying_on(self.plan, replace(self.ready.air, wind=wind), self.is_past_low_key_from_s)

    def _start(self, moment: Moment) -> Start:
        """The state in the moving air: airspeed and heading are the ground velocity less the wind found."""
        wind_x, wind_y = (float(wind) for wind in self.ready.air.wind_xy_mps(moment.height_m))
        air_x = moment.ground_speed_mps * math.cos(moment.track_rad) - wind_x
        air_y = moment.ground_speed_mps * math.sin(moment.track_rad) - wind_y
        to_tas = self.ready.air.tas_mps_from_eas_mps(1.0, moment.height_m)
        slowest = 0.7 * self.ready.limits.glide_eas_mps
        eas = max(math.hypot(air_x, air_y) / to_tas, slowest)
        return Start(moment.x_m, moment.y_m, moment.height_m, math.atan2(air_y, air_x), eas, moment.bank_rad)

    def _to_spare_m(self, path: FlightPath, row: int) -> float:
        """Height over the straight glide at a row; beyond the 50 ft point that glide is prolonged."""
        left_m = self.ready.aim_x_m - float(path.x_m[row])
        nearest_m, farthest_m = float(self.final.distance_m[-1]), float(self.final.distance_m[0])
        glide_m = float(np.interp(-left_m, -self.final.distance_m, self.final.height_m))
        glide_m += self.slope_on_final_fraction * (min(left_m - nearest_m, 0.0) + max(left_m - farthest_m, 0.0))
        return float(path.height_m[row]) - glide_m


def flying_on(plan: Plan, air: Air, low_key_s: float | None) -> FlyingOn:
    """Make an exercise flown ready to be flown on; `low_key_s` tells when the half turn was over, None if it never was.

    :raises WindNotBelowAirspeed: a wind as strong as the airspeed.
    """
    weather = replace(plan.exercise.weather, atmosphere=air.atmosphere, wind=air.wind)
    ready = bench(replace(plan.exercise, weather=weather))
    fifty_foot_to_aim_m = ready.flare.aim_point_from_fifty_foot_m
    final = final_glide(ready.glide, ready.air, ready.limits, fifty_foot_to_aim_m)
    return FlyingOn(plan, ready, final, math.inf if low_key_s is None else low_key_s)


def flown_on(attempt: Attempt, time_s: float, actions: Actions = AS_PLANNED) -> FlownOn:
    """An exercise flown, flown on from one of its seconds by a dead engine with other actions or in other wind.

    `time_s` counts from the track's start like every time of a debrief.

    :raises AirNotKnown: no wind was found from the flight.
    :raises NotFlownThen: a second outside the glide, or under 50 ft.
    :raises WindNotBelowAirspeed: a wind as strong as the airspeed.
    """
    if attempt.air is None:
        raise AirNotKnown
    low_key = attempt.gate(GateName.LOW_KEY)
    flying = flying_on(attempt.plan, attempt.air, None if low_key is None else low_key.time_s)
    return flying.fly(moment_at(attempt.path, time_s), actions)


def eas_of_ias_mps(plan: Plan, ias_mps: float) -> float:
    """The equivalent airspeed of an indicated one in the exercise's air, at half the low-key height."""
    exercise = plan.exercise
    base_m = exercise.ground_msl_m - exercise.airfield.elevation_msl_m
    height_m = 0.5 * exercise.low_key_height_m + base_m
    return eas_mps_from_ias_mps(exercise.airplane, ias_mps, exercise.weather.atmosphere, height_m)


def _lined_up_row(path: FlightPath) -> int | None:
    """The first row of the final, None where the ground comes before."""
    names = [path.phase_names.index(name) for name in (FINAL_CLEAN, FINAL) if name in path.phase_names]
    rows = np.flatnonzero(np.isin(path.phase_index, names))
    return int(rows[0]) if len(rows) and path.height_m[rows[0]] > 0.0 else None


@dataclass(frozen=True, slots=True)
class _Route:
    """The legs still to fly from a moment."""

    flying: FlyingOn
    moment: Moment
    start: Start
    actions: Actions

    def legs(self) -> tuple[Leg, ...]:
        """From what is left of the pattern to 50 ft on final; the angle still to turn tells where in it the moment is.

        Half a circle and a bit to go is downwind, less is the last turn; before the low key more is the half turn.
        """
        moment = self.moment
        is_before = moment.time_s < self.flying.is_past_low_key_from_s
        to_go = (-self._side * moment.track_rad) % (2.0 * math.pi)
        if is_before and not abs(to_go - math.pi) < _ALONG_RAD and (to_go > math.pi or to_go < 0.5 * math.pi):
            return self._from_half_turn()
        if to_go > 1.5 * math.pi:
            return self._final()
        if to_go > math.pi - _ALONG_RAD:
            return self._from_downwind(moment.y_m)
        return self._from_last_turn(to_go)

    @property
    def _side(self) -> int:
        return self.flying.plan.exercise.pattern.sign

    def _from_half_turn(self) -> tuple[Leg, ...]:
        radius = self._radius_m(self.flying.plan.legs.first_turn.radius_m)
        x, y = self._centre(radius)
        turn = self._arc(HALF_TURN, math.pi, x, y, radius, self.flying.ready.limits.bank_high_rad)
        return (turn, *self._from_downwind(y + self._side * radius))

    def _from_downwind(self, line_y_m: float) -> tuple[Leg, ...]:
        radius = self._radius_m(self.flying.plan.legs.base_turn.radius_m)
        turn_x = self._turn_x_m()
        downwind = self._line(DOWNWIND, math.pi, turn_x, line_y_m)
        return (downwind, *self._turn_in(turn_x, abs(line_y_m), radius))

    def _turn_in(self, turn_x_m: float, offset_m: float, radius_m: float) -> tuple[Leg, ...]:
        """Turn to base, base and turn to final from a place on the downwind line; one round turn where it is narrow."""
        side, bank = self._side, self.flying.ready.limits.bank_low_rad
        if offset_m - 2.0 * radius_m < _SHORTEST_BASE_M:
            radius = 0.5 * offset_m
            return (self._arc(BASE_TURN, 0.0, turn_x_m, side * radius, radius, bank), *self._final())
        quarter = -side * math.pi / 2.0
        base_turn = self._arc(BASE_TURN, quarter, turn_x_m, side * (offset_m - radius_m), radius_m, bank)
        return (base_turn, *self._from_base(turn_x_m - radius_m, radius_m))

    def _from_base(self, base_x_m: float, radius_m: float) -> tuple[Leg, ...]:
        side = self._side
        base = self._line(BASE, -side * math.pi / 2.0, base_x_m, side * radius_m)
        bank = self.flying.ready.limits.bank_low_rad
        turn = self._arc(FINAL_TURN, 0.0, base_x_m, side * radius_m, radius_m, bank)
        return (base, turn, *self._final())

    def _from_last_turn(self, to_go_rad: float) -> tuple[Leg, ...]:
        """Somewhere between downwind and final: finish the turn to base if that is to come, then the turn to final."""
        moment, side = self.moment, self._side
        radius = self._radius_m(self.flying.plan.legs.base_turn.radius_m)
        if to_go_rad > 0.5 * math.pi + _ALONG_RAD:
            x, y = self._centre(radius)
            if side * y < radius:
                return self._round_turn(to_go_rad)
            bank = self.flying.ready.limits.bank_low_rad
            turn = self._arc(BASE_TURN, -side * math.pi / 2.0, x, y, radius, bank)
            return (turn, *self._from_base(x - radius, radius))
        roll_in_m = _ROLL_IN_S * moment.ground_speed_mps
        if to_go_rad > 0.5 * math.pi - _ALONG_RAD and side * moment.y_m > radius + roll_in_m:
            return self._from_base(moment.x_m, radius)
        return self._round_turn(to_go_rad)

    def _round_turn(self, to_go_rad: float) -> tuple[Leg, ...]:
        """One turn that ends on the centreline, as far as the bank allows."""
        beside_m = self._side * self.moment.y_m
        radius = beside_m / max(1.0 - math.cos(to_go_rad), 1e-3)
        if not 0.0 < radius < _WIDEST_TURN_M:
            return self._final()
        x, y = self._centre(radius)
        bank = self.flying.ready.limits.bank_low_rad
        return (self._arc(FINAL_TURN, 0.0, x, y, radius, bank), *self._final())

    def _final(self) -> tuple[Leg, ...]:
        """Clean to the minimum final before the aim point, then landing configuration to 50 ft."""
        ready = self.flying.ready
        clean = self._line(FINAL_CLEAN, 0.0, ready.aim_x_m - ready.limits.minimum_final_m, 0.0)
        landing = self._line(FINAL, 0.0, _FAR_M, 0.0)
        limits = ready.limits
        return (
            replace(clean, end_height_m=FIFTY_FEET_M),
            replace(
                landing,
                eas_mps=limits.approach_eas_mps,
                configuration=limits.landing_configuration,
                end_height_m=FIFTY_FEET_M,
            ),
        )

    def _turn_x_m(self) -> float:
        """Where the turn to base begins: so many seconds on, or where it is planned, or here where that is passed."""
        after_s = self.actions.turn_to_base_after_s
        if after_s is None:
            return min(self.moment.x_m, -self.flying.plan.legs.downwind_m)
        return self.moment.x_m - self.moment.ground_speed_mps * after_s

    def _radius_m(self, planned_m: float) -> float:
        """The planned radius, or that of a wished bank."""
        if self.actions.bank_rad is None:
            return planned_m
        ready, height_m = self.flying.ready, self.moment.height_m
        tas = ready.air.tas_mps_from_eas_mps(self._eas_mps(), height_m)
        return even_radius_m(tas, ready.wind_mps(height_m), self.actions.bank_rad)

    def _centre(self, radius_m: float) -> tuple[float, float]:
        """Centre of the turn the airplane would fly from the moment, to the pattern's side."""
        track = self.moment.track_rad
        side = self._side
        return (
            self.moment.x_m - side * radius_m * math.sin(track),
            self.moment.y_m + side * radius_m * math.cos(track),
        )

    def _eas_mps(self) -> float:
        return self.actions.eas_mps or self.flying.ready.limits.glide_eas_mps

    def _configuration(self) -> Configuration:
        return self.actions.configuration or self.flying.ready.limits.glide_configuration

    def _line(self, name: str, track_rad: float, x_m: float, y_m: float) -> Leg:
        bank = max(self.flying.ready.limits.bank_low_rad, self.actions.bank_rad or 0.0)
        return Leg(name, LegKind.LINE, track_rad, self._eas_mps(), self._configuration(), bank, x_m=x_m, y_m=y_m)

    def _arc(self, name: str, track_rad: float, x_m: float, y_m: float, radius_m: float, bank_rad: float) -> Leg:
        limit = max(bank_rad, self.actions.bank_rad or 0.0)
        return Leg(
            name,
            LegKind.ARC,
            track_rad,
            self._eas_mps(),
            self._configuration(),
            limit,
            x_m=x_m,
            y_m=y_m,
            turn_sign=self._side,
            radius_m=radius_m,
        )

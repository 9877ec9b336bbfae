"""A whole exercise in the simulated airplane: power to the high key, idle from there to the wheels.

The pilot here is no part of the program and knows no plan of it: it turns at fixed banks, keeps its track by eye, turns
to base when its own arithmetic of remaining time and sink says so, lowers flap once it is sure to arrive, rounds out.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tests.simulator.flight import Flight, Truth
from tests.simulator.simulation import SimulatedAir, Simulation, Start
from volplane.units import FOOT_M, KNOT_MPS

Array = NDArray[np.float64]

GRAVITY_MPS2 = 9.80665
_TRACK_PER_METRE, _MOST_CUT_RAD = 0.004, math.radians(30.0)


@dataclass(frozen=True, slots=True)
class Field:
    """A runway in the simulated world: its touchdown point, the true bearing of landing, the elevation.

    `east_m` and `north_m` turn degrees into metres round the touchdown point, on the ellipsoid of WGS 84.
    """

    latitude_deg: float
    longitude_deg: float
    bearing_rad: float
    elevation_m: float

    def xy_m(self, latitude_deg: float | Array, longitude_deg: float | Array) -> tuple[Array, Array]:
        """Along the landing direction from the touchdown point and to the left of it."""
        north_radius, east_radius = self._radii_m()
        north = np.radians(np.asarray(latitude_deg) - self.latitude_deg) * north_radius
        east = np.radians(np.asarray(longitude_deg) - self.longitude_deg) * east_radius
        sine, cosine = math.sin(self.bearing_rad), math.cos(self.bearing_rad)
        return np.asarray(north * cosine + east * sine), np.asarray(north * sine - east * cosine)

    def latitude_longitude_deg(self, x_m: float, y_m: float) -> tuple[float, float]:
        """The place of a point of the map."""
        north_radius, east_radius = self._radii_m()
        sine, cosine = math.sin(self.bearing_rad), math.cos(self.bearing_rad)
        north, east = x_m * cosine + y_m * sine, x_m * sine - y_m * cosine
        return (
            self.latitude_deg + math.degrees(north / north_radius),
            self.longitude_deg + math.degrees(east / east_radius),
        )

    def _radii_m(self) -> tuple[float, float]:
        """Metres per radian of latitude and of longitude (meridian and normal radius of WGS 84)."""
        squared = 0.00669437999014
        sine = math.sin(math.radians(self.latitude_deg))
        root = math.sqrt(1.0 - squared * sine * sine)
        normal = 6378137.0 / root
        return normal * (1.0 - squared) / root**2, normal * math.cos(math.radians(self.latitude_deg))


@dataclass(frozen=True, slots=True)
class Habits:
    """How the exercise is flown.

    `in_hand_m` is the height in hand the pilot wants when turning to base, `aims_at_m` the place on the centreline to
    which the glide is aimed; sinks are what the pilot reckons with.
    """

    entry_height_m: float = 2600.0 * FOOT_M
    high_key_offset_m: float = 370.0
    glide_cas_mps: float = 88.0 * KNOT_MPS
    final_cas_mps: float = 75.0 * KNOT_MPS
    sink_mps: float = 4.7
    turning_sink_mps: float = 5.6
    first_bank_rad: float = math.radians(20.0)
    base_bank_rad: float = math.radians(25.0)
    in_hand_m: float = 60.0 * FOOT_M
    aims_at_m: float = -250.0
    goes_around_at_m: float | None = None
    flap_on_final: float = 1.0


@dataclass(slots=True)
class Lesson:
    """One exercise on one field in one air."""

    field: Field
    air: SimulatedAir = field(default_factory=SimulatedAir)
    habits: Habits = field(default_factory=Habits)
    speed_error_mps: Callable[[float], float] = lambda time_s: 0.0

    def fly(self) -> Truth:
        """The flight from two kilometres before the high key to the end of the landing roll or of the go-around."""
        habits = self.habits
        flight = Flight(self._at_start())
        flight.speed_error_mps = self.speed_error_mps
        pilot = _Pilot(flight, self.field, habits, *self._wind_mps())
        pilot.set_up()
        pilot.half_turn()
        pilot.downwind()
        pilot.base()
        pilot.final()
        return flight.truth()

    def _at_start(self) -> Simulation:
        latitude_deg, longitude_deg = self.field.latitude_longitude_deg(-2500.0, -self.habits.high_key_offset_m)
        start = Start(
            altitude_msl_m=self.field.elevation_m + self.habits.entry_height_m,
            cas_mps=self.habits.glide_cas_mps,
            heading_rad=self.field.bearing_rad,
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            ground_msl_m=self.field.elevation_m,
        )
        return Simulation(start, self.air)

    def _wind_mps(self) -> tuple[float, float]:
        """The pilot's idea of the wind along the landing direction and to its left: that at 500 ft."""
        north, east, _ = self.air.motion(self.field.elevation_m + 500.0 * FOOT_M, 0.0)
        sine, cosine = math.sin(self.field.bearing_rad), math.cos(self.field.bearing_rad)
        return north * cosine + east * sine, north * sine - east * cosine


@dataclass(slots=True)
class _Pilot:
    flight: Flight
    field: Field
    habits: Habits
    wind_along_mps: float
    wind_left_mps: float

    def set_up(self) -> None:
        """Level with power on the line through the high key, to abeam the touchdown point."""
        altitude_m = self.field.elevation_m + self.habits.entry_height_m
        simulation = self.flight.simulation
        trim, power = 0.0, 0.5

        def pitch() -> float:
            nonlocal trim
            state = simulation.state()
            wanted_climb = max(-2.0, min(2.0, 0.12 * (altitude_m - state.altitude_msl_m)))
            short = wanted_climb - state.climb_mps
            trim = max(-0.15, min(0.15, trim + 0.0004 * short))
            return max(-0.12, min(0.15, trim + 0.015 * short))

        def throttle() -> float:
            nonlocal power
            slow = self.habits.glide_cas_mps - simulation.felt()[0]
            power = max(0.1, min(1.0, power + 0.0005 * slow))
            return max(0.0, min(1.0, power + 0.05 * slow))

        line = self._along(0.0, -self.habits.high_key_offset_m)
        abeam = lambda now: self._xy(now)[0] >= 0.0  # noqa: E731
        self.flight.fly("set-up", 200.0, cas_mps=0.0, bank_rad=line, throttle=throttle, until=abeam, pitch_rad=pitch)

    def half_turn(self) -> None:
        """At the high key the throttle is closed; a turn of constant bank to downwind."""
        bank, done = self._turn(math.pi, self.habits.first_bank_rad)
        self.flight.fly("half turn", 120.0, cas_mps=self.habits.glide_cas_mps, bank_rad=bank, until=done)

    def downwind(self) -> None:
        """Along the runway until the height is just right for the rest."""
        _, y_m = self._xy(self.flight.simulation)
        line = self._along(math.pi, y_m)

        def now_is_right(simulation: Simulation) -> bool:
            return self._xy(simulation)[0] < -150.0 and self._height_m() <= self._needed_m() + self.habits.in_hand_m

        speed = self.habits.glide_cas_mps
        self.flight.fly("downwind", 200.0, cas_mps=speed, bank_rad=line, until=now_is_right)

    def base(self) -> None:
        """A quarter turn, the base leg if there is one, a quarter turn to final."""
        speed, habits = self.habits.glide_cas_mps, self.habits
        bank, done = self._turn(1.5 * math.pi, habits.base_bank_rad)
        self.flight.fly("base", 60.0, cas_mps=speed, bank_rad=bank, until=done)
        x_m, _ = self._xy(self.flight.simulation)
        near = lambda now: self._xy(now)[1] <= self._room_for_last_turn_m()  # noqa: E731
        if not near(self.flight.simulation):
            cross = self._along(1.5 * math.pi, x_m)
            self.flight.fly("base", 60.0, cas_mps=speed, bank_rad=cross, until=near)
        bank, done = self._turn(2.0 * math.pi, habits.base_bank_rad)
        self.flight.fly("base", 60.0, cas_mps=speed, bank_rad=bank, until=done)

    def final(self) -> None:
        """On the centreline; flap once the runway is sure; round-out and roll, or the go-around."""
        habits, line = self.habits, self._along(0.0, 0.0)
        simulation = self.flight.simulation
        stop_m = 14.0 if habits.goes_around_at_m is None else habits.goes_around_at_m
        ends = lambda now: self._height_m() <= stop_m  # noqa: E731
        sure = lambda now: ends(now) or self._is_sure()  # noqa: E731
        self.flight.fly("final", 200.0, cas_mps=habits.glide_cas_mps, bank_rad=line, until=sure)
        simulation.flap = habits.flap_on_final
        self.flight.fly("final", 200.0, cas_mps=habits.final_cas_mps, bank_rad=line, until=ends)
        if habits.goes_around_at_m is not None:
            self.flight.fly("go-around", 90.0, cas_mps=80.0 * KNOT_MPS, bank_rad=line, throttle=1.0)
            return
        self._round_out(line)

    def _round_out(self, line: Callable[[], float]) -> None:
        simulation = self.flight.simulation
        held = simulation.felt()[1]
        wanted = held

        def pitch() -> float:
            nonlocal held, wanted
            climb = -0.5 - 0.36 * max(self._height_m() - 1.4, 0.0)
            short = climb - simulation.state().climb_mps
            held = max(-0.2, min(0.2, held + 0.0022 * short))
            wanted = max(-0.2, min(0.2, held + 0.025 * short))
            return wanted

        down = lambda now: now.state().on_wheels  # noqa: E731
        self.flight.fly("round-out", 60.0, cas_mps=0.0, bank_rad=line, until=down, pitch_rad=pitch)
        simulation.brakes = 0.4
        slow = lambda now: now.felt()[0] < 25.0 * KNOT_MPS  # noqa: E731
        self.flight.fly("roll", 60.0, cas_mps=0.0, until=slow, pitch_rad=lambda: min(wanted, 0.03))

    def _xy(self, simulation: Simulation) -> tuple[float, float]:
        state = simulation.state()
        x_m, y_m = self.field.xy_m(state.latitude_deg, state.longitude_deg)
        return float(x_m), float(y_m)

    def _height_m(self) -> float:
        return self.flight.simulation.altitude_msl_m() - self.field.elevation_m

    def _track_rad(self) -> float:
        """Direction over the ground, anticlockwise from the landing direction."""
        state = self.flight.simulation.state()
        return self.field.bearing_rad - math.atan2(state.east_mps, state.north_mps)

    def _along(self, track_rad: float, line_m: float) -> Callable[[], float]:
        """The bank that keeps to a line of the map: y = line for tracks along the runway, x = line for those across."""

        def bank() -> float:
            x_m, y_m = self._xy(self.flight.simulation)
            # metres left of the line, seen along the track
            off = {0: y_m - line_m, 2: line_m - y_m, 3: x_m - line_m}[round(track_rad / (0.5 * math.pi)) % 4]
            cut = max(-_MOST_CUT_RAD, min(_MOST_CUT_RAD, _TRACK_PER_METRE * off))
            wrong = math.remainder(self._track_rad() - (track_rad - cut), 2.0 * math.pi)
            return max(-0.4, min(0.4, 1.3 * wrong))

        return bank

    def _turn(self, track_rad: float, bank_rad: float) -> tuple[Callable[[], float], Callable[[Simulation], bool]]:
        """A left turn to a track at a constant bank, ended early enough to roll out."""

        def done(simulation: Simulation) -> bool:
            left = math.remainder(track_rad - self._track_rad(), 2.0 * math.pi)
            return -1.0 < left < math.radians(0.5) * math.degrees(bank_rad)

        return (lambda: -bank_rad), done

    def _radius_m(self) -> float:
        tas = self.flight.simulation.state().tas_mps
        return tas * tas / (GRAVITY_MPS2 * math.tan(self.habits.base_bank_rad))

    def _room_for_last_turn_m(self) -> float:
        """How far from the centreline the turn to final begins: its radius, and the drift while it is flown."""
        tas = self.flight.simulation.state().tas_mps
        return 1.05 * self._radius_m() - self.wind_left_mps * 0.5 * math.pi * self._radius_m() / tas

    def _needed_m(self) -> float:
        """Height that two quarter turns, the base leg and the final will take, by time and sink."""
        x_m, y_m = self._xy(self.flight.simulation)
        x_m -= self.habits.aims_at_m
        habits, radius = self.habits, self._radius_m()
        tas = self.flight.simulation.state().tas_mps
        turning_s = math.pi * radius / tas
        base_s = max(y_m - radius - self._room_for_last_turn_m(), 0.0) / (tas - self.wind_left_mps)
        drift_m = self.wind_along_mps * (turning_s + base_s)
        final_s = max(-x_m - drift_m, 0.0) / (tas + self.wind_along_mps)
        return habits.turning_sink_mps * turning_s + habits.sink_mps * (base_s + final_s)

    def _is_sure(self) -> bool:
        """Whether full flap still arrives: a path down of one in six, headwind counted, to where the glide is aimed."""
        x_m = self._xy(self.flight.simulation)[0] - self.habits.aims_at_m
        return self._height_m() >= -x_m / (5.6 * (1.0 + 1.2 * self.wind_along_mps / self.habits.final_cas_mps))


def wind_by_height(
    field: Field, levels: tuple[tuple[float, float, float], ...]
) -> Callable[[float, float], tuple[float, float, float]]:
    """Air moving as levels of (feet above the field, degrees true from, knots) say; straight lines between them."""
    heights = [height * FOOT_M for height, _, _ in levels]
    north = [-speed * KNOT_MPS * math.cos(math.radians(source)) for _, source, speed in levels]
    east = [-speed * KNOT_MPS * math.sin(math.radians(source)) for _, source, speed in levels]

    def motion(altitude_msl_m: float, time_s: float) -> tuple[float, float, float]:
        above = altitude_msl_m - field.elevation_m
        return float(np.interp(above, heights, north)), float(np.interp(above, heights, east)), 0.0

    return motion

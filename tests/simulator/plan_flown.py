"""A plan of the program flown in the simulated airplane: an autopilot along its legs, from the high key to the wheels.

What the program contributes is the plan alone: where its legs lie, its speeds, and how high the final is where. How a
track is held, when a turn is begun and how it is rounded out is the autopilot's own. It does what a pilot does on final
and nothing else about its height: it stays clean until it has the energy of the planned path, then lets full flap out.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.simulator import described
from tests.simulator.flight import Flight, Truth
from tests.simulator.lesson import Field
from tests.simulator.simulation import SimulatedAir, Simulation, Start
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.shape_search import Solution, solve_shape
from volplane.domain.exercise.solver import solve
from volplane.domain.glide.guided_flight import Leg, LegKind
from volplane.units import FOOT_M, KNOT_MPS

Array = NDArray[np.float64]

GRAVITY_MPS2 = 9.80665
# the glide is steady and the wind has risen before the high key is passed
RUN_IN_S = 45.0
# half of what a roll into or out of a turn takes
_LEAD_S = 2.0
_ROUND_OUT_AT_M = 14.0
# the wheels touch with the airplane 1.2 m above the runway; it is held off a little higher
_HELD_OFF_AT_M = 1.8
# with full flap the speed is let go down so fast
_SLOWING_MPS2 = 0.6 * KNOT_MPS
# what the glide loses in the run-in is learnt by flying it
_RUN_INS = 3

# 360-degree overhead approach: about 2,000 ft over the approach end, downwind key 1,000 to 1,200 (FAA Airplane Flying
# Handbook)
HIGH_KEY_M, LOW_KEY_M = 2000.0 * FOOT_M, 1200.0 * FOOT_M

# height above the field in feet, degrees true from, knots
WINDS: dict[str, tuple[tuple[float, float, float], ...]] = {
    "calm": ((0.0, 240.0, 0.0),),
    "15 kt with shear": ((0.0, 240.0, 15.0), (1000.0, 250.0, 19.0), (3000.0, 270.0, 25.0)),
}


@dataclass(frozen=True, slots=True)
class FlownPlan:
    """A plan and what became of it, in the runway frame of the plan; `truth` has ten samples a second."""

    plan: Plan
    truth: Truth
    x_m: Array
    y_m: Array

    @property
    def height_m(self) -> Array:
        """Height of the airplane above the touchdown point."""
        return np.asarray(self.truth.altitude_msl_m - described.field().elevation_m)

    def gate_errors_ft(self) -> dict[str, float]:
        """Height flown at each gate of the plan less the height planned."""
        planned = {gate.name: gate.height_m for gate in self.plan.gates}
        return {name.value: (self._height_at(name) - planned[name]) / FOOT_M for name in planned}

    def touchdown_error_ft(self) -> float:
        """Where the wheels met the runway, beyond the planned touchdown."""
        down = int(np.flatnonzero(self.truth.on_wheels > 0.0)[0])
        return (float(self.x_m[down]) - self.plan.touchdown_x_m) / FOOT_M

    def _height_at(self, gate: GateName) -> float:
        track = np.unwrap(described.field().bearing_rad - np.arctan2(self.truth.east_mps, self.truth.north_mps))
        track -= 2.0 * math.pi * round(float(track[0]) / (2.0 * math.pi))
        passed = {
            GateName.HIGH_KEY: self.x_m >= 0.0,
            GateName.LOW_KEY: (self.x_m <= 0.0) & (np.abs(track - math.pi) < math.radians(45.0)),
            GateName.BASE_KEY: track >= 1.5 * math.pi,
            GateName.FINAL: (track > 2.0 * math.pi - math.radians(10.0))
            & (np.abs(self.truth.bank_rad) < math.radians(10.0)),
        }[gate]
        return float(self.height_m[np.flatnonzero(passed)[0]])


@functools.cache
def flown(wind: str) -> FlownPlan:
    """The simulated airplane's own plan, made with its measured curve in the wind that will blow, and flown in it."""
    exercise, air = _exercise_and_air(wind)
    solution, plan = solve_shape(exercise), solve(exercise)
    if not plan.feasible:
        raise AssertionError(f"the plan is not feasible: {plan.binding}")
    height_m = 0.0
    for _ in range(_RUN_INS):  # the start is raised by what was missing over the key
        flight = Flight(_begun(solution, air, height_m), every_s=0.1)
        pilot = _Autopilot(flight, described.field())
        pilot.run_in(solution)
        height_m += solution.entry_height_m - pilot.height_m()
    pilot.exercise(solution.shape.legs(solution.bench.limits), plan)
    truth = flight.truth().of_leg("exercise")
    x_m, y_m = described.field().xy_m(truth.latitude_deg, truth.longitude_deg)
    return FlownPlan(plan, truth, x_m, y_m)


def _exercise_and_air(wind: str) -> tuple[Exercise, SimulatedAir]:
    """The exercise without a reserve to lose, and the air that moves as its forecast says."""
    forecast = WindProfile.from_levels(
        [(feet * FOOT_M, math.radians(source), knots * KNOT_MPS) for feet, source, knots in WINDS[wind]]
    )
    elevation_m = described.field().elevation_m

    def motion(altitude_msl_m: float, time_s: float) -> tuple[float, float, float]:
        east, north = forecast.components_mps(max(altitude_msl_m - elevation_m, 0.0))
        return float(north), float(east), 0.0

    air = SimulatedAir(motion, warmer_k=5.0, sea_level_pressure_pa=101800.0)
    exercise = described.exercise(air, forecast)
    return replace(exercise, reserve_m=0.0, entry_height_m=HIGH_KEY_M, low_key_height_m=LOW_KEY_M), air


def _begun(solution: Solution, air: SimulatedAir, raised_m: float) -> Simulation:
    """A glide begun before the high key, on its line and `raised_m` above its height."""
    place, start = described.field(), solution.bench.start(solution.shape, solution.entry_height_m)
    x_m = -RUN_IN_S * solution.bench.tas_mps(solution.entry_height_m)
    latitude_deg, longitude_deg = place.latitude_longitude_deg(x_m, start.y_m)
    return Simulation(
        Start(
            altitude_msl_m=place.elevation_m + solution.entry_height_m + raised_m,
            cas_mps=start.eas_mps,
            heading_rad=place.bearing_rad,
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            ground_msl_m=place.elevation_m,
        ),
        air,
    )


@dataclass(slots=True)
class _Autopilot:
    flight: Flight
    field: Field

    def run_in(self, solution: Solution) -> None:
        """Glide along the line through the high key, to abeam the touchdown point."""
        start = solution.bench.start(solution.shape, solution.entry_height_m)
        abeam = lambda now: self._xy()[0] >= 0.0  # noqa: E731
        line = lambda: self._bank_on_line(0.0, 0.0, start.y_m)  # noqa: E731
        self.flight.fly("run-in", 4.0 * RUN_IN_S, cas_mps=start.eas_mps, bank_rad=line, until=abeam)

    def exercise(self, legs: tuple[Leg, ...], plan: Plan) -> None:
        """The legs one after another, full flap with the last, the round-out and the wheels."""
        for leg in legs[:-1]:
            bank, done = self._holding(leg)
            self.flight.fly("exercise", 300.0, cas_mps=leg.eas_mps, bank_rad=bank, until=done)
        before, last = legs[-2:]
        line, done = self._holding(last)
        made = lambda now: self._energy_m() >= self._planned_energy_m(plan) or done(now)  # noqa: E731
        self.flight.fly("exercise", 60.0, cas_mps=before.eas_mps, bank_rad=line, until=made)
        begun_s = self.flight.simulation.time_s
        self.flight.simulation.flap = 1.0
        self.flight.speed_error_mps = lambda time_s: max(
            before.eas_mps - last.eas_mps - _SLOWING_MPS2 * (time_s - begun_s), 0.0
        )
        self.flight.fly("exercise", 300.0, cas_mps=last.eas_mps, bank_rad=line, until=done)
        self._round_out(line, described.airplane().touchdown_ias_mps)

    def _energy_m(self) -> float:
        """Height, and the height that the airspeed is worth."""
        return self.height_m() + self.flight.simulation.state().tas_mps ** 2 / (2.0 * GRAVITY_MPS2)

    def _planned_energy_m(self, plan: Plan) -> float:
        """The same of the plan on its final, where the airplane is now."""
        path = plan.path
        final = path.time_s >= next(gate.time_s for gate in plan.gates if gate.name is GateName.FINAL)
        energy_m = path.height_m[final] + path.tas_mps[final] ** 2 / (2.0 * GRAVITY_MPS2)
        return float(np.interp(self._xy()[0], path.x_m[final], energy_m))

    def height_m(self) -> float:
        """Above the touchdown point."""
        return self.flight.simulation.altitude_msl_m() - self.field.elevation_m

    def _holding(self, leg: Leg) -> tuple[Callable[[], float], Callable[[Simulation], bool]]:
        """The bank that holds a leg, and whether it has ended."""
        if leg.kind is LegKind.LINE:
            end_m = max(leg.end_height_m, _ROUND_OUT_AT_M)

            def line_ended(simulation: Simulation) -> bool:
                x_m, y_m = self._xy()
                ahead_m = (leg.x_m - x_m) * math.cos(leg.track_rad) + (leg.y_m - y_m) * math.sin(leg.track_rad)
                return ahead_m < _LEAD_S * self._ground()[0] or self.height_m() <= end_m

            return (lambda: self._bank_on_line(leg.track_rad, leg.x_m, leg.y_m)), line_ended

        def turn_ended(simulation: Simulation) -> bool:
            speed, track = self._ground()
            left = math.remainder(leg.turn_sign * (leg.track_rad - track), 2.0 * math.pi)
            return -1.0 < left < _LEAD_S * speed / leg.radius_m

        return (lambda: self._bank_on_circle(leg)), turn_ended

    def _bank_on_line(self, track_rad: float, x_m: float, y_m: float) -> float:
        here_x_m, here_y_m = self._xy()
        off_m = (here_y_m - y_m) * math.cos(track_rad) - (here_x_m - x_m) * math.sin(track_rad)
        cut = max(-0.5, min(0.5, 0.004 * off_m))
        return max(-0.45, min(0.45, 1.3 * math.remainder(self._ground()[1] - track_rad + cut, 2.0 * math.pi)))

    def _bank_on_circle(self, leg: Leg) -> float:
        """What the circle needs at this ground speed, and what brings the airplane back onto it."""
        (x_m, y_m), (speed, track) = self._xy(), self._ground()
        out_m = math.hypot(x_m - leg.x_m, y_m - leg.y_m) - leg.radius_m
        tangent = math.atan2(y_m - leg.y_m, x_m - leg.x_m) + leg.turn_sign * 0.5 * math.pi
        cut = leg.turn_sign * max(-0.5, min(0.5, 0.0025 * out_m))
        needed = -leg.turn_sign * math.atan(speed * speed / (GRAVITY_MPS2 * leg.radius_m))
        bank = needed + 0.8 * math.remainder(track - tangent - cut, 2.0 * math.pi)
        return max(-leg.bank_limit_rad, min(leg.bank_limit_rad, bank))

    def _round_out(self, line: Callable[[], float], touchdown_mps: float) -> None:
        """The sink taken off with height by the elevator, and the airplane held off until it is slow enough."""
        simulation = self.flight.simulation
        held = simulation.felt()[1]

        def pitch() -> float:
            nonlocal held
            settling = -0.5 if simulation.felt()[0] <= touchdown_mps else 0.0
            short = settling - 0.36 * (self.height_m() - _HELD_OFF_AT_M) - simulation.state().climb_mps
            held = max(-0.2, min(0.2, held + 0.0022 * short))
            return max(-0.2, min(0.2, held + 0.025 * short))

        down = lambda now: now.state().on_wheels  # noqa: E731
        self.flight.fly("exercise", 60.0, cas_mps=0.0, bank_rad=line, until=down, pitch_rad=pitch)
        self.flight.fly("exercise", 0.5, cas_mps=0.0, pitch_rad=lambda: held)

    def _xy(self) -> tuple[float, float]:
        state = self.flight.simulation.state()
        x_m, y_m = self.field.xy_m(state.latitude_deg, state.longitude_deg)
        return float(x_m), float(y_m)

    def _ground(self) -> tuple[float, float]:
        """Ground speed, and direction over the ground, anticlockwise from the landing direction."""
        state = self.flight.simulation.state()
        speed = math.hypot(state.north_mps, state.east_mps)
        return speed, self.field.bearing_rad - math.atan2(state.east_mps, state.north_mps)

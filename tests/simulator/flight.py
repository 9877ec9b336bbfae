"""A flight with the simulated airplane: legs flown one after another, the truth written down at even times."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, fields

import numpy as np
from numpy.typing import NDArray

from tests.simulator.autopilot import Autopilot
from tests.simulator.simulation import STEP_S, Simulation, State

Array = NDArray[np.float64]

_STEPS_PER_HAND = 2  # the autopilot moves the controls thirty times a second
_BANK_PER_HEADING, _MOST_BANK_RAD = 1.2, math.radians(25.0)


@dataclass(frozen=True, slots=True)
class Truth:
    """What happened, as arrays (n,) of the fields of `State`, and which leg each sample belongs to."""

    leg: NDArray[np.str_]
    channel: dict[str, Array]

    def __getattr__(self, name: str) -> Array:
        try:
            return self.channel[name]
        except KeyError:
            raise AttributeError(name) from None

    def of_leg(self, leg: str, after_s: float = 0.0) -> Truth:
        """The samples of a leg, without its first seconds."""
        inside = self.leg == leg
        inside &= self.time_s >= self.time_s[inside][0] + after_s
        return Truth(self.leg[inside], {name: values[inside] for name, values in self.channel.items()})


@dataclass(slots=True)
class Flight:
    """A simulation with an autopilot and a notebook of one line every `every_s`."""

    simulation: Simulation
    every_s: float = 1.0
    # knots too fast at a time of the flight: how a hand wanders
    speed_error_mps: Callable[[float], float] = lambda time_s: 0.0
    autopilot: Autopilot = field(default_factory=Autopilot)
    _states: list[State] = field(default_factory=list)
    _legs: list[str] = field(default_factory=list)

    def fly(
        self,
        leg: str,
        seconds: float,
        *,
        cas_mps: float,
        bank_rad: Callable[[], float] | float = 0.0,
        throttle: Callable[[], float] | float = 0.0,
        until: Callable[[Simulation], bool] | None = None,
        pitch_rad: Callable[[], float] | None = None,
    ) -> None:
        """A leg of so many seconds, shorter if `until` says so (asked ten times a second).

        With `pitch_rad` the elevator holds a pitch instead of the speed.
        """
        simulation, hand_s = self.simulation, _STEPS_PER_HAND * STEP_S
        for step in range(round(seconds / STEP_S)):
            if step % _STEPS_PER_HAND == 0:
                bank = bank_rad() if callable(bank_rad) else bank_rad
                simulation.throttle = throttle() if callable(throttle) else throttle
                if pitch_rad is not None:
                    self.autopilot.hold_pitch(simulation, hand_s, pitch_rad=pitch_rad(), bank_rad=bank)
                else:
                    wanted = cas_mps + self.speed_error_mps(simulation.time_s)
                    self.autopilot.hold(simulation, hand_s, cas_mps=wanted, bank_rad=bank)
                simulation.set_controls_and_air()
            self._write(leg)
            simulation.step()
            if until is not None and step % 6 == 0 and until(simulation):
                return

    def to_heading(self, heading_rad: float) -> Callable[[], float]:
        """The bank that turns to a heading and holds it."""

        def bank() -> float:
            off = math.remainder(heading_rad - self.simulation.heading_rad(), 2.0 * math.pi)
            return max(-_MOST_BANK_RAD, min(_MOST_BANK_RAD, _BANK_PER_HEADING * off))

        return bank

    def truth(self) -> Truth:
        """Everything written down."""
        channels = {
            each.name: np.array([getattr(state, each.name) for state in self._states], dtype=np.float64)
            for each in fields(State)
        }
        return Truth(np.array(self._legs), channels)

    def _write(self, leg: str) -> None:
        if self.simulation.time_s >= len(self._states) * self.every_s - 1e-6:
            self._states.append(self.simulation.state())
            self._legs.append(leg)

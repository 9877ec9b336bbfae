"""A plain autopilot for the simulated airplane: elevator for speed, aileron for bank, rudder against sideslip.

Gains are set by trial for airspeeds of 55 to 120 kt; it is a test pilot with steady hands, not a model of a trainee.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tests.simulator.simulation import Simulation

STEEPEST_PITCH_RAD, HIGHEST_PITCH_RAD = -0.45, 0.35


@dataclass(slots=True)
class Autopilot:
    """Holds what it is told; the integrals are what it has learnt about trim."""

    pitch_trim_rad: float = -0.05
    elevator_trim: float = 0.0
    aileron_trim: float = 0.0
    rudder_trim: float = 0.0

    def hold(self, simulation: Simulation, seconds: float, *, cas_mps: float, bank_rad: float) -> None:
        """Move the controls for a speed and a bank, right after `seconds` since the last time."""
        cas, pitch, _, _, pitching, _, _ = simulation.felt()
        fast = cas - cas_mps
        self.pitch_trim_rad = _within(self.pitch_trim_rad + 0.006 * fast * seconds, -0.3, 0.3)
        wanted = _within(self.pitch_trim_rad + 0.022 * fast, STEEPEST_PITCH_RAD, HIGHEST_PITCH_RAD)
        self._pitch(simulation, seconds, pitch - wanted, pitching)
        self._roll_and_yaw(simulation, seconds, bank_rad)

    def hold_pitch(self, simulation: Simulation, seconds: float, *, pitch_rad: float, bank_rad: float) -> None:
        """Move the controls for a pitch and a bank."""
        _, pitch, _, _, pitching, _, _ = simulation.felt()
        self._pitch(simulation, seconds, pitch - pitch_rad, pitching)
        self._roll_and_yaw(simulation, seconds, bank_rad)

    def _pitch(self, simulation: Simulation, seconds: float, too_high_rad: float, pitching_radps: float) -> None:
        self.elevator_trim = _within(self.elevator_trim + 0.8 * too_high_rad * seconds, -1.0, 1.0)
        simulation.elevator = _within(2.5 * too_high_rad + self.elevator_trim + pitching_radps, -1.0, 1.0)

    def _roll_and_yaw(self, simulation: Simulation, seconds: float, bank_rad: float) -> None:
        _, _, bank, sideslip, _, rolling, _ = simulation.felt()
        missing = bank_rad - bank
        if abs(missing) < math.radians(5.0):
            self.aileron_trim = _within(self.aileron_trim + 0.6 * missing * seconds, -0.5, 0.5)
        simulation.aileron = _within(2.0 * missing - 0.6 * rolling + self.aileron_trim, -1.0, 1.0)
        self.rudder_trim = _within(self.rudder_trim - sideslip * seconds, -0.7, 0.7)
        simulation.rudder = _within(-2.0 * sideslip + self.rudder_trim, -1.0, 1.0)


def _within(value: float, low: float, high: float) -> float:
    return low if value < low else high if value > high else value

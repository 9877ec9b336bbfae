"""Why a question about the air cannot be answered; each refusal holds SI values."""

from __future__ import annotations

from volplane.errors import Refusal


class OutsideTroposphere(Refusal):
    """A height at which the constant lapse rate of the troposphere no longer describes the air."""

    code = "outside-troposphere"

    def __init__(self, altitude_m: float, lowest_m: float, highest_m: float) -> None:
        super().__init__(f"altitude {altitude_m:.0f} m, described from {lowest_m:.0f} m to {highest_m:.0f} m")
        self.altitude_m = altitude_m
        self.lowest_m = lowest_m
        self.highest_m = highest_m


class TemperatureNotSensible(Refusal):
    """A temperature the air near the ground never has."""

    code = "temperature-not-sensible"

    def __init__(self, temperature_k: float, lowest_k: float, highest_k: float) -> None:
        super().__init__(f"temperature {temperature_k:.1f} K, accepted from {lowest_k:.0f} K to {highest_k:.0f} K")
        self.temperature_k = temperature_k
        self.lowest_k = lowest_k
        self.highest_k = highest_k


class PressureNotSensible(Refusal):
    """An altimeter setting or pressure beyond what has ever been measured."""

    code = "pressure-not-sensible"

    def __init__(self, pressure_pa: float, lowest_pa: float, highest_pa: float) -> None:
        super().__init__(f"pressure {pressure_pa:.0f} Pa, accepted from {lowest_pa:.0f} Pa to {highest_pa:.0f} Pa")
        self.pressure_pa = pressure_pa
        self.lowest_pa = lowest_pa
        self.highest_pa = highest_pa


class AirspeedNotSensible(Refusal):
    """A negative airspeed, or one beyond what the subsonic equations describe."""

    code = "airspeed-not-sensible"

    def __init__(self, airspeed_mps: float, highest_mps: float) -> None:
        super().__init__(f"airspeed {airspeed_mps:.1f} m/s, accepted from 0 m/s to {highest_mps:.1f} m/s")
        self.airspeed_mps = airspeed_mps
        self.highest_mps = highest_mps


class WindLevelsWrong(Refusal):
    """Wind levels that cannot be read as a profile: none, not finite, below the ground, or twice the same."""

    code = "wind-levels-wrong"

    def __init__(self, reason: str, heights_above_field_m: tuple[float, ...]) -> None:
        super().__init__(f"{reason}: heights {', '.join(f'{height:g}' for height in heights_above_field_m)} m")
        self.reason = reason
        self.heights_above_field_m = heights_above_field_m


class LegsDoNotDetermineWind(Refusal):
    """Legs flown over the ground from which no wind and airspeed follow: too few, too alike, or contradictory."""

    code = "legs-do-not-determine-wind"

    def __init__(self, reason: str, legs_count: int) -> None:
        super().__init__(f"{legs_count} legs: {reason}")
        self.reason = reason
        self.legs_count = legs_count

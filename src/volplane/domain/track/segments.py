"""Steady stretches of a flight: one speed, small bank, long enough that inertia and the recorder average out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from volplane.domain.track.track import AltitudeSource


@dataclass(frozen=True, slots=True)
class SteadySegment:
    """A stretch of steady flight as it was recorded; means over its time, nothing reduced yet.

    `sink_mps` is the rate at which the recorded altitude falls (positive down), of the kind `altitude_source` says: a
    pressure altitude still needs the temperature correction. `altitude_m` is the mean of that altitude.
    `speed_change_mps2` is the mean rate of change of the airspeed. `east_mps` and `north_mps` are the velocity over the
    ground, `heading_true_rad` where the nose points. `bank_rad` is the mean size of the bank. Channels that were not
    recorded are None, so are configuration and weight when nobody said them.

    :raises ValueError: a duration that is not positive, or a negative standard deviation.
    """

    start_unix_s: float
    duration_s: float
    altitude_m: float
    altitude_source: AltitudeSource
    sink_mps: float
    sink_sd_mps: float
    ias_mps: float | None = None
    tas_mps: float | None = None
    airspeed_sd_mps: float = 0.0
    speed_change_mps2: float = 0.0
    east_mps: float | None = None
    north_mps: float | None = None
    heading_true_rad: float | None = None
    bank_rad: float = 0.0
    air_temperature_k: float | None = None
    manifold_pressure_pa: float | None = None
    engine_speed_radps: float | None = None
    configuration: str | None = None
    weight_kg: float | None = None

    def __post_init__(self) -> None:
        if not self.duration_s > 0.0:
            raise ValueError(f"a segment of {self.duration_s} s")
        if min(self.sink_sd_mps, self.airspeed_sd_mps) < 0.0:
            raise ValueError("a negative standard deviation")

    @property
    def end_unix_s(self) -> float:
        """Time of its end, seconds since 1970 UTC."""
        return self.start_unix_s + self.duration_s

    @property
    def load_factor(self) -> float:
        """Lift in parts of weight in the mean turn: 1 / cos bank, the glide's own slope left out."""
        return 1.0 / math.cos(self.bank_rad)

    @property
    def track_true_rad(self) -> float | None:
        """Direction of the path over the ground, clockwise from true north, [0, 2 pi)."""
        if self.east_mps is None or self.north_mps is None:
            return None
        return math.atan2(self.east_mps, self.north_mps) % (2.0 * math.pi)

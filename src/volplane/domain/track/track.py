"""The track: one value for every recording, whatever its format."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray


class AltitudeSource(StrEnum):
    """Where the altitudes of a track come from."""

    GPS = "GPS altitude"
    PRESSURE = "pressure altitude"
    INDICATED = "indicated altitude"
    NONE = "no altitude"


Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Track:
    """A recording as channels over time; all arrays have shape (n,), times strictly grow.

    `time_s` counts from `start_unix_s` (seconds since 1970 UTC). A channel that was not recorded is None; a sample that
    is missing in a recorded channel is NaN. Altitudes are as recorded, `altitude_source` says what they are; pressure
    altitudes are on the standard setting. `ias_mps` is indicated airspeed, `manifold_pressure_pa` absolute pressure,
    `engine_speed_radps` the propeller shaft's.
    """

    start_unix_s: float
    time_s: Array
    latitude_deg: Array
    longitude_deg: Array
    altitude_m: Array | None
    altitude_source: AltitudeSource
    ground_speed_mps: Array | None = None
    track_true_rad: Array | None = None
    ias_mps: Array | None = None
    tas_mps: Array | None = None
    heading_true_rad: Array | None = None
    bank_rad: Array | None = None
    vertical_speed_mps: Array | None = None
    air_temperature_k: Array | None = None
    manifold_pressure_pa: Array | None = None
    engine_speed_radps: Array | None = None
    position_sd_m: float = 5.0
    altitude_sd_m: float = 6.0
    notes: tuple[str, ...] = field(default_factory=tuple)

    def __post_init__(self) -> None:
        if self.time_s.ndim != 1 or len(self.time_s) < 2:
            raise ValueError("a track needs two fixes or more")
        if not np.all(np.diff(self.time_s) > 0):
            raise ValueError("track times must strictly grow")
        for name in ("latitude_deg", "longitude_deg", "altitude_m", "ground_speed_mps", "ias_mps"):
            channel = getattr(self, name)
            if channel is not None and channel.shape != self.time_s.shape:
                raise ValueError(f"{name} has shape {channel.shape}, time_s has {self.time_s.shape}")

    @property
    def end_unix_s(self) -> float:
        """Time of the last fix, seconds since 1970 UTC."""
        return self.start_unix_s + float(self.time_s[-1])

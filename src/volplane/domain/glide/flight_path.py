"""A flown path: what the integrator returns and every drawing and table reads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class FlightPath:
    """A flight through the runway frame, one row a time step; all arrays have shape (n,).

    Origin at the touchdown point, x along the landing direction, y to the left, height above the touchdown point.
    `heading_rad` is the air heading and `track_rad` the direction over the ground, both anticlockwise from the landing
    direction and unwrapped; `bank_rad` is positive right wing down. `phase_index` counts legs or phases as its maker
    names them in `phase_names`; `configuration_index` points into `configuration_names`.
    """

    time_s: NDArray[np.float64]
    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    height_m: NDArray[np.float64]
    heading_rad: NDArray[np.float64]
    track_rad: NDArray[np.float64]
    bank_rad: NDArray[np.float64]
    tas_mps: NDArray[np.float64]
    eas_mps: NDArray[np.float64]
    ground_speed_mps: NDArray[np.float64]
    phase_index: NDArray[np.int64]
    configuration_index: NDArray[np.int64]
    phase_names: tuple[str, ...]
    configuration_names: tuple[str, ...]

    def __post_init__(self) -> None:
        length = self.time_s.shape
        for name in ("x_m", "y_m", "height_m", "heading_rad", "track_rad", "bank_rad", "tas_mps", "eas_mps"):
            if getattr(self, name).shape != length:
                raise ValueError(f"{name} has shape {getattr(self, name).shape}, time_s has {length}")

    def at(self, time_s: float) -> tuple[float, float, float]:
        """Position (x_m, y_m, height_m) at a time, interpolated linearly."""
        return (
            float(np.interp(time_s, self.time_s, self.x_m)),
            float(np.interp(time_s, self.time_s, self.y_m)),
            float(np.interp(time_s, self.time_s, self.height_m)),
        )

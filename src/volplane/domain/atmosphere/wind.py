"""The wind over the field: what the air does with height, as one small shared value."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from volplane.domain.atmosphere.refusals import WindLevelsWrong
from volplane.domain.atmosphere.scalars import FloatArray, FloatOrArray, as_given

# Standard height of an anemometer over open ground (WMO-No. 8, Guide to Instruments and Methods of Observation).
ANEMOMETER_HEIGHT_M = 10.0
# The power law is not followed nearer the ground than this: a wing never gets lower, and at the ground its slope is
# infinite.
LEAST_HEIGHT_M = 2.0
# Shear exponent over open country in neutral air: the seventh-root law of the wind-energy textbooks (from memory).
OPEN_COUNTRY_SHEAR_EXPONENT = 1.0 / 7.0


@dataclass(frozen=True, slots=True, eq=False)
class WindProfile:
    """Horizontal velocity of the air against height above the field.

    `height_above_field_m`, `wind_east_mps`, `wind_north_mps` are (n,), n >= 1, heights rising. The components are the
    velocity of the air: a west wind has a positive east component. Between levels the components are interpolated
    linearly; above the highest level they stay; below the lowest they shrink by the power law
    (height / lowest) ** shear_exponent_factor with the direction kept, down to 2 m, and stay from there to the ground.

    A level given below 10 m, such as 0, means the standard anemometer height and is kept as 10 m: reported surface wind
    is measured there.

    :raises WindLevelsWrong: no level, unequal lengths, not finite, below the ground, not rising, exponent outside 0..1.
    """

    height_above_field_m: FloatArray
    wind_east_mps: FloatArray
    wind_north_mps: FloatArray
    shear_exponent_factor: float = OPEN_COUNTRY_SHEAR_EXPONENT

    def __post_init__(self) -> None:
        for name in ("height_above_field_m", "wind_east_mps", "wind_north_mps"):
            own = np.array(getattr(self, name), dtype=np.float64)
            own.flags.writeable = False
            object.__setattr__(self, name, own)
        self._check()
        heights = np.maximum(self.height_above_field_m, ANEMOMETER_HEIGHT_M)
        heights.flags.writeable = False
        object.__setattr__(self, "height_above_field_m", heights)
        if np.any(np.diff(heights) <= 0.0):
            raise self._wrong("wind levels do not rise, or two of them mean the anemometer at 10 m")

    def _check(self) -> None:
        heights, east, north = self.height_above_field_m, self.wind_east_mps, self.wind_north_mps
        if heights.ndim != 1 or heights.size == 0 or not heights.shape == east.shape == north.shape:
            raise self._wrong("a wind profile has one height, east and north component for each of its levels")
        if not (np.isfinite(heights).all() and np.isfinite(east).all() and np.isfinite(north).all()):
            raise self._wrong("a wind level is not a finite number")
        if heights.min() < 0.0:
            raise self._wrong("a wind level lies below the field")
        if not 0.0 <= self.shear_exponent_factor <= 1.0:
            raise self._wrong(f"shear exponent {self.shear_exponent_factor:g} is not between 0 and 1")

    def _wrong(self, reason: str) -> WindLevelsWrong:
        return WindLevelsWrong(reason, tuple(float(height) for height in np.ravel(self.height_above_field_m)))

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, WindProfile):
            return NotImplemented
        return self._key() == other._key()

    def __hash__(self) -> int:
        return hash(self._key())

    def _key(self) -> tuple[bytes, bytes, bytes, float]:
        return (
            self.height_above_field_m.tobytes(),
            (self.wind_east_mps + 0.0).tobytes(),  # adding nought makes -0 equal to 0
            (self.wind_north_mps + 0.0).tobytes(),
            self.shear_exponent_factor,
        )

    @classmethod
    def calm(cls) -> WindProfile:
        """Air at rest at every height."""
        return cls.uniform(0.0, 0.0)

    @classmethod
    def uniform(cls, from_true_rad: float, speed_mps: float) -> WindProfile:
        """The same wind at every height down to the ground (no shear), from a true direction."""
        return cls.from_levels([(ANEMOMETER_HEIGHT_M, from_true_rad, speed_mps)], shear_exponent_factor=0.0)

    @classmethod
    def from_levels(
        cls,
        levels: Sequence[tuple[float, float, float]],
        *,
        shear_exponent_factor: float = OPEN_COUNTRY_SHEAR_EXPONENT,
    ) -> WindProfile:
        """A profile from (height above field in m, true direction from in rad, speed in m/s), in any order.

        :raises WindLevelsWrong: as the class does.
        """
        rising = sorted(levels)
        return cls(
            np.array([height for height, _, _ in rising]),
            np.array([-speed * math.sin(direction) for _, direction, speed in rising]),
            np.array([-speed * math.cos(direction) for _, direction, speed in rising]),
            shear_exponent_factor,
        )

    def components_mps(self, height_above_field_m: FloatOrArray) -> tuple[FloatOrArray, FloatOrArray]:
        """East and north velocity of the air at a height (one number or an array of any shape)."""
        shrink = self._shear_factor(height_above_field_m)
        east = shrink * np.interp(height_above_field_m, self.height_above_field_m, self.wind_east_mps)
        north = shrink * np.interp(height_above_field_m, self.height_above_field_m, self.wind_north_mps)
        return as_given(east, height_above_field_m), as_given(north, height_above_field_m)

    def speed_and_direction(self, height_above_field_m: FloatOrArray) -> tuple[FloatOrArray, FloatOrArray]:
        """Wind speed in m/s and the true direction it comes from in [0, 2 pi) rad; direction 0 in still air."""
        east, north = self.components_mps(height_above_field_m)
        from_true_rad = np.mod(np.arctan2(-east, -north), 2.0 * math.pi)
        calm = np.hypot(east, north) == 0.0
        # a tiny negative angle rounds up to a whole circle
        from_true_rad = np.where(calm | (from_true_rad >= 2.0 * math.pi), 0.0, from_true_rad)
        return as_given(np.hypot(east, north), height_above_field_m), as_given(from_true_rad, height_above_field_m)

    def in_runway_frame(self, bearing_true_rad: float) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Heights (n,), wind along the landing direction (n,) and to the left of it (n,), as the kernels take them."""
        sine, cosine = math.sin(bearing_true_rad), math.cos(bearing_true_rad)
        wind_x_mps = self.wind_east_mps * sine + self.wind_north_mps * cosine
        wind_y_mps = self.wind_north_mps * sine - self.wind_east_mps * cosine
        return self.height_above_field_m.copy(), wind_x_mps, wind_y_mps

    def rotated(self, angle_rad: float) -> WindProfile:
        """The same profile with every direction turned clockwise seen from above, as a compass counts."""
        sine, cosine = math.sin(angle_rad), math.cos(angle_rad)
        return WindProfile(
            self.height_above_field_m,
            self.wind_east_mps * cosine + self.wind_north_mps * sine,
            self.wind_north_mps * cosine - self.wind_east_mps * sine,
            self.shear_exponent_factor,
        )

    def scaled(self, factor: float) -> WindProfile:
        """The same profile with every speed multiplied by a factor."""
        return WindProfile(
            self.height_above_field_m,
            self.wind_east_mps * factor,
            self.wind_north_mps * factor,
            self.shear_exponent_factor,
        )

    def _shear_factor(self, height_above_field_m: float | FloatArray) -> FloatArray:
        """Part of the lowest level's wind that is left at a height: 1 at and above that level."""
        share = np.clip(np.asarray(height_above_field_m) / self.height_above_field_m[0], None, 1.0)
        least = LEAST_HEIGHT_M / float(self.height_above_field_m[0])
        return np.asarray(np.maximum(share, least) ** self.shear_exponent_factor, dtype=np.float64)

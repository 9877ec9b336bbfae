"""What the use cases need from outside, as Protocols that adapters implement."""

from __future__ import annotations

from typing import Protocol


class MagneticVariation(Protocol):
    """Magnetic variation anywhere on earth on a day."""

    def variation_east_rad(
        self, latitude_deg: float, longitude_deg: float, altitude_msl_m: float, time_unix_s: float
    ) -> float:
        """Variation, east positive.

        :raises Refusal: no model covers that day.
        """
        ...

"""Recordings that no debrief can be made of, each cause its own class."""

from __future__ import annotations

from volplane.errors import Refusal


class RecordingFarFromAirfield(Refusal):
    """The recording never comes near the airfield of the exercise."""

    code = "recording-far-from-airfield"

    def __init__(self, airfield: str, nearest_m: float, limit_m: float) -> None:
        super().__init__(f"the recording comes no nearer to {airfield} than {nearest_m:.0f} m; {limit_m:.0f} m is near")
        self.airfield = airfield
        self.nearest_m = nearest_m
        self.limit_m = limit_m


class RecordingWithoutAltitude(Refusal):
    """The recording holds no altitude, and without heights there is no glide to find."""

    code = "recording-without-altitude"

    def __init__(self, fixes: int) -> None:
        super().__init__(f"none of the {fixes} fixes has an altitude")
        self.fixes = fixes

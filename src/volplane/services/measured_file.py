"""What one file tells about an airplane when it is dropped on the bench, and what it cannot tell."""

from __future__ import annotations

from dataclasses import dataclass

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration
from volplane.domain.airplane.measured_glide import MeasuredGlide
from volplane.errors import Refusal
from volplane.services.standing_in import StandInAnswer


@dataclass(frozen=True, slots=True)
class Untold:
    """Something that was looked for in the file and not found: "glide" or "airspeed", and why."""

    what: str
    refusal: Refusal


@dataclass(frozen=True, slots=True)
class MeasuredFile:
    """The results of one file against the airplane on the bench; None where it was not looked for or not found.

    `untold` says for what was looked for why it gave nothing.
    """

    airplane: Airplane
    glide: MeasuredGlide | None = None
    airspeed: AirspeedCalibration | None = None
    stand_in: StandInAnswer | None = None
    untold: tuple[Untold, ...] = ()

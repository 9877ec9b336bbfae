"""How a plan comes out when it is flown many times: the values a dispersion answers with."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.uncertainties import Source

# percentiles of the touchdown and of the heights at the gates
PERCENTS = (5, 25, 50, 75, 95)


class GoAroundReason(StrEnum):
    """Why a flight was broken off."""

    STILL_DOWNWIND = "still on downwind at the break-off height"
    SPEED = "speed at the break-off height"
    BANK = "bank at the break-off height"
    SHORT = "would have landed short"
    LONG = "would have landed long"
    NOT_ON_FINAL = "not on final when it had to be complete"
    NO_END = "came to no end"


@dataclass(frozen=True, slots=True)
class GoArounds:
    """The part of all flights that were broken off for one reason."""

    reason: GoAroundReason
    flights_fraction: float


@dataclass(frozen=True, slots=True)
class GateSpread:
    """Heights at one gate over all flights that passed it, above the touchdown point; percentiles as PERCENTS."""

    name: GateName
    mean_m: float
    sd_m: float
    percentile_m: tuple[float, ...]
    passed_fraction: float


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What one source matters: the touchdown's variance that goes when it is switched off, in parts of the whole.

    Shares need not add up to one: the pilot corrects, so sources mask each other. A share under nought is chance.
    `short_without_fraction` and `go_around_without_fraction` are what is left of both without the source.
    """

    source: Source
    variance_share_fraction: float
    sd_without_m: float
    short_without_fraction: float
    go_around_without_fraction: float


@dataclass(frozen=True, slots=True)
class Dispersion:
    """How a plan comes out. The five fractions add up to 1; a go-around is counted nowhere else.

    Short of the runway is before the threshold; before the zone is on the runway but short of the point; long is beyond
    the zone. `percentile_x_m` (PERCENTS), mean and standard deviation are those of the landings; NaN without any.
    """

    runs: int
    seed: int
    short_of_runway_fraction: float
    before_zone_fraction: float
    in_zone_fraction: float
    long_fraction: float
    go_around_fraction: float
    mean_x_m: float
    sd_x_m: float
    percentile_x_m: tuple[float, ...]
    gates: tuple[GateSpread, ...]
    go_arounds: tuple[GoArounds, ...]
    sensitivities: tuple[Sensitivity, ...] = ()

"""Do the figures of an airplane file agree with each other? Handbook, rule of thumb and measurement often do not.

A speed and a ratio imply a sink; a stated sink, a measured curve or a landing speed that says otherwise by more than a
tenth is named with both figures. Which of them is right the program cannot know.
"""

from __future__ import annotations

from dataclasses import dataclass

from volplane.domain.glide.polar import ParabolaPolar, implied_sink_mps
from volplane.errors import Problem

# a tenth is more than a careful reading of a handbook graph is wrong by (ours)
LARGEST_DIFFERENCE_FRACTION = 0.10
# a landing without power is flown at 1.3 times the landing stall speed or more; under 1.2 nothing is left for the
# round-out (1.3: FAA Airplane Flying Handbook; 1.2: ours)
LEAST_APPROACH_TO_STALL_RATIO = 1.2


@dataclass(frozen=True, slots=True)
class Handbook:
    """The figures an airplane file states, in SI; None is not stated. Sink is at sea level at the best glide speed."""

    best_cas_mps: float | None = None
    best_ratio: float | None = None
    sink_mps: float | None = None
    measured_best_cas_mps: float | None = None
    measured_best_ratio: float | None = None
    stall_landing_ias_mps: float | None = None
    approach_ias_mps: float | None = None
    full_flap_ias_mps: float | None = None


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Stated figures that do not hold at once.

    `keys` are the keys of the file that disagree; `stated` is the first one's value and `implied` what the others imply
    for it, both in the SI unit of `quantity`: "sink_mps", "speed_mps" or "ratio". `difference_fraction` is stated over
    implied less one.
    """

    keys: tuple[str, ...]
    quantity: str
    stated: float
    implied: float

    @property
    def difference_fraction(self) -> float:
        """How much the stated figure is above the implied one, in parts of it."""
        return self.stated / self.implied - 1.0


@dataclass(frozen=True, slots=True)
class CheckedFile:
    """What checking one file found; an exercise carries the figures of its airplane."""

    file: str
    kind: str
    implied_sink_mps: float | None
    contradictions: tuple[Contradiction, ...]
    problems: tuple[Problem, ...]

    @property
    def is_accepted(self) -> bool:
        """Whether the file can be used; figures that contradict each other do not forbid it."""
        return not self.problems


def implied_sink_at_sea_level_mps(handbook: Handbook) -> float | None:
    """The sink that best speed and ratio imply in still air at sea level; None when one of them is not stated."""
    if handbook.best_cas_mps is None or handbook.best_ratio is None:
        return None
    # calibrated airspeed at sea level is equivalent airspeed; the weight does not enter
    return implied_sink_mps(ParabolaPolar(1.0, handbook.best_cas_mps, handbook.best_ratio))


def contradictions(handbook: Handbook) -> tuple[Contradiction, ...]:
    """Every pair of stated figures that differ by more than a tenth, and landing speeds that do not fit each other."""
    implied_sink = implied_sink_at_sea_level_mps(handbook)
    pairs = (
        (("glide.sink", "glide.best_speed", "glide.ratio"), "sink_mps", handbook.sink_mps, implied_sink),
        (("glide.ratio", "glide.points"), "ratio", handbook.best_ratio, handbook.measured_best_ratio),
        (("glide.best_speed", "glide.points"), "speed_mps", handbook.best_cas_mps, handbook.measured_best_cas_mps),
        (("glide.sink", "glide.points"), "sink_mps", handbook.sink_mps, _measured_sink(handbook)),
    )
    found = [
        Contradiction(keys, quantity, stated, implied)
        for keys, quantity, stated, implied in pairs
        if stated is not None and implied is not None and abs(stated / implied - 1.0) > LARGEST_DIFFERENCE_FRACTION
    ]
    return (*found, *_landing(handbook))


def _measured_sink(handbook: Handbook) -> float | None:
    if handbook.measured_best_cas_mps is None or handbook.measured_best_ratio is None:
        return None
    return implied_sink_mps(ParabolaPolar(1.0, handbook.measured_best_cas_mps, handbook.measured_best_ratio))


def _landing(handbook: Handbook) -> list[Contradiction]:
    approach, stall = handbook.approach_ias_mps, handbook.stall_landing_ias_mps
    found: list[Contradiction] = []
    if approach is not None and stall is not None and approach < LEAST_APPROACH_TO_STALL_RATIO * stall:
        keys = ("landing_without_power.approach_speed", "stall.landing")
        found.append(Contradiction(keys, "speed_mps", approach, LEAST_APPROACH_TO_STALL_RATIO * stall))
    flap = handbook.full_flap_ias_mps
    if approach is not None and flap is not None and approach > flap:
        keys = ("landing_without_power.approach_speed", "limits.full_flap")
        found.append(Contradiction(keys, "speed_mps", approach, flap))
    return found

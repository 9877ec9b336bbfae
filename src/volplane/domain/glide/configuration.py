"""What hangs in the wind and what the propeller does: a configuration of the airplane as data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Gear(StrEnum):
    """Landing gear position."""

    UP = "up"
    DOWN = "down"


class Flap(StrEnum):
    """Wing flap position."""

    UP = "up"
    APPROACH = "approach"
    FULL = "full"


class Propeller(StrEnum):
    """What the propeller does: governed coarse or fine while the engine turns without power, windmilling, stopped."""

    COARSE = "coarse"
    FINE = "fine"
    WINDMILLING = "windmilling"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class Configuration:
    """Drag and thrust of one configuration relative to the reference glide (clean, dead engine, propeller coarse).

    `extra_drag_factor` is a_c: extra parasite drag in parts of the clean parasite drag, so total parasite drag is
    (1 + a_c) of the clean one. `induced_factor` is b_c: induced drag in parts of the clean one.
    `thrust_power_per_weight_mps` is eta P / W in m/s, the rate of climb the thrust alone would give; 0 without power.
    `is_estimate` marks literature defaults that no measurement has replaced.
    """

    name: str
    gear: Gear = Gear.UP
    flap: Flap = Flap.UP
    propeller: Propeller = Propeller.COARSE
    extra_drag_factor: float = 0.0
    induced_factor: float = 1.0
    thrust_power_per_weight_mps: float = 0.0
    is_estimate: bool = False

    def __post_init__(self) -> None:
        if not self.extra_drag_factor > -1.0:
            raise ValueError(f"extra drag factor {self.extra_drag_factor} leaves no parasite drag; it must exceed -1")
        if not self.induced_factor > 0.0:
            raise ValueError(f"induced drag factor {self.induced_factor} must be positive")


CLEAN = Configuration("clean")

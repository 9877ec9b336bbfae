"""The speed that carries farthest over the ground in head- or tailwind.

Drawing the tangent to the polar from the wind on the speed axis gives, for the parabolic polar and small angles,
2 v^5 - 2 v + u (3 v^4 - 1) = 0 with v the speed and u the tailwind, both in parts of best glide true airspeed.
"""

from __future__ import annotations

import math

from volplane.domain.atmosphere.isa import SEA_LEVEL_DENSITY_KGPM3
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.polar import GlideModel
from volplane.domain.glide.turning import SteadyTurn, best_speed

_FASTEST_FACTOR = 3.0
# speed of least sink in parts of best glide speed, where the wind term of the equation vanishes
_LEAST_SINK_FACTOR: float = math.sqrt(math.sqrt(1.0 / 3.0))


def speed_to_fly_factor(tailwind_factor: float) -> float:
    """Speed that carries farthest, in parts of best glide speed; the tailwind (headwind negative) in the same parts.

    Between 0.76 (the speed of least sink, for any tailwind) and above 1 in headwind.

    :raises ValueError: a wind that is not finite.
    """
    u = tailwind_factor
    if not math.isfinite(u):
        raise ValueError(f"wind {u} must be finite")
    # one root above the speed of least sink; far out the first term wins, at the latest by 1 - 2 u
    low, high = _LEAST_SINK_FACTOR, 1.0 + 2.0 * abs(u)
    for _ in range(200):
        v = 0.5 * (low + high)
        if 2.0 * v**5 - 2.0 * v + u * (3.0 * v**4 - 1.0) < 0.0:
            low = v
        else:
            high = v
        if high - low < 1e-14 * high:
            break
    return 0.5 * (low + high)


def ground_ratio_factor(speed_factor: float, tailwind_factor: float) -> float:
    """Ratio over the ground in parts of the best still-air ratio: 2 (v + u) / (v^3 + 1/v); negative drifting back."""
    still = speed_factor**3 + 1.0 / speed_factor
    return 2.0 * (speed_factor + tailwind_factor) / still


def rule_of_thumb_factor(tailwind_factor: float) -> float:
    """The light-wind rule beside the equation: best glide speed and a quarter of the headwind, in parts of best glide.

    Half the headwind, as often said, overshoots. The rule is the equation's slope in still air, and never asks for less
    than the speed of least sink.
    """
    return max(1.0 - 0.25 * tailwind_factor, _LEAST_SINK_FACTOR)


def farthest_glide(
    glide: GlideModel,
    tailwind_mps: float,
    configuration: Configuration,
    density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3,
) -> SteadyTurn:
    """The straight glide that carries farthest over the ground with any polar, configuration and power, exactly.

    Best when the height lost over a distance is least: sink to ground speed. Speeds searched end at three times best
    glide speed.

    :raises ValueError: a headwind against which no searched speed makes way.
    """
    fastest_mps = _FASTEST_FACTOR * glide.best_eas_mps * math.sqrt(SEA_LEVEL_DENSITY_KGPM3 / density_kgpm3)
    if tailwind_mps <= -fastest_mps:
        raise ValueError(f"headwind {-tailwind_mps:.1f} m/s is not below the fastest speed of {fastest_mps:.1f} m/s")

    def cost(turn: SteadyTurn) -> float:
        ground_speed_mps = turn.tas_mps * math.cos(turn.path_angle_rad) + tailwind_mps
        return turn.sink_mps / ground_speed_mps if ground_speed_mps > 0.0 else math.inf

    return best_speed(glide, 0.0, configuration, density_kgpm3, cost)

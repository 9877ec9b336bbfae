"""What is left of the go-around climb where the air is thin.

The flight manual gives one rate of climb, at sea level in standard air and maximum weight. Climb is excess power over
weight: what the propeller gives less what level flight takes. Full-throttle power falls by Gagg and Ferrar; the power
for level flight at the same equivalent airspeed grows with true airspeed, as one over the root of the density ratio
(Lowry, Performance of Light Aircraft, AIAA 1999, the bootstrap method, from memory). At another weight the speed goes
with its root. An engine that keeps its power with height climbs better than this says.
"""

from __future__ import annotations

import math

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.thrust import gagg_ferrar_factor, powerplant
from volplane.units import STANDARD_GRAVITY_MPS2

# part of the rated power that the propeller turns into climb (ours; more makes the climb fall faster with height)
CLIMB_EFFICIENCY_RATIO = 0.75


def go_around_climb_mps(airplane: Airplane, weight_kg: float, density_ratio: float) -> float | None:
    """Rate of climb of a go-around in air of this density ratio; negative where it sinks, None if not known.

    The rated power is an estimate from the maximum weight where the airplane file does not give it.
    """
    at_sea_level_mps = airplane.limits.go_around_climb_mps
    if at_sea_level_mps is None:
        return None
    maximum_kg = airplane.maximum_weight_kg
    rated_power_w = powerplant(airplane.engine, maximum_kg).rated_power_w
    full_mps = CLIMB_EFFICIENCY_RATIO * rated_power_w / (maximum_kg * STANDARD_GRAVITY_MPS2)
    # an estimate must not say that the airplane needs no power to fly level
    full_mps = max(full_mps, at_sea_level_mps)
    needed_mps = full_mps - at_sea_level_mps
    heavier_factor = weight_kg / maximum_kg
    available_mps = full_mps * gagg_ferrar_factor(density_ratio) / heavier_factor
    return available_mps - needed_mps * math.sqrt(heavier_factor / density_ratio)

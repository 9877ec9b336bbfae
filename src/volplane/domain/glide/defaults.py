"""What gear, flap and propeller cost until somebody measures it: estimates, marked so wherever they go.

All are extra parasite drag in parts of the clean airplane's parasite drag (a_c), for a heavy retractable single whose
clean zero-lift drag coefficient is about 0.020 (estimate, ours).
"""

from __future__ import annotations

import math
from dataclasses import replace

from volplane.domain.atmosphere.isa import SEA_LEVEL_DENSITY_KGPM3
from volplane.domain.glide.configuration import CLEAN, Configuration, Flap, Gear, Propeller
from volplane.domain.glide.polar import GlideModel
from volplane.units import STANDARD_GRAVITY_MPS2

# Three legs and wheels of about 0.13 m2 drag area against about 0.32 m2 of the clean airplane (estimate, ours).
GEAR_EXTRA_DRAG_FACTOR = 0.40
# Flap: 0.0074 (flap chord / chord) (flapped area / area) (angle - 10 degrees) for slotted flaps (Raymer, Aircraft
# Design: A Conceptual Approach, AIAA, drag of flaps, from memory), with a quarter of the chord and 45 % of the area:
# 0.004 at 15 degrees; 0.017 at 30 degrees. In parts of 0.020, rounded; the small angle less, since its drag is mostly
# induced (estimate, ours).
APPROACH_FLAP_EXTRA_DRAG_FACTOR = 0.15
FULL_FLAP_EXTRA_DRAG_FACTOR = 0.90
# Fine against coarse pitch is worth about a fifth of the distance (common practice, no source). At best glide half of
# the drag is parasite, so 1 / (1 + a/2) = 0.8.
FINE_PROPELLER_EXTRA_DRAG_FACTOR = 0.50
# A propeller that windmills at a pitch nobody knows is taken as fine: governors of most singles go there without oil
# pressure, and it errs on the safe side (estimate, ours).
WINDMILLING_PROPELLER_EXTRA_DRAG_FACTOR = FINE_PROPELLER_EXTRA_DRAG_FACTOR
# The part of the reference glide's own parasite drag that is its dead propeller in coarse pitch: with the engine
# turning under power the airplane is rid of it, and what the blades then cost is counted with the thrust (estimate,
# ours: without that propeller the ratio would be a tenth better).
DEAD_COARSE_PROPELLER_DRAG_FACTOR = 0.20
# Standing still: 0.8 x solidity x disk (see `stopped_propeller_drag_area_m2`) for three blades of 2.0 m, 0.30 m2, in
# parts of the clean parasite drag area of 0.44 m2 of a 1,650 kg airplane at 9.6 to 1 and 109 kt. The drag that the
# coarse windmilling propeller has in the reference glide is not taken off: safe side (estimate, ours).
STOPPED_PROPELLER_EXTRA_DRAG_FACTOR = 0.69

# roll rate a pilot uses in the pattern (estimate, ours)
ROLL_RATE_RADPS = math.radians(15.0)

_PROPELLERS = {
    Propeller.COARSE: 0.0,
    Propeller.FINE: FINE_PROPELLER_EXTRA_DRAG_FACTOR,
    Propeller.WINDMILLING: WINDMILLING_PROPELLER_EXTRA_DRAG_FACTOR,
    Propeller.STOPPED: STOPPED_PROPELLER_EXTRA_DRAG_FACTOR,
}
_FLAPS = {Flap.UP: 0.0, Flap.APPROACH: APPROACH_FLAP_EXTRA_DRAG_FACTOR, Flap.FULL: FULL_FLAP_EXTRA_DRAG_FACTOR}
# solidity of one blade (Raymer, the same, drag of stopped propellers, from memory)
SOLIDITY_OF_A_BLADE_FACTOR = 0.04
_STOPPED_DRAG = 0.8


def estimated_configuration(
    name: str, gear: Gear, flap: Flap, propeller: Propeller = Propeller.COARSE
) -> Configuration:
    """A configuration whose drag is the sum of its parts, induced drag as clean; an estimate."""
    gear_factor = GEAR_EXTRA_DRAG_FACTOR if gear is Gear.DOWN else 0.0
    extra = gear_factor + _FLAPS[flap] + _PROPELLERS[propeller]
    return Configuration(name, gear, flap, propeller, extra_drag_factor=extra, is_estimate=True)


def standard_configurations() -> tuple[Configuration, ...]:
    """The configurations every airplane has until its own are measured; the third is the landing configuration.

    Clean is the reference itself and therefore no estimate. Gear and full flap makes a 9.6 to 1 airplane one of about
    6.3 to 1 at an approach speed of 0.81 of best glide.
    """
    return (
        CLEAN,
        estimated_configuration("gear and approach flap", Gear.DOWN, Flap.APPROACH),
        estimated_configuration("gear and full flap", Gear.DOWN, Flap.FULL),
        estimated_configuration("clean, propeller fine", Gear.UP, Flap.UP, Propeller.FINE),
    )


def under_power(configuration: Configuration) -> Configuration:
    """The same configuration with the engine turning under power: the drag of the dead propeller gone, no thrust yet.

    What the turning blades cost is counted with the thrust. The difference is an estimate.
    """
    extra = configuration.extra_drag_factor - DEAD_COARSE_PROPELLER_DRAG_FACTOR
    return replace(configuration, extra_drag_factor=extra, is_estimate=True)


def idling_at_the_fine_stop(configuration: Configuration) -> Configuration:
    """The same configuration with the throttle closed: a governed propeller runs to its fine stop and brakes.

    Idle thrust belongs to this configuration and is taken as none (estimate, ours; it may sink half as fast again as
    the dead engine with the propeller coarse, or hardly more: measure it).
    """
    return with_propeller(configuration, Propeller.FINE)


def with_propeller(configuration: Configuration, propeller: Propeller) -> Configuration:
    """The same configuration with the propeller doing something else; the difference of drag is an estimate.

    Thrust is not touched.
    """
    if propeller is configuration.propeller:
        return configuration
    change = _PROPELLERS[propeller] - _PROPELLERS[configuration.propeller]
    return replace(
        configuration,
        name=f"{configuration.name.partition(', propeller ')[0]}, propeller {propeller}",
        propeller=propeller,
        extra_drag_factor=configuration.extra_drag_factor + change,
        is_estimate=True,
    )


def stopped_propeller_drag_area_m2(propeller_diameter_m: float, blades: int) -> float:
    """Drag over dynamic pressure of a propeller that stands still: 0.8 x solidity x disk area.

    Source: Raymer, Aircraft Design: A Conceptual Approach, AIAA, drag of stopped propellers, from memory; solidity 0.04
    a blade.
    """
    return _STOPPED_DRAG * SOLIDITY_OF_A_BLADE_FACTOR * blades * 0.25 * math.pi * propeller_diameter_m**2


def stopped_propeller_extra_drag_factor(glide: GlideModel, propeller_diameter_m: float, blades: int) -> float:
    """That in parts of the clean parasite drag: at best glide half of the drag W/E is parasite."""
    weight_n = glide.reference_weight_kg * STANDARD_GRAVITY_MPS2
    pressure_pa = 0.5 * SEA_LEVEL_DENSITY_KGPM3 * glide.best_eas_mps**2
    clean_area_m2 = 0.5 * weight_n / (glide.best_ratio * pressure_pa)
    return stopped_propeller_drag_area_m2(propeller_diameter_m, blades) / clean_area_m2

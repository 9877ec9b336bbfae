"""Engine and propeller at part throttle: what a manifold pressure is worth as thrust, when no flown point says it.

A model for the start only. Two or three flown points beat it; everything it does not know is a stated estimate. Brake
power goes with the charge the pistons draw in less friction (Gagg and Ferrar), and less the work of drawing against a
closed throttle; the propeller's blades take their own drag before anything becomes thrust. All of it is linear in the
manifold pressure, as flown sink is (Lowry, Performance of Light Aircraft, AIAA 1999, chapters 3 and 6).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from volplane.domain.airplane.airplane import Engine
from volplane.domain.atmosphere import isa
from volplane.domain.glide.defaults import SOLIDITY_OF_A_BLADE_FACTOR
from volplane.units import CUBIC_INCH_M3, HORSEPOWER_W, INCH_OF_MERCURY_PA, RPM_RADPS

# Gagg and Ferrar, Altitude Performance of Aircraft Engines Equipped with Gear-Driven Superchargers, SAE 1934: friction
# and accessories take 0.132 parts of the brake power at full throttle, at sea level, as quoted in Lowry (from memory)
_FRICTION_FRACTION = 0.132

# What the airplane file leaves out, each an estimate of ours for a heavy single with a direct-drive engine.
_RATED_POWER_PER_WEIGHT = 135.0  # W a kg of maximum weight: 300 hp move 3,650 lb
_RATED_MANIFOLD_PRESSURE_PA = 29.0 * INCH_OF_MERCURY_PA
_RATED_ENGINE_SPEED_RADPS = 2700.0 * RPM_RADPS
_POWER_PER_DISPLACEMENT = 0.55 * HORSEPOWER_W / CUBIC_INCH_M3
_PROPELLER_DIAMETER_M = 2.0
# drag coefficient of the blades' sections away from their best angle, and what remains of shaft power after slip and
# swirl (estimates, ours)
_BLADE_DRAG_COEFFICIENT = 0.014
_IDEAL_EFFICIENCY = 0.85


@dataclass(frozen=True, slots=True)
class AirState:
    """The air an engine breathes: static pressure and temperature."""

    pressure_pa: float
    temperature_k: float

    @property
    def density_kgpm3(self) -> float:
        """Density of that air, dry."""
        return self.pressure_pa / (isa.GAS_CONSTANT_DRY_AIR * self.temperature_k)


@dataclass(frozen=True, slots=True)
class Powerplant:
    """Engine and propeller with nothing left open; `estimates` names the file keys that are stated defaults."""

    rated_power_w: float
    rated_manifold_pressure_pa: float
    rated_engine_speed_radps: float
    displacement_m3: float
    propeller_diameter_m: float
    propeller_blades: int
    estimates: frozenset[str] = frozenset()


def powerplant(engine: Engine, maximum_weight_kg: float) -> Powerplant:
    """The engine of an airplane, what its file leaves out filled in with estimates."""
    power_w = engine.rated_power_w or _RATED_POWER_PER_WEIGHT * maximum_weight_kg
    given = {
        "rated_power": engine.rated_power_w,
        "rated_manifold_pressure": engine.rated_manifold_pressure_pa,
        "rated_rpm": engine.rated_engine_speed_radps,
        "displacement": engine.displacement_m3,
        "propeller_diameter": engine.propeller_diameter_m,
    }
    return Powerplant(
        power_w,
        engine.rated_manifold_pressure_pa or _RATED_MANIFOLD_PRESSURE_PA,
        engine.rated_engine_speed_radps or _RATED_ENGINE_SPEED_RADPS,
        engine.displacement_m3 or power_w / _POWER_PER_DISPLACEMENT,
        engine.propeller_diameter_m or _PROPELLER_DIAMETER_M,
        engine.propeller_blades,
        frozenset(f"engine.{key}" for key, value in given.items() if value is None),
    )


def gagg_ferrar_factor(charge_factor: float, engine_speed_factor: float = 1.0) -> float:
    """Brake power in parts of the rated one: 1.132 x charge x speed - 0.132 x speed squared.

    `charge_factor` is the density of what the pistons draw in, `engine_speed_factor` the engine's speed, in parts of
    the rated ones. At full throttle and rated speed the charge is the density ratio: 1.132 sigma - 0.132 (Gagg and
    Ferrar, SAE 1934, as quoted in Lowry, Performance of Light Aircraft, AIAA 1999).
    """
    drawn_in = (1.0 + _FRICTION_FRACTION) * charge_factor * engine_speed_factor
    return drawn_in - _FRICTION_FRACTION * engine_speed_factor**2


def brake_power_w(plant: Powerplant, manifold_pressure_pa: float, engine_speed_radps: float, air: AirState) -> float:
    """Power at the shaft; negative where the propeller drives the engine.

    The charge goes with manifold pressure and with the root of the temperature (Gagg-Ferrar at part throttle). Pumping,
    (ambient - manifold pressure) x displacement a second over two turns, is the textbook work of a four-stroke engine's
    intake stroke against a throttle; the rated figures hold none.
    """
    speed_factor = engine_speed_radps / plant.rated_engine_speed_radps
    root = math.sqrt(isa.SEA_LEVEL_TEMPERATURE_K / air.temperature_k)
    charge = manifold_pressure_pa / plant.rated_manifold_pressure_pa * root
    strokes_per_s = 0.5 * engine_speed_radps / (2.0 * math.pi)
    pumping_w = (air.pressure_pa - manifold_pressure_pa) * plant.displacement_m3 * strokes_per_s
    return plant.rated_power_w * gagg_ferrar_factor(charge, speed_factor) - pumping_w


def blade_drag_power_w(plant: Powerplant, engine_speed_radps: float, tas_mps: float, air: AirState) -> float:
    """Power that the drag of the turning blades takes, thrust or none.

    Blade-element integral of (c_d / 2) rho sigma A (tip speed)^3 (x^2 + (V / tip speed)^2)^(3/2) over the radius x, the
    textbook profile power with the speed of flight in it (from memory); by Simpson's rule in four parts.
    """
    tip_mps = 0.5 * plant.propeller_diameter_m * engine_speed_radps
    advance = (tas_mps / tip_mps) ** 2
    weights = ((0.0, 1.0), (0.25, 4.0), (0.5, 2.0), (0.75, 4.0), (1.0, 1.0))
    integral = sum(weight * (place**2 + advance) ** 1.5 for place, weight in weights) / 12.0
    solidity = SOLIDITY_OF_A_BLADE_FACTOR * plant.propeller_blades
    blades_m2 = solidity * 0.25 * math.pi * plant.propeller_diameter_m**2
    return float(0.5 * _BLADE_DRAG_COEFFICIENT * air.density_kgpm3 * blades_m2 * tip_mps**3 * integral)


def thrust_power_w(
    plant: Powerplant, manifold_pressure_pa: float, engine_speed_radps: float, tas_mps: float, air: AirState
) -> float:
    """Thrust times true airspeed, eta P; negative where the turning propeller holds the airplane back.

    The efficiency is that of slip and swirl alone, on what the blades' drag leaves of the shaft power, so that eta
    falls to nought at low power as a real propeller's does. Below nought the same factor is kept: sink stays linear.
    """
    shaft_w = brake_power_w(plant, manifold_pressure_pa, engine_speed_radps, air)
    return _IDEAL_EFFICIENCY * (shaft_w - blade_drag_power_w(plant, engine_speed_radps, tas_mps, air))


def driving_manifold_pressure_pa(plant: Powerplant, engine_speed_radps: float, air: AirState) -> float:
    """Manifold pressure below which the propeller drives the engine at this speed, by the model."""
    at_nought_w = brake_power_w(plant, 0.0, engine_speed_radps, air)
    at_rated_w = brake_power_w(plant, plant.rated_manifold_pressure_pa, engine_speed_radps, air)
    return -at_nought_w / (at_rated_w - at_nought_w) * plant.rated_manifold_pressure_pa


def fixed_throttle_pa(manifold_pressure_pa: float, set_in: AirState, now_in: AirState) -> float:
    """Manifold pressure that a throttle left where it was set gives in other air: in proportion to the pressure.

    A throttle that holds back half of the pressure passes a flow that goes with the pressure before it, whatever lies
    behind, and the engine at a governed speed takes a flow that goes with the pressure behind it (textbook flow through
    a choked orifice). At 14 in it is about half an inch a thousand feet.
    """
    return manifold_pressure_pa * now_in.pressure_pa / set_in.pressure_pa

"""Steady straight and turning glides: how steep, how fast down, how tight, and what a turn costs in height.

Exact helix: lift carries the weight across the path, L cos phi = W cos gamma; drag less thrust is balanced along it,
D - T = W sin gamma; the heading turns at g tan phi / V. So the load factor is cos gamma / cos phi and
tan gamma = (D/L) / cos phi (Lowry, Performance of Light Aircraft, AIAA 1999, chapter 9; Rogers, Journal of Aircraft 32,
1995). The small-angle form takes cos gamma as 1; it over-predicts the loss by 0.7 % at 30 degrees of bank, 1.3 % at 45
and 4.3 % at 60 for a 10.5 to 1 glide. Only `small_angle_turn` uses it, because published tables and the public
`required_height` do.

Banks here are magnitudes: a turn costs the same on either side. Air is at rest or moves evenly.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from volplane.domain.atmosphere.isa import SEA_LEVEL_DENSITY_KGPM3
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.polar import GlideModel
from volplane.errors import Refusal
from volplane.units import STANDARD_GRAVITY_MPS2

# Beyond it the exact helix has a second valley, in dives at nearly constant speed that turn about their own axis.
_STEEPEST_SEARCHED_RAD = math.radians(70.0)
_SHALLOWEST_SEARCHED_RAD = math.radians(5.0)
# speeds searched, in parts of best glide: far beyond stall and limits on both sides
_SLOWEST_FACTOR, _FASTEST_FACTOR = 0.4, 3.0


class NoSteadyGlide(Refusal):
    """Drag at this speed is more than the weight even without lift: there is no steady flight, however steep."""

    code = "no-steady-glide"

    def __init__(self, eas_mps: float, bank_rad: float, drag_to_weight_factor: float) -> None:
        super().__init__(
            f"at {eas_mps:.1f} m/s and a bank of {bank_rad:.2f} rad drag without lift is {drag_to_weight_factor:.2f} "
            "of the weight"
        )
        self.eas_mps = eas_mps
        self.bank_rad = bank_rad
        self.drag_to_weight_factor = drag_to_weight_factor


@dataclass(frozen=True, slots=True)
class SteadyTurn:
    """A steady glide at one speed and bank, straight when the bank is nought; rates and radius are those in the air.

    `path_angle_rad` and `sink_mps` are positive downwards. Straight flight has an infinite radius and costs an infinite
    height per radian.
    """

    eas_mps: float
    tas_mps: float
    bank_rad: float
    path_angle_rad: float
    sink_mps: float
    turn_rate_radps: float
    radius_m: float
    load_factor: float
    height_per_radian_m: float

    @property
    def glide_ratio(self) -> float:
        """Distance along the path over the air to height lost; infinite in level flight, negative in a climb."""
        return 1.0 / math.tan(self.path_angle_rad) if self.path_angle_rad else math.inf

    def height_lost_m(self, angle_rad: float) -> float:
        """Height lost while the heading turns by an angle; the roll in and out is not in it."""
        return self.height_per_radian_m * abs(angle_rad)


def steady_turn(
    glide: GlideModel,
    eas_mps: float,
    bank_rad: float,
    configuration: Configuration,
    density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3,
) -> SteadyTurn:
    """Steady glide at an equivalent airspeed and bank, by the exact helix.

    :raises ValueError: a speed that is not positive, a bank of 90 degrees or more or below 0.
    :raises NoSteadyGlide: drag above the weight even without lift.
    """
    tas_mps = _tas_mps(eas_mps, bank_rad, density_kgpm3)
    cos_bank = math.cos(bank_rad)

    def missing(sine: float) -> float:
        load_factor = math.sqrt(1.0 - sine * sine) / cos_bank
        return _net_drag(glide, eas_mps, tas_mps, load_factor, configuration) - sine

    # a steeper path needs less lift and so has less drag: one root between straight up and straight down
    if missing(1.0) >= 0.0:
        raise NoSteadyGlide(eas_mps, bank_rad, 1.0 + missing(1.0))
    sine = _root(missing, -1.0, 1.0)
    return _turn(eas_mps, tas_mps, bank_rad, math.asin(sine), math.sqrt(1.0 - sine * sine) / cos_bank)


def small_angle_turn(
    glide: GlideModel,
    eas_mps: float,
    bank_rad: float,
    configuration: Configuration,
    density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3,
) -> SteadyTurn:
    """The same by the small-angle convention: load factor 1 / cos phi, radius V^2 / (g tan phi), sink V (D - T) / W.

    :raises ValueError: a speed that is not positive, a bank of 90 degrees or more or below 0.
    """
    tas_mps = _tas_mps(eas_mps, bank_rad, density_kgpm3)
    load_factor = 1.0 / math.cos(bank_rad)
    net = _net_drag(glide, eas_mps, tas_mps, load_factor, configuration)
    rate = STANDARD_GRAVITY_MPS2 * math.tan(bank_rad) / tas_mps
    radius_m = tas_mps / rate if rate > 0.0 else math.inf
    height_per_radian_m = tas_mps * net / rate if rate > 0.0 else math.inf
    return SteadyTurn(
        eas_mps, tas_mps, bank_rad, math.atan(net), tas_mps * net, rate, radius_m, load_factor, height_per_radian_m
    )


def flattest_glide(
    glide: GlideModel,
    bank_rad: float,
    configuration: Configuration,
    density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3,
) -> SteadyTurn:
    """The glide at the speed that carries farthest through the air at a bank and configuration."""
    return best_speed(glide, bank_rad, configuration, density_kgpm3, lambda turn: turn.path_angle_rad)


def minimum_sink(
    glide: GlideModel,
    bank_rad: float,
    configuration: Configuration,
    density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3,
) -> SteadyTurn:
    """The speed that stays up longest at a bank and configuration."""
    return best_speed(glide, bank_rad, configuration, density_kgpm3, lambda turn: turn.sink_mps)


def best_bank_at_fixed_speed(
    glide: GlideModel,
    eas_mps: float,
    configuration: Configuration,
    density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3,
) -> SteadyTurn:
    """The bank that costs least height per degree of turn at one speed, whatever the stall says.

    Near 55 degrees at best glide speed; 45 costs only some 6 % more. A draggy airplane gains with every degree up to
    the 70 degrees where the search ends.
    """

    def cost_m(bank_rad: float) -> float:
        return _cost(lambda: steady_turn(glide, eas_mps, bank_rad, configuration, density_kgpm3).height_per_radian_m)

    best_rad = _least(cost_m, _SHALLOWEST_SEARCHED_RAD, _STEEPEST_SEARCHED_RAD)
    return steady_turn(glide, eas_mps, best_rad, configuration, density_kgpm3)


def best_bank_at_fixed_margin(
    glide: GlideModel,
    stall_eas_mps: float,
    margin_fraction: float,
    configuration: Configuration,
    density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3,
) -> SteadyTurn:
    """The bank that costs least height per degree when the speed is kept at a margin above the stall in the turn.

    `stall_eas_mps` is the stall speed at one g and the glide's reference weight; in the turn it grows as in `stall`, by
    1 / cos phi, a little more than the exact load factor. The bank is 45 degrees, or a little more.
    """

    def turn_at(bank_rad: float) -> SteadyTurn:
        eas_mps = stall_eas_mps * (1.0 + margin_fraction) / math.sqrt(math.cos(bank_rad))
        return steady_turn(glide, eas_mps, bank_rad, configuration, density_kgpm3)

    best_rad = _least(
        lambda bank_rad: _cost(lambda: turn_at(bank_rad).height_per_radian_m),
        _SHALLOWEST_SEARCHED_RAD,
        _STEEPEST_SEARCHED_RAD,
    )
    return turn_at(best_rad)


def height_from_speed_m(from_tas_mps: float, to_tas_mps: float) -> float:
    """Height gained when the airspeed changes without loss: (V1^2 - V2^2) / 2g; negative when speed is gained."""
    return (from_tas_mps**2 - to_tas_mps**2) / (2.0 * STANDARD_GRAVITY_MPS2)


def _turn(eas_mps: float, tas_mps: float, bank_rad: float, path_angle_rad: float, load_factor: float) -> SteadyTurn:
    rate = STANDARD_GRAVITY_MPS2 * math.tan(bank_rad) / tas_mps
    sink_mps = tas_mps * math.sin(path_angle_rad)
    radius_m = tas_mps * math.cos(path_angle_rad) / rate if rate > 0.0 else math.inf
    height_per_radian_m = sink_mps / rate if rate > 0.0 else math.inf
    return SteadyTurn(
        eas_mps, tas_mps, bank_rad, path_angle_rad, sink_mps, rate, radius_m, load_factor, height_per_radian_m
    )


def _tas_mps(eas_mps: float, bank_rad: float, density_kgpm3: float) -> float:
    if not eas_mps > 0.0:
        raise ValueError(f"airspeed {eas_mps} m/s must be positive")
    if not 0.0 <= bank_rad < 0.5 * math.pi:
        raise ValueError(f"bank {math.degrees(bank_rad):.1f} deg must be at least 0 and below 90 deg")
    if not density_kgpm3 > 0.0:
        raise ValueError(f"density {density_kgpm3} kg/m3 must be positive")
    return eas_mps * math.sqrt(SEA_LEVEL_DENSITY_KGPM3 / density_kgpm3)


def _net_drag(
    glide: GlideModel, eas_mps: float, tas_mps: float, load_factor: float, configuration: Configuration
) -> float:
    """Drag less thrust in parts of weight; the model takes thrust at sea level, here it goes with true airspeed."""
    power = configuration.thrust_power_per_weight_mps
    return glide.drag_to_weight(eas_mps, load_factor, configuration) + power / eas_mps - power / tas_mps


def best_speed(
    glide: GlideModel,
    bank_rad: float,
    configuration: Configuration,
    density_kgpm3: float,
    worth: Callable[[SteadyTurn], float],
) -> SteadyTurn:
    """The glide at the speed at which something about it, `worth`, is least; infinite means never."""

    def cost(eas_mps: float) -> float:
        return _cost(lambda: worth(steady_turn(glide, eas_mps, bank_rad, configuration, density_kgpm3)))

    best_mps = _least(cost, _SLOWEST_FACTOR * glide.best_eas_mps, _FASTEST_FACTOR * glide.best_eas_mps)
    return steady_turn(glide, best_mps, bank_rad, configuration, density_kgpm3)


def _cost(value: Callable[[], float]) -> float:
    """The value, infinite where there is no steady flight."""
    try:
        return value()
    except NoSteadyGlide:
        return math.inf


def _root(value: Callable[[float], float], low: float, high: float) -> float:
    """Where a value positive at `low` and negative at `high` is nought: false position in its Illinois form."""
    value_low, value_high = value(low), value(high)
    last_side = 0
    for _ in range(100):
        place = (low * value_high - high * value_low) / (value_high - value_low)
        here = value(place)
        if here > 0.0:
            low, value_low = place, here
            value_high *= 0.5 if last_side == 1 else 1.0
            last_side = 1
        else:
            high, value_high = place, here
            value_low *= 0.5 if last_side == -1 else 1.0
            last_side = -1
        if abs(here) < 1e-14 or high - low < 1e-14:
            break
    return place


def _least(cost: Callable[[float], float], low: float, high: float) -> float:
    """Where a cost is least in its first valley: a coarse look for the valley, then golden section within it."""
    places = [low + (high - low) * i / 60.0 for i in range(61)]
    costs = [cost(place) for place in places]
    at = next((i for i in range(60) if costs[i] < costs[i + 1]), 60)
    low, high = places[max(at - 1, 0)], places[min(at + 1, 60)]
    golden = 0.5 * (math.sqrt(5.0) - 1.0)
    inner, outer = high - golden * (high - low), low + golden * (high - low)
    cost_inner, cost_outer = cost(inner), cost(outer)
    for _ in range(36):
        if cost_inner < cost_outer:
            high, outer, cost_outer = outer, inner, cost_inner
            inner = high - golden * (high - low)
            cost_inner = cost(inner)
        else:
            low, inner, cost_inner = inner, outer, cost_outer
            outer = low + golden * (high - low)
            cost_outer = cost(outer)
    return 0.5 * (low + high)

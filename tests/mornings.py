"""Test mornings whose truth is known: partial glides flown through air that moves, read as people read instruments.

The flights are computed here from the polar outward, step by step, with none of the reduction that is tested.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from volplane.domain.airplane.measured_glide import MeasuredGlide, measure_glide
from volplane.domain.airplane.partial_glides import PartialGlide
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.glide.polar import ParabolaPolar
from volplane.units import FOOT_M, KNOT_MPS, POUND_KG

G_MPS2 = 9.80665
REFERENCE_KG = 3650.0 * POUND_KG
TEN_FEET_M = 10.0 * FOOT_M


@dataclass(frozen=True, slots=True)
class TruePolar:
    """Drag to weight at one g and the reference weight: a parabola in the plane of the coefficients, or a bent one.

    `bend` adds the drag of a wing whose flow begins to leave it above the lift coefficient of the best glide.
    """

    best_mps: float
    best_ratio: float
    bend: float = 0.0

    def drag_to_weight(self, eas_mps: np.ndarray | float) -> np.ndarray | float:
        square = (np.asarray(eas_mps) / self.best_mps) ** 2
        lift = 1.0 / square
        drag = 0.5 * (1.0 + lift**2) + self.bend * np.maximum(lift - 1.0, 0.0) ** 3
        return square * drag / self.best_ratio

    def best(self) -> tuple[float, float]:
        """Best speed and ratio, found on a fine grid."""
        grid = np.linspace(0.7 * self.best_mps, 1.5 * self.best_mps, 80001)
        drags = self.drag_to_weight(grid)
        at = int(np.argmin(drags))
        return float(grid[at]), float(1.0 / drags[at])

    def sink_at_best_mps(self) -> float:
        """Sink at sea level at the best speed, exactly: load factor cos gamma."""
        speed, ratio = self.best()
        cosine = ratio / math.hypot(1.0, ratio)
        return speed * math.sqrt(cosine) * cosine / ratio


@dataclass(frozen=True, slots=True)
class Morning:
    """What the air and the instruments of a morning do."""

    air_sd_mps: float = 0.3048
    air_memory_s: float = 30.0
    common_air_mps: float = 0.0
    gradient_east_per_s: float = 0.0
    gradient_north_per_s: float = 0.0
    airspeed_bias_mps: float = 0.0
    airspeed_sd_mps: float = 0.5 * KNOT_MPS
    height_sd_m: float = 5.0 * FOOT_M
    warmth_k: float = 0.0


STILL = Morning(air_sd_mps=0.0, airspeed_sd_mps=0.0, height_sd_m=0.0)


def flown_glide(
    polar: TruePolar,
    cas_mps: float,
    heading_rad: float,
    morning: Morning,
    random: np.random.Generator,
    *,
    weight_kg: float = 3400.0 * POUND_KG,
    top_m: float = 1900.0,
    time_s: float = 120.0,
    bank_rad: float = 0.0,
    place: str = "",
    notes_heading: bool = False,
    reads_to_m: float = TEN_FEET_M,
) -> PartialGlide:
    """One glide at a constant indicated airspeed, integrated second by second, and what is written down of it."""
    shown_mps = cas_mps
    real_cas = cas_mps + morning.airspeed_bias_mps + morning.airspeed_sd_mps * random.standard_normal()
    true_m, air = top_m, morning.air_sd_mps * random.standard_normal()
    step_s = 2.0
    memory = math.exp(-step_s / morning.air_memory_s)
    altitude_m = top_m  # pressure altitude
    start_m, temperatures, sine = altitude_m, [], 0.1
    gradient = morning.gradient_east_per_s * math.sin(heading_rad) + morning.gradient_north_per_s * math.cos(
        heading_rad
    )
    for _ in range(round(time_s / step_s)):
        standard = isa.temperature_k(altitude_m)
        temperature, pressure = standard + morning.warmth_k, isa.pressure_pa(altitude_m)
        temperatures.append(temperature)
        tas = airspeed.tas_mps_from_cas_mps(real_cas, pressure, temperature)
        eas = airspeed.eas_mps_from_cas_mps(real_cas, pressure)
        lower_m = altitude_m - 10.0
        lower_k = isa.temperature_k(lower_m) + morning.warmth_k
        below = airspeed.tas_mps_from_cas_mps(real_cas, isa.pressure_pa(lower_m), lower_k)
        slowing_per_m = (tas - below) / (10.0 * temperature / standard)
        # D/W = n f(V sqrt(W_ref/W)/sqrt n); V' and the wind's growth come from the sink itself
        for _ in range(1 if temperatures[1:] else 8):
            load = math.sqrt(1.0 - sine**2) / math.cos(bank_rad)
            drag = load * float(polar.drag_to_weight(eas * math.sqrt(REFERENCE_KG / weight_kg / load)))
            sink = tas * sine
            growth = -sink * slowing_per_m + sink * gradient * math.sqrt(1.0 - sine**2)
            sine = drag + growth / G_MPS2
        sink = tas * sine + air + morning.common_air_mps
        true_m -= sink * step_s
        altitude_m -= sink * step_s * standard / temperature
        air = memory * air + morning.air_sd_mps * math.sqrt(1.0 - memory**2) * random.standard_normal()
    read = [height + morning.height_sd_m * random.standard_normal() for height in (start_m, altitude_m)]
    if reads_to_m:
        read = [reads_to_m * round(each / reads_to_m) for each in read]
    return PartialGlide(
        place=place,
        cas_mps=shown_mps,
        sink_mps=(read[0] - read[1]) / time_s,
        time_s=time_s,
        pressure_altitude_m=0.5 * (read[0] + read[1]),
        air_temperature_k=float(np.mean(temperatures)),
        weight_kg=weight_kg,
        bank_rad=bank_rad,
        heading_true_rad=heading_rad if notes_heading else None,
    )


def drawn_morning(random: np.random.Generator) -> tuple[TruePolar, Morning]:
    """An airplane and a morning by chance: mostly parabolas, a third bent; air around a foot a second."""
    bend = float(random.choice([0.0, 0.0, random.uniform(0.1, 0.4)]))
    polar = TruePolar(random.uniform(85.0, 115.0) * KNOT_MPS, random.uniform(8.0, 12.5), bend)
    morning = Morning(
        air_sd_mps=0.3048 * float(np.exp(0.35 * random.standard_normal())),
        common_air_mps=0.03 * random.standard_normal(),
        gradient_east_per_s=0.004 * random.standard_normal(),
        gradient_north_per_s=0.004 * random.standard_normal(),
        airspeed_bias_mps=1.0 * KNOT_MPS * random.standard_normal(),
        warmth_k=8.0 * random.standard_normal(),
    )
    return polar, morning


def measured_morning(seed: int, *, speeds: int = 6, notes_heading: bool = False) -> tuple[TruePolar, MeasuredGlide]:
    """One morning of glides both ways at several speeds, measured with the handbook of another airplane."""
    random = np.random.default_rng(seed)
    polar, morning = drawn_morning(random)
    heading = random.uniform(0.0, 2.0 * math.pi)
    glides = []
    weight_kg = 3550.0 * POUND_KG
    for part in np.linspace(0.78, 1.38, speeds):
        for way in (0.0, math.pi):
            indicated = round(part * polar.best_mps * math.sqrt(weight_kg / REFERENCE_KG) / KNOT_MPS) * KNOT_MPS
            glides.append(
                flown_glide(
                    polar, indicated, heading + way, morning, random, weight_kg=weight_kg, notes_heading=notes_heading
                )
            )
            weight_kg -= 8.0 * POUND_KG
    handbook = ParabolaPolar(
        REFERENCE_KG, polar.best_mps * random.uniform(0.95, 1.05), polar.best_ratio * random.uniform(0.9, 1.15)
    )
    return polar, measure_glide(glides, handbook, 0.6 * polar.best_mps)


@dataclass(frozen=True, slots=True)
class Recovery:
    """What became of many mornings, in parts of them."""

    mornings: int
    ratio_covered_fraction: float
    sink_covered_fraction: float
    speed_covered_fraction: float
    within_one_percent_fraction: float
    curve_fraction: float
    ratio_error_fraction: float
    speed_error_mps: float


def recovery(seeds: range, **how: int | bool) -> Recovery:
    """Measure mornings of these seeds and count."""
    rows = []
    for seed in seeds:
        polar, found = measured_morning(seed, **how)
        speed, ratio = polar.best()
        there = 1.0 / float(polar.drag_to_weight(found.best_eas_mps))
        rows.append(
            (
                abs(found.ratio - ratio) <= 1.96 * found.ratio_sd,
                abs(found.sink_at_best_mps - polar.sink_at_best_mps()) <= 1.96 * found.sink_at_best_sd_mps,
                abs(found.best_eas_mps - speed) <= 1.96 * found.best_eas_sd_mps,
                there >= 0.99 * ratio,
                found.is_curve,
                (found.ratio / ratio - 1.0) ** 2,
                (found.best_eas_mps - speed) ** 2,
            )
        )
    mean = np.mean(np.array(rows, dtype=float), axis=0)
    return Recovery(len(rows), *map(float, mean[:5]), math.sqrt(mean[5]), math.sqrt(mean[6]))

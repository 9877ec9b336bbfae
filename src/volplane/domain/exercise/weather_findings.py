"""What today's air means for a plan: wind on the runway and aloft, gusts, cloud, visibility, daylight, thin air."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from volplane.domain.airplane.go_around import go_around_climb_mps
from volplane.domain.atmosphere import isa
from volplane.domain.atmosphere.atmosphere import density_altitude_m
from volplane.domain.atmosphere.wind import ANEMOMETER_HEIGHT_M, OPEN_COUNTRY_SHEAR_EXPONENT
from volplane.domain.exercise.exercise import Exercise, Weather
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.shape_search import Solution
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import Runway
from volplane.domain.geometry.angles import headwind_and_crosswind_mps
from volplane.domain.geometry.sun import sun_elevation_rad
from volplane.units import KNOT_MPS

# a single wind at the field says little about the wind aloft from this speed on (ours)
_WORTH_ASKING_MPS = 5.0 * KNOT_MPS
_SWING_STEPS = 9

Quantities = dict[str, float | str]


@dataclass(frozen=True, slots=True)
class RunwayWind:
    """Wind on a runway: tailwind and crosswind, each of the mean wind and with the strongest gust, never negative.

    Where the direction swings, each is that of the worst direction.
    """

    tailwind_mps: float
    tailwind_gust_mps: float
    crosswind_mps: float
    crosswind_gust_mps: float


def runway_wind(weather: Weather, runway: Runway) -> RunwayWind:
    """The wind at the field on a runway end, gusts taken to blow from the same directions."""
    speed_mps, from_rad = weather.wind.speed_and_direction(ANEMOMETER_HEIGHT_M)
    gust_mps = speed_mps + weather.gust_spread_mps
    parts = [
        headwind_and_crosswind_mps(runway.bearing_true_rad, direction_rad, 1.0)
        for direction_rad in _directions_rad(weather, from_rad)
    ]
    tail_factor = max(0.0, *(-head for head, _ in parts))
    cross_factor = max(abs(cross) for _, cross in parts)
    return RunwayWind(
        tail_factor * speed_mps, tail_factor * gust_mps, cross_factor * speed_mps, cross_factor * gust_mps
    )


def _directions_rad(weather: Weather, from_rad: float) -> list[float]:
    if weather.wind_range_true_rad is None:
        return [from_rad, from_rad]
    first_rad, last_rad = weather.wind_range_true_rad
    swing_rad = (last_rad - first_rad) % (2.0 * math.pi)
    return [from_rad, *(first_rad + swing_rad * step / _SWING_STEPS for step in range(_SWING_STEPS + 1))]


def wind_findings(solution: Solution) -> Iterator[Finding]:
    """Tailwind, crosswind, gusts, wind at the entry and what is not known of it."""
    exercise = solution.bench.exercise
    weather, limits = exercise.weather, exercise.thresholds
    wind = runway_wind(weather, exercise.runway)
    if wind.tailwind_gust_mps > limits.tailwind_caution_mps:
        severity = Severity.STOP if wind.tailwind_gust_mps > limits.tailwind_stop_mps else Severity.CAUTION
        quantities: Quantities = {
            "wind_mps": wind.tailwind_mps,
            "gust_mps": wind.tailwind_gust_mps,
            "other": _better_runway(exercise),
        }
        yield Finding("tailwind", severity, quantities)
    yield from _crosswind(exercise, wind)
    spread_mps, gust_mps = weather.gust_spread_mps, weather.gust_mps
    if gust_mps is not None and spread_mps >= limits.gust_spread_caution_mps:
        severity = Severity.STOP if spread_mps >= limits.gust_spread_stop_mps else Severity.CAUTION
        yield Finding("gusts", severity, {"spread_mps": spread_mps, "gust_mps": gust_mps})
    entry_mps = solution.bench.wind_mps(solution.entry_height_m)
    if entry_mps > limits.entry_wind_caution_mps:
        yield Finding("strong-wind-at-entry", Severity.CAUTION, {"wind_mps": entry_mps})
    yield from _wind_aloft(exercise, solution.entry_height_m)


def _crosswind(exercise: Exercise, wind: RunwayWind) -> Iterator[Finding]:
    limit_mps = exercise.airplane.limits.crosswind_mps
    if limit_mps is None or wind.crosswind_gust_mps <= exercise.thresholds.crosswind_caution_fraction * limit_mps:
        return
    severity = Severity.STOP if wind.crosswind_gust_mps > limit_mps else Severity.CAUTION
    quantities: Quantities = {
        "wind_mps": wind.crosswind_mps,
        "gust_mps": wind.crosswind_gust_mps,
        "limit_mps": limit_mps,
        "other": _better_runway(exercise),
    }
    yield Finding("crosswind", severity, quantities)


def _better_runway(exercise: Exercise) -> str:
    """Another runway end within every wind threshold, the one most into the wind; empty where there is none."""
    limits, crosswind_mps = exercise.thresholds, exercise.airplane.limits.crosswind_mps
    speed_mps, from_rad = exercise.weather.wind.speed_and_direction(ANEMOMETER_HEIGHT_M)
    fit: list[tuple[float, str]] = []
    for runway in exercise.airfield.runways:
        wind = runway_wind(exercise.weather, runway)
        is_within = wind.tailwind_gust_mps <= limits.tailwind_caution_mps
        if crosswind_mps is not None:
            is_within = is_within and wind.crosswind_gust_mps <= crosswind_mps
        if is_within and runway.name != exercise.runway.name:
            head_mps, _ = headwind_and_crosswind_mps(runway.bearing_true_rad, from_rad, speed_mps)
            fit.append((head_mps, runway.name))
    return max(fit)[1] if fit else ""


def _wind_aloft(exercise: Exercise, entry_height_m: float) -> Iterator[Finding]:
    """Wind known at the field alone: by the power law it is stronger at the entry, and the plan does not hold that."""
    wind = exercise.weather.wind
    highest_m, speed_mps = float(wind.height_above_field_m[-1]), exercise.weather.field_wind_mps
    if highest_m > ANEMOMETER_HEIGHT_M or speed_mps < _WORTH_ASKING_MPS or exercise.flies_to_practice_floor:
        return
    likely_mps = speed_mps * (max(entry_height_m, highest_m) / highest_m) ** OPEN_COUNTRY_SHEAR_EXPONENT
    yield Finding("wind-aloft-unknown", Severity.NOTE, {"wind_mps": speed_mps, "likely_mps": likely_mps})


def sky_findings(solution: Solution) -> Iterator[Finding]:
    """Cloud over the entry, visibility, daylight, and how a weather report was used."""
    exercise = solution.bench.exercise
    weather, limits = exercise.weather, exercise.thresholds
    entry_m = exercise.ground_msl_m + solution.entry_height_m - exercise.airfield.elevation_msl_m
    base_m, scattered_m = weather.cloud_base_above_field_m, weather.scattered_base_above_field_m
    # a foot's slack: bases are reported to the hundred feet, heights come out of searches
    if base_m is not None and base_m < entry_m + limits.cloud_clearance_m - 0.3:
        severity = Severity.STOP if base_m < entry_m + 0.3 else Severity.CAUTION
        yield Finding("cloud", severity, {"base_m": base_m, "above_m": base_m - entry_m})
    elif scattered_m is not None and scattered_m < entry_m + limits.cloud_clearance_m - 0.3:
        yield Finding("scattered-cloud", Severity.NOTE, {"base_m": scattered_m, "above_m": scattered_m - entry_m})
    if weather.visibility_m is not None and weather.visibility_m < limits.visibility_caution_m - 1.0:
        severity = Severity.STOP if weather.visibility_m < limits.visibility_stop_m - 1.0 else Severity.CAUTION
        yield Finding("visibility", severity, {"visibility_m": weather.visibility_m})
    yield from _daylight(exercise)
    yield from _report(exercise)


def _daylight(exercise: Exercise) -> Iterator[Finding]:
    """The sun below the horizon; a note only where the time of the lesson was not given, since now is no lesson."""
    runway, limits = exercise.runway, exercise.thresholds
    elevation_rad = sun_elevation_rad(
        runway.threshold_latitude_deg, runway.threshold_longitude_deg, exercise.time_unix_s
    )
    if elevation_rad >= limits.sun_caution_rad:
        return
    severity = Severity.STOP if elevation_rad < limits.sun_stop_rad else Severity.CAUTION
    if "time" not in exercise.stated:
        yield Finding("night-now", Severity.NOTE, {"time_unix_s": exercise.time_unix_s})
    else:
        yield Finding("night", severity, {"elevation_rad": elevation_rad, "time_unix_s": exercise.time_unix_s})


def _report(exercise: Exercise) -> Iterator[Finding]:
    weather = exercise.weather
    for each in weather.typed_over_report:
        quantities: Quantities = {
            "key": each.key,
            f"typed_{each.quantity}": each.typed,
            f"reported_{each.quantity}": each.reported,
        }
        yield Finding("typed-over-report", Severity.NOTE, quantities)
    if weather.observed_unix_s is None:
        return
    age_s = exercise.time_unix_s - weather.observed_unix_s
    if abs(age_s) > exercise.thresholds.report_age_note_s:
        said = {"observed_unix_s": weather.observed_unix_s, "age_s": age_s}
        yield Finding("report-not-of-this-hour", Severity.NOTE, said)


def air_findings(plan: Plan) -> Iterator[Finding]:
    """What thin air takes: climb of the go-around, and height in turns."""
    exercise = plan.exercise
    limits, airplane = exercise.thresholds, exercise.airplane
    altitude_m = ground_density_altitude_m(exercise)
    density_ratio = isa.density_kgpm3(altitude_m) / isa.SEA_LEVEL_DENSITY_KGPM3
    climb_mps = go_around_climb_mps(airplane, exercise.weight_kg, density_ratio)
    if climb_mps is None:
        yield Finding("go-around-climb-unknown", Severity.NOTE, {"altitude_m": altitude_m})
    elif climb_mps < limits.go_around_climb_caution_mps:
        severity = Severity.STOP if climb_mps < limits.go_around_climb_stop_mps else Severity.CAUTION
        quantities = {"climb_mps": climb_mps, "altitude_m": altitude_m}
        yield Finding("go-around-climb", severity, quantities)
    yield from _sea_level_habit(plan)


def ground_density_altitude_m(exercise: Exercise) -> float:
    """Density altitude of the air over the touchdown point, or over the practice floor, damp where that is known."""
    weather, height_m = exercise.weather, exercise.ground_msl_m - exercise.airfield.elevation_msl_m
    dew_point_k = None if exercise.flies_to_practice_floor else weather.dew_point_k
    air = weather.atmosphere
    return density_altitude_m(air.pressure_altitude_m(height_m), air.temperature_k(height_m), dew_point_k)


def _sea_level_habit(plan: Plan) -> Iterator[Finding]:
    """A turn at one equivalent airspeed and bank costs height with the square of true airspeed: one over density.

    Compared with the same height over a field at sea level on a standard day; the whole exercise's turns are meant.
    """
    exercise = plan.exercise
    turns_m = sum(item.height_m for item in plan.ledger if item.item in ("half turn", "turn to base and final"))
    middle_m = 0.5 * (exercise.entry_height_m + exercise.break_off_height_m)
    above_field_m = exercise.ground_msl_m - exercise.airfield.elevation_msl_m + middle_m
    here_ratio = exercise.weather.atmosphere.density_ratio(above_field_m)
    there_ratio = isa.density_kgpm3(middle_m) / isa.SEA_LEVEL_DENSITY_KGPM3
    dearer_fraction = there_ratio / here_ratio - 1.0
    if turns_m > 0.0 and dearer_fraction >= exercise.thresholds.thin_air_note_fraction:
        extra_m = turns_m * dearer_fraction / (1.0 + dearer_fraction)
        yield Finding("sea-level-habit", Severity.NOTE, {"dearer_fraction": dearer_fraction, "extra_m": extra_m})

"""The stand-in of an airplane: its setting, its honesty, what it does to a whole exercise, joined into one answer."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from volplane.domain.airplane.airplane import Airplane, AirplaneLimits, StandIn
from volplane.domain.airplane.honesty import (
    HEADWIND_MPS,
    HeightRow,
    HonestyRow,
    Landing,
    air_at,
    height_rows,
    honesty_rows,
    retrim_altitudes_msl_m,
)
from volplane.domain.airplane.powered_glide import StandInConditions, StandInPoint, extra_drag_sd_factor
from volplane.domain.airplane.stand_in import StandInMatch, StandInNotPossible, match
from volplane.domain.airplane.thrust import AirState, powerplant
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise, Weather
from volplane.domain.exercise.pilot_limits import landing_configuration
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.solver import solve
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps, eas_mps_from_ias_mps, ias_mps_from_eas_mps
from volplane.domain.exercise.stand_in_flown import FlownExercise, flown_with_stand_in
from volplane.domain.finding import Finding
from volplane.domain.glide.configuration import Configuration, Flap, Gear, Propeller
from volplane.errors import Refusal
from volplane.services.stand_in_findings import stand_in_findings
from volplane.units import FOOT_M, KNOT_MPS, RPM_RADPS

# a governed engine speed in a training descent, when neither points nor file say one (common practice, no source)
USUAL_ENGINE_SPEED_RADPS = 2300.0 * RPM_RADPS
# altitude of a setting when nobody says one, and how far below it the field lies that the exercise is flown over (ours)
USUAL_ALTITUDE_M = 2500.0 * FOOT_M
_FIELD_BELOW_M = 1500.0 * FOOT_M
LEVEL_FIELD = "level field"
# settings over fields that people land on (ours)
LOWEST_SETTING_M, HIGHEST_SETTING_M = -1000.0 * FOOT_M, 16000.0 * FOOT_M
# weights an airplane can be flown at, in parts of its maximum (ours)
LEAST_WEIGHT_FRACTION = 0.4
# speeds off best glide at which the exercise is flown through
EXERCISE_OFFSETS_MPS = (-10.0 * KNOT_MPS, 0.0, 10.0 * KNOT_MPS)
_HEIGHT_STEP_M = 500.0 * FOOT_M


class WeightNotFlown(Refusal):
    """A weight the airplane is not flown at: above its maximum, or below what it weighs empty."""

    code = "weight-not-flown"

    def __init__(self, weight_kg: float, least_kg: float, most_kg: float) -> None:
        super().__init__(f"a weight of {weight_kg:.0f} kg is not within {least_kg:.0f} to {most_kg:.0f} kg")
        self.weight_kg = weight_kg
        self.least_kg = least_kg
        self.most_kg = most_kg


class StandInConfigurationUnknown(Refusal):
    """The airplane has no configuration of that name that practice could be flown in."""

    code = "stand-in-configuration-unknown"

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        super().__init__(f'no configuration "{name}"; there are {", ".join(known)}')
        self.name = name
        self.known = known


@dataclass(frozen=True, slots=True)
class FlownPoint:
    """One line of a table of powered descents, as read off the instruments; `line_number` is where it stands."""

    manifold_pressure_pa: float
    engine_speed_radps: float
    ias_mps: float
    sink_mps: float
    pressure_altitude_m: float
    temperature_k: float
    weight_kg: float
    line_number: int = 0


@dataclass(frozen=True, slots=True)
class StandInWishes:
    """What is asked for: altitude of the setting, temperature there (None is standard), and what may be left to the
    airplane (None).
    """

    altitude_msl_m: float = USUAL_ALTITUDE_M
    temperature_k: float | None = None
    weight_kg: float | None = None
    configuration: str | None = None
    engine_speed_radps: float | None = None


@dataclass(frozen=True, slots=True)
class OtherConfiguration:
    """Another configuration and the manifold pressure that would match in it, by the model."""

    configuration: str
    manifold_pressure_pa: float
    sd_pa: float


@dataclass(frozen=True, slots=True)
class StandInAnswer:
    """The stand-in setting of an airplane with everything that has to be said about it.

    `stated_sink_mps` is what the setting in the airplane file sinks at best glide, None where it has none that applies.
    """

    exercise: Exercise
    configuration: Configuration
    found: StandInMatch
    honesty: tuple[HonestyRow, ...]
    heights: tuple[HeightRow, ...]
    retrim_msl_m: tuple[float, ...]
    flown: tuple[FlownExercise, ...]
    others: tuple[OtherConfiguration, ...]
    stated_sink_mps: float | None
    findings: tuple[Finding, ...]

    @property
    def airplane(self) -> Airplane:
        """The airplane it is for."""
        return self.exercise.airplane

    @property
    def column(self) -> Atmosphere:
        """The air it is worked out in."""
        return self.exercise.weather.atmosphere

    @property
    def is_from_points(self) -> bool:
        """Whether flown points stand behind it, or only the model."""
        return self.found.used_points > 0

    def stand_in(self) -> StandIn:
        """The setting as an airplane file keeps it."""
        here = self.found.conditions
        return StandIn(self.configuration.name, self.found.setting_pa, here.engine_speed_radps, here.altitude_msl_m)

    def measured_configuration(self) -> Configuration | None:
        """The configuration with the drag the points found; None where they were not flown at speeds that tell it.

        They tell it when they halve what is not known about it: thrust falls with speed and drag grows, so it takes
        points well slower and faster than best glide.
        """
        if self.found.extra_drag_sd_factor > 0.5 * extra_drag_sd_factor(self.configuration):
            return None
        return replace(self.configuration, extra_drag_factor=self.found.extra_drag_factor, is_estimate=False)

    def ias_mps(self, eas_mps: float) -> float:
        """Indicated airspeed at the altitude of the setting."""
        above_m = self.found.conditions.altitude_msl_m - self.column.field_elevation_msl_m
        return ias_mps_from_eas_mps(self.airplane, eas_mps, self.column, above_m)


def stand_in_answer(exercise: Exercise, points: Sequence[FlownPoint], wishes: StandInWishes) -> StandInAnswer:
    """The stand-in of the exercise's airplane, at its weight and in its air.

    :raises StandInConfigurationUnknown: a wished configuration the airplane has not.
    :raises StandInNotPossible: no manifold pressure makes it sink like the dead engine.
    """
    airplane, column = exercise.airplane, exercise.weather.atmosphere
    configuration = _configuration(airplane, wishes.configuration)
    conditions = StandInConditions(
        exercise.weight_kg,
        _engine_speed_radps(airplane, points, wishes.engine_speed_radps),
        wishes.altitude_msl_m,
        air_at(column, wishes.altitude_msl_m),
    )
    flown_points = tuple(point_of(airplane, each) for each in points)
    found = _match(airplane, configuration, flown_points, conditions)
    plan = solve(exercise)
    lowest_m = min(exercise.ground_msl_m, wishes.altitude_msl_m)
    answer = StandInAnswer(
        exercise,
        configuration,
        found,
        honesty_rows(found, airplane.stall_clean_at_mps(exercise.weight_kg), _landing(exercise)),
        height_rows(found, column, _altitudes_m(plan.exercise, wishes.altitude_msl_m)),
        retrim_altitudes_msl_m(found, column, lowest_m),
        _flown(exercise, plan, found),
        _others(airplane, configuration, conditions),
        _stated_sink_mps(airplane, configuration, found),
        (),
    )
    return replace(answer, findings=stand_in_findings(answer))


def wishes_of(exercise: Exercise) -> StandInWishes:
    """What an exercise asks for: the altitude of the file's own setting, or of its middle where that is underground."""
    stated = exercise.airplane.stand_in
    altitude_m = USUAL_ALTITUDE_M if stated is None else stated.altitude_msl_m
    if altitude_m <= exercise.ground_msl_m:
        altitude_m = exercise.ground_msl_m + 0.5 * exercise.entry_height_m
    return StandInWishes(altitude_msl_m=altitude_m)


def stand_in_of(exercise: Exercise) -> StandInAnswer | None:
    """How honest the airplane's stand-in is in the exercise, by the model; None without one that works."""
    if exercise.airplane.stand_in is None:
        return None
    try:
        return stand_in_answer(exercise, (), wishes_of(exercise))
    except Refusal:
        return None


def level_field_elevation_m(wishes: StandInWishes) -> float:
    """Elevation of the field the exercise is flown over: below the setting's altitude, not below the sea."""
    return max(wishes.altitude_msl_m - _FIELD_BELOW_M, 0.0)


def on_level_field(exercise: Exercise, wishes: StandInWishes) -> Exercise:
    """An exercise with every default in still air, at the wished weight and temperature.

    :raises WeightNotFlown: a weight the airplane is not flown at.
    """
    elevation_m = exercise.airfield.elevation_msl_m
    weight_kg = exercise.weight_kg if wishes.weight_kg is None else wishes.weight_kg
    most_kg = exercise.airplane.maximum_weight_kg
    if not LEAST_WEIGHT_FRACTION * most_kg <= weight_kg <= most_kg:
        raise WeightNotFlown(weight_kg, LEAST_WEIGHT_FRACTION * most_kg, most_kg)
    temperature_k = wishes.temperature_k
    if temperature_k is None:
        temperature_k = float(isa.temperature_k(wishes.altitude_msl_m))
    at_field_k = temperature_k + isa.LAPSE_K_PER_M * (wishes.altitude_msl_m - elevation_m)
    column = Atmosphere(elevation_m, at_field_k, isa.SEA_LEVEL_PRESSURE_PA)
    weather = Weather(column, WindProfile.from_levels([(0.0, 0.0, 0.0)]))
    return replace(exercise, weight_kg=weight_kg, weather=weather)


def point_of_row(row_si: Mapping[str, float], line_number: int) -> FlownPoint:
    """A line of the table, SI values by its titles."""
    return FlownPoint(
        manifold_pressure_pa=row_si["manifold_pressure_inhg"],
        engine_speed_radps=row_si["rpm"],
        ias_mps=row_si["speed_kias"],
        sink_mps=row_si["sink_fpm"],
        pressure_altitude_m=row_si["altitude_ft"],
        temperature_k=row_si["temperature_degc"],
        weight_kg=row_si["weight_lb"],
        line_number=line_number,
    )


def _flown(exercise: Exercise, plan: Plan, found: StandInMatch) -> tuple[FlownExercise, ...]:
    """The exercise in its own air at three speeds, and at best glide with a headwind on the runway."""
    levels = [(0.0, exercise.runway.bearing_true_rad, HEADWIND_MPS)]
    weather = replace(exercise.weather, wind=WindProfile.from_levels(levels))
    windy = solve(replace(exercise, weather=weather))
    still = (flown_with_stand_in(plan, found, offset) for offset in EXERCISE_OFFSETS_MPS)
    return (*still, replace(flown_with_stand_in(windy, found), is_in_stronger_wind=True))


def point_of(airplane: Airplane, flown: FlownPoint) -> StandInPoint:
    """A flown point with instruments corrected: position error, compressibility, and the warmth of the air.

    Altimeter and vertical speed indicator count feet of the standard atmosphere; true ones are longer in warm air, by
    T / T_standard (standard flight-test reduction, from memory).
    """
    pressure_pa = float(isa.pressure_pa(flown.pressure_altitude_m))
    cas_mps = cas_mps_from_ias_mps(airplane, flown.ias_mps)
    warmth = flown.temperature_k / float(isa.temperature_k(flown.pressure_altitude_m))
    return StandInPoint(
        flown.manifold_pressure_pa,
        flown.engine_speed_radps,
        float(airspeed.eas_mps_from_cas_mps(cas_mps, pressure_pa)),
        flown.sink_mps * warmth,
        flown.weight_kg,
        AirState(pressure_pa, flown.temperature_k),
        flown.line_number,
    )


def allowed_ias_mps(limits: AirplaneLimits, configuration: Configuration) -> float | None:
    """The least of the known limits for what hangs out; None when none is known that matters."""
    bounds = []
    if configuration.gear is Gear.DOWN:
        bounds.append(limits.gear_ias_mps)
    if configuration.flap is Flap.APPROACH:
        bounds.append(limits.approach_flap_ias_mps)
    if configuration.flap is Flap.FULL:
        bounds.append(limits.full_flap_ias_mps)
    known = [bound for bound in bounds if bound is not None]
    return min(known) if known else None


def _match(
    airplane: Airplane, configuration: Configuration, points: tuple[StandInPoint, ...], conditions: StandInConditions
) -> StandInMatch:
    plant = powerplant(airplane.engine, airplane.maximum_weight_kg)
    least_pa = airplane.limits.minimum_descent_manifold_pressure_pa
    return match(airplane.glide, plant, configuration, points, conditions, least_pa)


def _can_stand_in(configuration: Configuration) -> bool:
    is_powered = configuration.thrust_power_per_weight_mps > 0.0
    return configuration.propeller is Propeller.COARSE and not is_powered and configuration.extra_drag_factor > 0.0


def _configuration(airplane: Airplane, wished: str | None) -> Configuration:
    """The configuration asked for, else that of the file's stand-in, else the usual one: gear and approach flap."""
    usable = {each.name: each for each in airplane.configurations if _can_stand_in(each)}
    if wished is not None:
        if wished not in usable:
            raise StandInConfigurationUnknown(wished, tuple(usable))
        return usable[wished]
    if airplane.stand_in is not None and airplane.stand_in.configuration in usable:
        return usable[airplane.stand_in.configuration]
    usual = [each for each in usable.values() if (each.gear, each.flap) == (Gear.DOWN, Flap.APPROACH)]
    if not usual:
        raise StandInConfigurationUnknown("gear and approach flap", tuple(usable))
    return usual[0]


def _engine_speed_radps(airplane: Airplane, points: Sequence[FlownPoint], wished_radps: float | None) -> float:
    """The governed speed: as wished, as most points were flown, as the file has it, or the usual one."""
    if wished_radps is not None:
        return wished_radps
    if points:
        speeds = sorted(point.engine_speed_radps for point in points)
        return speeds[len(speeds) // 2]
    return USUAL_ENGINE_SPEED_RADPS if airplane.stand_in is None else airplane.stand_in.engine_speed_radps


def _landing(exercise: Exercise) -> Landing:
    airplane = exercise.airplane
    approach = eas_mps_from_ias_mps(airplane, airplane.approach_ias_mps, exercise.weather.atmosphere, 0.0)
    return Landing(approach, landing_configuration(exercise), airplane.stall_landing_at_mps(exercise.weight_kg))


def _altitudes_m(exercise: Exercise, setting_msl_m: float) -> tuple[float, ...]:
    """Every 500 ft from the ground to the entry height, and the altitude of the setting."""
    lowest, highest = exercise.ground_msl_m, max(exercise.ground_msl_m + exercise.entry_height_m, setting_msl_m)
    first = math.ceil(lowest / _HEIGHT_STEP_M - 1e-6)
    last = math.floor(highest / _HEIGHT_STEP_M + 1e-6)
    even = {step * _HEIGHT_STEP_M for step in range(first, last + 1)}
    near = [altitude for altitude in even if abs(altitude - setting_msl_m) < 0.1 * _HEIGHT_STEP_M]
    return tuple(sorted((even - set(near)) | {setting_msl_m}))


def _others(airplane: Airplane, chosen: Configuration, conditions: StandInConditions) -> tuple[OtherConfiguration, ...]:
    """What the airplane's other configurations would need, the airplane's least left aside; by the model."""
    plant = powerplant(airplane.engine, airplane.maximum_weight_kg)
    others = []
    for each in airplane.configurations:
        if each.name == chosen.name or not _can_stand_in(each):
            continue
        try:
            found = match(airplane.glide, plant, each, (), conditions)
        except StandInNotPossible:
            continue
        others.append(OtherConfiguration(each.name, found.wanted_pa, found.sd_pa))
    return tuple(others)


def _stated_sink_mps(airplane: Airplane, configuration: Configuration, found: StandInMatch) -> float | None:
    """What the file's own setting sinks at best glide where it was set, None without one for this configuration."""
    stated = airplane.stand_in
    if stated is None or stated.configuration != configuration.name:
        return None
    here = found.conditions
    return found.powered.sink_mps(
        stated.manifold_pressure_pa, stated.engine_speed_radps, found.best_eas_mps, 0.0, here.weight_kg, here.air
    )

"""The exercise file: which airplane, where, and what is wished; the other two files are read with it."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from typing import Any

import numpy as np

from volplane.adapters.toml.airfield import read_airfield
from volplane.adapters.toml.airplane import read_airplane
from volplane.adapters.toml.exercise_keys import EXERCISE, GATE_NAMES
from volplane.adapters.toml.exercise_shape import read_shape
from volplane.adapters.toml.source import NamedText, TextResolver, parse
from volplane.adapters.toml.tables import Findings, Table
from volplane.adapters.toml.threshold_keys import read_thresholds
from volplane.adapters.toml.weather import read_weather
from volplane.domain.airplane.airplane import Airplane
from volplane.domain.exercise.exercise import Exercise, GateName, HalfTurn, Obstacle, ShapeName, Weather, WishedPhase
from volplane.domain.geometry.airfield import Airfield, Runway, RunwayUnknown, Side
from volplane.errors import FilesRefused, Problem
from volplane.services.ports import MagneticVariation
from volplane.services.quantities import (
    HEIGHT,
    SPEED,
    WEIGHT,
    QuantityNotUnderstood,
    described,
    read_quantity,
    write_quantity,
)
from volplane.units import FOOT_M

# an empty airplane weighs more than this part of its maximum: below it the weight is a slip of the pen (ours)
LEAST_WEIGHT_FRACTION = 0.4
USUAL_TOUCHDOWN_POINT_M = 1000.0 * FOOT_M


def read_exercise(
    text: str, file_name: str, resolve: TextResolver, variation: MagneticVariation, now_unix_s: float
) -> tuple[Exercise | None, tuple[Problem, ...]]:
    """An exercise with its airplane and airfield, or None and every problem of the three files."""
    source = NamedText(file_name, text)
    try:
        data = parse(source)
    except FilesRefused as refused:
        return None, refused.problems
    return exercise_from_data(data, source, resolve, variation, now_unix_s)


def exercise_from_data(
    data: dict[str, Any], source: NamedText, resolve: TextResolver, variation: MagneticVariation, now_unix_s: float
) -> tuple[Exercise | None, tuple[Problem, ...]]:
    """The same from the tables of an exercise file; messages take line numbers from `source`."""
    findings = Findings(source)
    top = Table.top(data, EXERCISE, findings)
    time_unix_s = _time(top, now_unix_s)
    airplane = _referenced_airplane(top, resolve)
    airfield = _referenced_airfield(top, resolve, variation, time_unix_s)
    wishes = _Wishes(top, airplane, airfield, time_unix_s)
    return wishes.exercise(), tuple(findings.problems)


class _Wishes:
    """What the file wishes, read key by key, then compared with the airplane and the runway."""

    def __init__(self, top: Table, airplane: Airplane | None, airfield: Airfield | None, time_unix_s: float) -> None:
        self.top, self.airplane, self.airfield, self.time_unix_s = top, airplane, airfield, time_unix_s
        self.runway = _runway(top, airfield)
        pattern = top.text("pattern")
        self.pattern = Side(pattern) if pattern else self.runway.pattern if self.runway else Side.LEFT
        self.weight_kg = self._weight()
        self.values = {key: top.quantity(key) for key in _QUANTITIES}
        self.touchdown_m = self._touchdown_point()
        self.low_key_offset_m = top.quantity_or_none("low_key_offset")
        self.standard = top.text("standard")
        self.shape = read_shape(top, self.runway)
        self.values |= {"entry_height": self.shape.entry_height_m, "low_key_height": self.shape.low_key_height_m}
        self.half_turn = HalfTurn(top.text("half_turn") or HalfTurn.EVEN_RADIUS)
        self.obstacles = tuple(
            Obstacle(each.quantity("x"), each.quantity("y"), each.quantity("height"))
            for each in top.children("obstacles")
        )
        self.phase_rows = top.children("phase")
        self.phases = tuple(self._phase(each) for each in self.phase_rows)
        self.weather = read_weather(top, airfield, time_unix_s)
        self.thresholds = read_thresholds(top)
        self._compare()

    def exercise(self) -> Exercise | None:
        """The exercise, None when there are problems."""
        if self.top.findings.any or not (self.airplane and self.airfield and self.runway and self.weather):
            return None
        values = self.values
        return Exercise(
            airplane=self.airplane,
            airfield=self.airfield,
            runway=self.runway,
            pattern=self.pattern,
            weight_kg=self.weight_kg,
            weather=self.weather,
            time_unix_s=self.time_unix_s,
            entry_height_m=values["entry_height"],
            low_key_height_m=values["low_key_height"],
            high_key_offset_m=values["high_key_offset"],
            touchdown_beyond_threshold_m=self.touchdown_m,
            high_key_turn_bank_rad=values["high_key_turn_bank"],
            base_turn_bank_rad=values["base_turn_bank"],
            maximum_bank_rad=values["maximum_bank"],
            maximum_bank_below_low_key_rad=values["maximum_bank_below_low_key"],
            low_key_offset_m=self.low_key_offset_m,
            minimum_final_m=values["minimum_final"],
            reserve_m=values["reserve"],
            break_off_height_m=values["break_off_height"],
            stall_margin_fraction=values["stall_margin"],
            reaction_delay_s=values["reaction_delay"],
            distance_limit_m=values["distance_limit"],
            standard=self.standard,
            half_turn=self.half_turn,
            shape=self.shape.shape,
            spiral_bank_rad=values["spiral_bank"],
            start_position_deg=self.shape.start_position_deg,
            obstacle_margin_m=values["obstacle_margin"],
            phases=self.phases,
            obstacles=self.obstacles,
            thresholds=self.thresholds,
            stated=frozenset(self.top.stated),
        )

    def _weight(self) -> float:
        weight_kg = self.top.quantity("weight")
        if self.airplane is None:
            return weight_kg
        maximum_kg = self.airplane.maximum_weight_kg
        if not self.top.has("weight"):
            return maximum_kg
        least_kg = LEAST_WEIGHT_FRACTION * maximum_kg
        if weight_kg > maximum_kg * (1.0 + 1e-9) or weight_kg < least_kg:
            maximum, least = write_quantity(maximum_kg, WEIGHT), write_quantity(least_kg, WEIGHT)
            what = "above the maximum" if weight_kg > maximum_kg else "less than the airplane itself weighs"
            self.top.add(
                "weight",
                f"{self.top.typed('weight')}, {what}",
                f"{least} to {maximum} for the {self.airplane.name}",
                "Check the weight and its unit.",
                "weight-outside-limits",
            )
        return weight_kg

    def _touchdown_point(self) -> float:
        point_m = self.top.quantity("touchdown_point")
        if self.runway is None:
            return point_m
        if not self.top.has("touchdown_point"):
            return min(USUAL_TOUCHDOWN_POINT_M, self.runway.length_m / 3.0)
        if point_m >= self.runway.length_m:
            self.top.add(
                "touchdown_point",
                f"{self.top.typed('touchdown_point')}, beyond the runway",
                f"less than its length, {write_quantity(self.runway.length_m, HEIGHT)}",
                "Count it from the threshold.",
                "touchdown-beyond-runway",
            )
        return point_m

    def _phase(self, row: Table) -> WishedPhase:
        start = row.text("from")
        gate, height_m = None, None
        if start.lower() in GATE_NAMES:
            gate = GateName(start.lower())
        elif start:
            height_m = _phase_height(row, start)
        name = row.text("configuration") or None
        known = [each.name for each in self.airplane.configurations] if self.airplane else []
        if name and self.airplane and name not in known:
            row.add(
                "configuration",
                described(name),
                f"a configuration of the {self.airplane.name}: {', '.join(known)}",
                "Write one of these, or add it to the airplane file.",
                "no-configuration",
            )
        return WishedPhase(gate, height_m, row.quantity_or_none("speed"), name)

    def _compare(self) -> None:
        self._compare_heights()
        for wished, limit in (
            ("high_key_turn_bank", "maximum_bank"),
            ("spiral_bank", "maximum_bank"),
            ("base_turn_bank", "maximum_bank_below_low_key"),
            ("maximum_bank_below_low_key", "maximum_bank"),
        ):
            is_flown = wished != "spiral_bank" or self.shape.shape is ShapeName.STEEP_SPIRAL
            if is_flown and self.values[wished] > self.values[limit] + 1e-9:
                self._clash(wished, f"{limit} {self.top.typed(limit)} or less", "bank-above-limit")
        if self.weather and self.airplane and not self.top.findings.any:
            self._compare_wind(self.weather, self.airplane)

    def _compare_heights(self) -> None:
        values = self.values
        if self.shape.shape.has_high_key and values["low_key_height"] >= values["entry_height"]:
            self._clash("low_key_height", f"less than entry_height {self.top.typed('entry_height')}", "key-order")
        key = "low_key_height" if self.shape.shape.has_high_key else "entry_height"
        if values["break_off_height"] >= values[key]:
            self._clash("break_off_height", f"less than {key} {self.top.typed(key)}", "key-order")
        for row, phase in zip(self.phase_rows, self.phases, strict=True):
            if phase.start_height_m is not None and phase.start_height_m > values["entry_height"]:
                limit = f"a gate, or a height up to entry_height {self.top.typed('entry_height')}"
                row.add("from", row.typed("from"), limit, "Start lower.", "phase-above-entry")

    def _clash(self, name: str, expected: str, code: str) -> None:
        self.top.add(name, self.top.typed(name), expected, f"Change {name} or the other.", code)

    def _compare_wind(self, weather: Weather, airplane: Airplane) -> None:
        """A wind as strong as the gliding airplane is fast ends the exercise before it is planned."""
        best_eas_mps = airplane.glide.at_weight(self.weight_kg).best_eas_mps
        given = [float(height) for height in weather.wind.height_above_field_m]
        heights = np.array([h for h in given if h < self.values["entry_height"]] + [self.values["entry_height"]])
        wind_mps, _ = weather.wind.speed_and_direction(heights)
        tas_mps = best_eas_mps / np.sqrt(weather.atmosphere.density_ratio(heights))
        if not (wind_mps >= tas_mps).any():
            return
        at = int(np.argmax(wind_mps - tas_mps))
        self.top.child("weather").add(
            "wind",
            f"{write_quantity(float(wind_mps[at]), SPEED)} of wind at {write_quantity(float(heights[at]), HEIGHT)}",
            f"less than the airspeed there, {write_quantity(float(tas_mps[at]), SPEED)}",
            "Check the wind and its unit; in such a wind no glide comes back.",
            "wind-not-below-airspeed",
        )


_QUANTITIES = (
    "entry_height",
    "low_key_height",
    "high_key_offset",
    "high_key_turn_bank",
    "base_turn_bank",
    "maximum_bank",
    "maximum_bank_below_low_key",
    "minimum_final",
    "reserve",
    "break_off_height",
    "stall_margin",
    "reaction_delay",
    "distance_limit",
    "spiral_bank",
    "obstacle_margin",
)


def _phase_height(row: Table, start: str) -> float | None:
    try:
        height_m = read_quantity(start, HEIGHT)
    except QuantityNotUnderstood:
        gates = ", ".join(f'"{gate}"' for gate in GATE_NAMES)
        row.add("from", described(start), f'{gates} or a height such as "400 ft"', "Write one of these.", "no-gate")
        return None
    if height_m < 0.0:
        row.add("from", described(start), "a height above the touchdown point", "Check the figure.", "out-of-range")
        return None
    return height_m


def _runway(top: Table, airfield: Airfield | None) -> Runway | None:
    name = top.text("runway")
    if not name or airfield is None:
        return None
    try:
        return airfield.runway(name)
    except RunwayUnknown as unknown:
        known = " or ".join(f'"{each}"' for each in unknown.known)
        top.add("runway", described(name), f"a runway of {airfield.name}: {known}", f"Write {known}.", unknown.code)
        return None


def _referenced_text(top: Table, name: str, resolve: TextResolver) -> NamedText | None:
    reference = top.text(name)
    if not reference:
        return None
    try:
        return resolve(reference)
    except FilesRefused as refused:
        for problem in refused.problems:
            if problem.code == "file-missing":
                found = f"{described(reference)}, which is not there"
                top.add(name, found, f"the {name} file", problem.remedy, problem.code)
            else:
                top.findings.problems.append(problem)
        return None


def _referenced_airplane(top: Table, resolve: TextResolver) -> Airplane | None:
    source = _referenced_text(top, "airplane", resolve)
    if source is None:
        return None
    airplane, problems = read_airplane(source.text, source.name)
    top.findings.problems.extend(problems)
    return airplane


def _referenced_airfield(
    top: Table, resolve: TextResolver, variation: MagneticVariation, time_unix_s: float
) -> Airfield | None:
    source = _referenced_text(top, "airfield", resolve)
    if source is None:
        return None
    airfield, problems = read_airfield(source.text, source.name, variation, time_unix_s)
    top.findings.problems.extend(problems)
    return airfield


def _time(top: Table, now_unix_s: float) -> float:
    """The moment of the lesson: date and time as given, each today's or now's where it is missing."""
    now = datetime.datetime.fromtimestamp(now_unix_s, datetime.UTC)
    date = _date(top, now.date())
    clock = _clock(top, now.timetz())
    return datetime.datetime.combine(date, clock).timestamp()


def _date(top: Table, today: datetime.date) -> datetime.date:
    if not top.has("date"):
        return today
    value = top.data["date"]
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        found = value
    else:
        try:
            found = datetime.date.fromisoformat(value if isinstance(value, str) and len(value) == 10 else "")
        except ValueError:
            top.add("date", described(value), "year, month and day", 'Write for example "2026-05-14".', "not-a-date")
            return today
    if not 1970 <= found.year <= 2100:
        top.add("date", described(str(found)), "a year from 1970 to 2100", "Check the year.", "out-of-range")
        return today
    return found


def _clock(top: Table, now: datetime.time) -> datetime.time:
    if not top.has("time"):
        return now
    value = top.data["time"]
    match = (
        re.fullmatch(r"([01]?\d|2[0-3]):?([0-5]\d)(?::([0-5]\d))?\s?(?:Z|UTC)", value)
        if isinstance(value, str)
        else None
    )
    if match is None:
        remedy = 'Write for example "14:00Z"; the Z says that it is UTC.'
        top.add("time", described(value), "a time of day in UTC", remedy, "not-a-time")
        return now
    return datetime.time(int(match[1]), int(match[2]), int(match[3] or 0), tzinfo=datetime.UTC)


def merged(data: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of a file with some replaced, nested tables key by key; neither argument is changed."""
    result = dict(data)
    for name, value in changes.items():
        old = result.get(name)
        both = isinstance(old, Mapping) and isinstance(value, Mapping)
        result[name] = merged(old, value) if both else value  # type: ignore[arg-type]
    return result

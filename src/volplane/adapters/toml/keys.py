"""Every key of the three files as data: what it means, its unit, its default, what is accepted.

The readers take their checks and defaults from here, and the page `docs/files.md` prints the same tables, so neither
can forget a key. Defaults and bounds are typed as a person would type them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from volplane.services.quantities import (
    ANGLE,
    DISTANCE,
    ENGINE_SPEED,
    HEIGHT,
    LENGTH,
    PERCENTAGE,
    POWER,
    PRESSURE,
    SIZE,
    SPEED,
    TEMPERATURE,
    TIME_SPAN,
    VARIATION,
    VERTICAL_SPEED,
    VOLUME,
    WEIGHT,
    Kind,
)


class Form(StrEnum):
    """What a key that is no quantity holds."""

    TEXT = "text"
    NUMBER = "number"
    COUNT = "whole number"
    TEXTS = "list of texts"
    POSITION = "latitude and longitude"
    WIND = "wind"
    DATE = "date"
    CLOCK = "time of day in UTC"
    TABLE = "table"
    TABLES = "list of tables"
    GATE_OR_HEIGHT = "gate or height"


@dataclass(frozen=True, slots=True)
class Key:
    """One key: its form, its meaning, its default as typed, the bounds of what is accepted, an example as typed.

    `default` is used when the key is missing; `otherwise` says in words what happens when there is no fixed default.
    """

    name: str
    form: Kind | Form
    meaning: str
    default: str | None = None
    otherwise: str = ""
    is_required: bool = False
    more_than: str | None = None
    at_least: str | None = None
    at_most: str | None = None
    choices: tuple[str, ...] = ()
    example: str = ""

    @property
    def form_name(self) -> str:
        """The form in words."""
        return self.form.name if isinstance(self.form, Kind) else self.form.value

    @property
    def sample(self) -> str:
        """A value that would be accepted, as typed into a file."""
        if self.example:
            return self.example
        if self.choices or self.default is not None:
            return f'"{self.choices[0] if self.choices else self.default}"'
        return f'"{self.form.example}"' if isinstance(self.form, Kind) else '"..."'


@dataclass(frozen=True, slots=True)
class Section:
    """One table of a file; an empty name is the file's own level, `is_list` means it may be given many times."""

    name: str
    meaning: str
    keys: tuple[Key, ...]
    is_list: bool = False

    def key(self, name: str) -> Key:
        """The key of that name; KeyError when the section has none."""
        return next(each for each in self.keys if each.name == name)

    def names(self) -> tuple[str, ...]:
        """The names of its keys."""
        return tuple(each.name for each in self.keys)


GATE_NAMES = ("high key", "low key", "base key", "final")
# no heavy single glides better, no brick glides worse: beyond these a figure is a slip of the pen (ours)
LEAST_RATIO, GREATEST_RATIO = 2.0, 30.0

AIRPLANE: tuple[Section, ...] = (
    Section(
        "",
        "the airplane",
        (
            Key("name", Form.TEXT, "what the airplane is called", is_required=True, example='"Dunlin Tourer"'),
            Key("weights", Form.TABLE, "weights", is_required=True),
            Key("glide", Form.TABLE, "the glide with a dead engine", is_required=True),
            Key("stall", Form.TABLE, "stall speeds", is_required=True),
            Key("landing_without_power", Form.TABLE, "speeds of a landing without power"),
            Key("limits", Form.TABLE, "limits of the flight manual"),
            Key("configuration", Form.TABLES, "what hangs in the wind"),
            Key("stand_in", Form.TABLE, "the setting that stands in for the dead engine"),
            Key("engine", Form.TABLE, "engine and propeller"),
            Key("airspeed_correction", Form.TABLES, "indicated against calibrated airspeed"),
            Key("words", Form.TABLE, "the instructor's own words"),
        ),
    ),
    Section(
        "weights",
        "weights",
        (
            Key(
                "maximum",
                WEIGHT,
                "maximum take-off weight; stall speeds hold here",
                is_required=True,
                more_than="0 lb",
                at_most="20000 lb",
            ),
        ),
    ),
    Section(
        "glide",
        "clean, engine dead, propeller coarse",
        (
            Key(
                "best_speed",
                SPEED,
                "indicated speed of the best glide",
                example='"109 kt"',
                otherwise="required unless `points` are given",
                more_than="0 kt",
                at_most="250 kt",
            ),
            Key(
                "ratio",
                Form.NUMBER,
                "distance over height of the best glide, 2 to 30",
                example="9.6",
                otherwise="required unless `points` are given",
            ),
            Key(
                "weight",
                WEIGHT,
                "weight at which these figures hold",
                otherwise="`weights.maximum`",
                more_than="0 lb",
                at_most="20000 lb",
            ),
            Key(
                "sink",
                VERTICAL_SPEED,
                "sink at the best glide at sea level, only compared with speed and ratio by `volplane check`",
                otherwise="not compared",
                more_than="0 fpm",
                at_most="5000 fpm",
            ),
            Key(
                "points",
                Form.TABLES,
                "measured glide, three points or more; then it is used instead of speed and ratio",
            ),
        ),
    ),
    Section(
        "glide.points",
        "one measured point of the glide",
        (
            Key("speed", SPEED, "indicated airspeed", is_required=True, more_than="0 kt", at_most="250 kt"),
            Key("sink", VERTICAL_SPEED, "sink", is_required=True, more_than="0 fpm", at_most="5000 fpm"),
            Key(
                "pressure_altitude",
                HEIGHT,
                "pressure altitude of the measurement",
                otherwise="sea level",
                at_least="-1500 ft",
                at_most="20000 ft",
            ),
            Key(
                "temperature",
                TEMPERATURE,
                "air temperature of the measurement",
                otherwise="standard there",
                at_least="-60 degC",
                at_most="55 degC",
            ),
        ),
        is_list=True,
    ),
    Section(
        "stall",
        "stall speeds (indicated) at `weights.maximum`, without power",
        (
            Key(
                "clean",
                SPEED,
                "gear and flap up",
                is_required=True,
                example='"68 kt"',
                more_than="0 kt",
                at_most="150 kt",
            ),
            Key(
                "landing",
                SPEED,
                "gear down, full flap",
                is_required=True,
                example='"60 kt"',
                more_than="0 kt",
                at_most="150 kt",
            ),
        ),
    ),
    Section(
        "landing_without_power",
        "indicated speeds of a landing without power, at `weights.maximum`",
        (
            Key(
                "approach_speed",
                SPEED,
                "on final with gear and full flap",
                otherwise="1.3 x `stall.landing`, an estimate",
                more_than="0 kt",
                at_most="200 kt",
            ),
            Key(
                "touchdown_speed",
                SPEED,
                "where the wheels touch",
                otherwise="1.1 x `stall.landing`, an estimate",
                more_than="0 kt",
                at_most="200 kt",
            ),
        ),
    ),
    Section(
        "limits",
        "limits of the flight manual; an unknown one is printed as “look it up”",
        (
            Key("gear", SPEED, "highest speed with or for the gear", otherwise="look it up", more_than="0 kt"),
            Key("approach_flap", SPEED, "highest speed for approach flap", otherwise="look it up", more_than="0 kt"),
            Key("full_flap", SPEED, "highest speed for full flap", otherwise="look it up", more_than="0 kt"),
            Key("crosswind", SPEED, "greatest crosswind", otherwise="look it up", more_than="0 kt"),
            Key("landing_roll", LENGTH, "landing roll", otherwise="look it up", more_than="0 ft"),
            Key(
                "go_around_climb",
                VERTICAL_SPEED,
                "climb in a go-around, gear and flap still out",
                otherwise="look it up",
                more_than="0 fpm",
            ),
            Key(
                "minimum_descent_mp",
                PRESSURE,
                "least manifold pressure in a descent",
                otherwise="look it up",
                more_than="0 inHg",
                at_most="40 inHg",
            ),
        ),
    ),
    Section(
        "configuration",
        "a configuration; one with the name of a standard configuration changes that one",
        (
            Key("name", Form.TEXT, "what it is called", is_required=True, example='"gear and approach flap"'),
            Key(
                "gear",
                Form.TEXT,
                "landing gear",
                otherwise="up, or as in the standard one",
                choices=("up", "down"),
            ),
            Key(
                "flap",
                Form.TEXT,
                "wing flap",
                otherwise="up, or as in the standard one",
                choices=("up", "approach", "full"),
            ),
            Key(
                "propeller",
                Form.TEXT,
                "what the propeller does",
                otherwise="coarse, or as in the standard one",
                choices=("coarse", "fine", "windmilling", "stopped"),
            ),
            Key(
                "extra_drag",
                Form.NUMBER,
                "extra parasite drag in parts of the clean one, -0.9 to 10",
                example="0.55",
                otherwise="as in the standard one, else required",
            ),
            Key(
                "induced_factor",
                Form.NUMBER,
                "induced drag in parts of the clean one, 0.2 to 5",
                otherwise="1, or as in the standard one",
            ),
        ),
        is_list=True,
    ),
    Section(
        "stand_in",
        "the setting that stands in for the dead engine, written by `volplane standin`",
        (
            Key(
                "configuration",
                Form.TEXT,
                "name of its configuration",
                is_required=True,
                example='"gear and approach flap"',
            ),
            Key(
                "manifold_pressure",
                PRESSURE,
                "manifold pressure",
                example='"14.5 inHg"',
                is_required=True,
                more_than="0 inHg",
                at_most="60 inHg",
            ),
            Key("rpm", ENGINE_SPEED, "propeller speed", is_required=True, more_than="0 rpm", at_most="4000 rpm"),
            Key(
                "altitude",
                HEIGHT,
                "altitude above sea level at which that setting is right",
                is_required=True,
                at_least="-1500 ft",
                at_most="20000 ft",
            ),
        ),
    ),
    Section(
        "engine",
        "engine and propeller",
        (
            Key("rated_power", POWER, "rated power", otherwise="estimated", more_than="0 hp"),
            Key(
                "rated_manifold_pressure", PRESSURE, "manifold pressure then", otherwise="estimated", more_than="0 inHg"
            ),
            Key("rated_rpm", ENGINE_SPEED, "engine speed then", otherwise="estimated", more_than="0 rpm"),
            Key("displacement", VOLUME, "displacement", otherwise="estimated", more_than="0 in3"),
            Key("propeller_diameter", SIZE, "propeller diameter", otherwise="estimated", more_than="0 in"),
            Key("propeller_blades", Form.COUNT, "number of blades, 2 to 6", default="3"),
        ),
    ),
    Section(
        "airspeed_correction",
        "one line of the airspeed calibration, written by `volplane airspeed`",
        (
            Key("indicated", SPEED, "indicated airspeed", is_required=True, more_than="0 kt", at_most="250 kt"),
            Key("calibrated", SPEED, "calibrated airspeed", is_required=True, more_than="0 kt", at_most="250 kt"),
        ),
        is_list=True,
    ),
    Section(
        "words",
        "the instructor's own words for the card",
        (
            Key("go_around", Form.TEXT, "how to go around", otherwise="ours"),
            Key("sight_mark", Form.TEXT, "where the runway is seen from the high key", otherwise="ours"),
            Key("calls", Form.TEXTS, "radio calls and what to say aloud", otherwise="none"),
        ),
    ),
)

AIRFIELD: tuple[Section, ...] = (
    Section(
        "",
        "the airfield",
        (
            Key("name", Form.TEXT, "what the airfield is called", is_required=True, example='"Quill Meadow"'),
            Key(
                "elevation",
                HEIGHT,
                "above sea level",
                example='"940 ft"',
                is_required=True,
                at_least="-1500 ft",
                at_most="15000 ft",
            ),
            Key(
                "variation",
                VARIATION,
                "magnetic variation",
                otherwise="World Magnetic Model at the first threshold on the day",
                at_least="180 deg W",
                at_most="180 deg E",
            ),
            Key(
                "traffic_pattern_height",
                HEIGHT,
                "above the field",
                otherwise="not known",
                more_than="0 ft",
                at_most="5000 ft",
            ),
            Key("airspace_ceiling", HEIGHT, "above sea level; stay below", otherwise="none", at_most="40000 ft"),
            Key(
                "practice_floor",
                HEIGHT,
                "altitude above sea level that plays the ground",
                otherwise="none: the runway is the ground",
                at_most="20000 ft",
            ),
            Key("runway", Form.TABLES, "runway ends, one or more", is_required=True),
        ),
    ),
    Section(
        "runway",
        "one runway end in its landing direction",
        (
            Key("name", Form.TEXT, "as painted, in quotes", is_required=True, example='"25"'),
            Key(
                "threshold",
                Form.POSITION,
                "landing threshold as `[latitude, longitude]` in degrees, north and east positive",
                example="[44.0, -40.0]",
                is_required=True,
            ),
            Key(
                "bearing_true",
                ANGLE,
                "true bearing of the landing direction",
                example='"238.4 deg"',
                is_required=True,
                at_least="0 deg",
                at_most="360 deg",
            ),
            Key(
                "length",
                LENGTH,
                "landing distance available beyond the threshold",
                is_required=True,
                more_than="0 ft",
                at_most="30000 ft",
            ),
            Key(
                "elevation",
                HEIGHT,
                "elevation of the threshold",
                otherwise="the airfield's",
                at_least="-1500 ft",
                at_most="15000 ft",
            ),
            Key("pattern", Form.TEXT, "published side of the pattern", default="left", choices=("left", "right")),
        ),
        is_list=True,
    ),
)

EXERCISE: tuple[Section, ...] = (
    Section(
        "",
        "the exercise; heights are above the touchdown point",
        (
            Key(
                "airplane",
                Form.TEXT,
                "file of the airplane, beside this file or with its path",
                is_required=True,
                example='"airplane.toml"',
            ),
            Key(
                "airfield",
                Form.TEXT,
                "file of the airfield, beside this file or with its path",
                is_required=True,
                example='"airfield.toml"',
            ),
            Key("runway", Form.TEXT, "runway end, in quotes", is_required=True, example='"25"'),
            Key("pattern", Form.TEXT, "side of the pattern", otherwise="the published one", choices=("left", "right")),
            Key(
                "weight",
                WEIGHT,
                "weight flown; at least 40 % of the maximum",
                otherwise="`weights.maximum`, with a caution",
                more_than="0 lb",
            ),
            Key(
                "entry_height",
                HEIGHT,
                "wished at the high key",
                default="2500 ft",
                more_than="0 ft",
                at_most="10000 ft",
            ),
            Key(
                "low_key_height",
                HEIGHT,
                "wished at the low key",
                default="1500 ft",
                more_than="0 ft",
                at_most="10000 ft",
            ),
            Key(
                "high_key_offset",
                DISTANCE,
                "high key beside the touchdown point, on the side away from the pattern; 0 is overhead",
                default="0.2 NM",
                at_least="0 NM",
                at_most="2 NM",
            ),
            Key(
                "touchdown_point",
                LENGTH,
                "beyond the threshold",
                otherwise="1000 ft or a third of the landing distance, whichever is nearer",
                at_least="0 ft",
            ),
            Key(
                "high_key_turn_bank",
                ANGLE,
                "bank of the half turn",
                default="20 deg",
                more_than="0 deg",
                at_most="60 deg",
            ),
            Key(
                "base_turn_bank",
                ANGLE,
                "bank of the turn to base and final",
                default="25 deg",
                more_than="0 deg",
                at_most="60 deg",
            ),
            Key(
                "maximum_bank",
                ANGLE,
                "steepest bank above the low key",
                default="45 deg",
                more_than="0 deg",
                at_most="60 deg",
            ),
            Key(
                "maximum_bank_below_low_key",
                ANGLE,
                "steepest bank below the low key",
                default="30 deg",
                more_than="0 deg",
                at_most="60 deg",
            ),
            Key(
                "low_key_offset",
                DISTANCE,
                "low key beside the touchdown point",
                otherwise="what the half turn gives",
                more_than="0 NM",
                at_most="3 NM",
            ),
            Key(
                "minimum_final",
                LENGTH,
                "least straight final",
                default="1500 ft",
                more_than="0 ft",
                at_most="10000 ft",
            ),
            Key("reserve", HEIGHT, "added to the lowest heights", default="100 ft", at_least="0 ft", at_most="2000 ft"),
            Key(
                "break_off_height",
                HEIGHT,
                "at which the picture must be right",
                default="500 ft",
                more_than="0 ft",
                at_most="3000 ft",
            ),
            Key(
                "standard",
                Form.TEXT,
                "what the debrief compares with",
                default="lesson",
                choices=("lesson", "commercial power-off 180", "simulated emergency approach", "steep spiral"),
            ),
            Key("date", Form.DATE, 'day of the lesson, such as "2026-05-14"', otherwise="today"),
            Key("time", Form.CLOCK, 'time of the lesson, such as "14:00Z"', otherwise="now"),
            Key(
                "shape",
                Form.TEXT,
                "shape of the exercise; this version plans one",
                default="overhead",
                choices=("overhead",),
            ),
            Key(
                "half_turn",
                Form.TEXT,
                "how the half turn is flown",
                default="even radius",
                choices=("even radius", "constant bank"),
            ),
            Key(
                "stall_margin",
                PERCENTAGE,
                "least speed above the stall in every turn",
                default="10 %",
                at_least="0 %",
                at_most="50 %",
            ),
            Key(
                "reaction_delay",
                TIME_SPAN,
                "from the failure to the first action",
                default="4 s",
                at_least="0 s",
                at_most="30 s",
            ),
            Key(
                "distance_limit",
                DISTANCE,
                "farthest from the touchdown point",
                default="3 NM",
                more_than="0 NM",
                at_most="20 NM",
            ),
            Key("obstacles", Form.TABLES, "what to stay above", otherwise="none"),
            Key("phase", Form.TABLES, "the instructor's own phase table", otherwise="the default phases"),
            Key("weather", Form.TABLE, "today's air", otherwise="standard day, calm"),
        ),
    ),
    Section(
        "obstacles",
        "one obstacle in the runway frame",
        (
            Key("x", LENGTH, "along the landing direction from the touchdown point", is_required=True),
            Key("y", LENGTH, "to the left of it", is_required=True),
            Key("height", HEIGHT, "above the touchdown point", is_required=True, at_most="10000 ft"),
        ),
        is_list=True,
    ),
    Section(
        "phase",
        "one line of the phase table",
        (
            Key(
                "from",
                Form.GATE_OR_HEIGHT,
                'where it begins: "high key", "low key", "base key", "final" or a height above the touchdown point',
                example='"low key"',
                is_required=True,
            ),
            Key("speed", SPEED, "indicated airspeed", otherwise="as before", more_than="0 kt", at_most="250 kt"),
            Key("configuration", Form.TEXT, "name of a configuration of the airplane", otherwise="as before"),
        ),
        is_list=True,
    ),
    Section(
        "weather",
        "today's air",
        (
            Key("qnh", PRESSURE, "altimeter setting", default="1013.25 hPa", at_least="850 hPa", at_most="1090 hPa"),
            Key(
                "temperature",
                TEMPERATURE,
                "at the field",
                otherwise="standard for the elevation",
                at_least="-60 degC",
                at_most="55 degC",
            ),
            Key(
                "dew_point",
                TEMPERATURE,
                "at the field, not above the temperature; the air is still reckoned as dry",
                otherwise="not known",
                at_least="-80 degC",
                at_most="40 degC",
            ),
            Key("wind", Form.TABLES, "wind by level, lowest first", otherwise="calm"),
            Key(
                "tower_wind",
                Form.WIND,
                'wind at the field as the tower gives it, magnetic, such as "250 deg 8 kt"',
                otherwise="`wind`",
            ),
            Key("gust", SPEED, "strongest gust at the field", otherwise="none", more_than="0 kt", at_most="100 kt"),
            Key("cloud_base", HEIGHT, "above the field", otherwise="not known", at_least="0 ft", at_most="40000 ft"),
            Key("visibility", DISTANCE, "visibility", otherwise="not known", at_least="0 NM", at_most="100 NM"),
        ),
    ),
    Section(
        "weather.wind",
        "the wind at one level",
        (
            Key(
                "height",
                HEIGHT,
                "above the field; 0 means the usual 10 m of an anemometer",
                is_required=True,
                at_least="0 ft",
                at_most="30000 ft",
            ),
            Key(
                "from",
                ANGLE,
                "true direction it comes from",
                example='"240 deg"',
                is_required=True,
                at_least="0 deg",
                at_most="360 deg",
            ),
            Key("speed", SPEED, "its speed", is_required=True, at_least="0 kt", at_most="200 kt"),
        ),
        is_list=True,
    ),
)

FILES: dict[str, tuple[Section, ...]] = {"airplane": AIRPLANE, "airfield": AIRFIELD, "exercise": EXERCISE}


def section(sections: tuple[Section, ...], name: str) -> Section:
    """The section of that name; StopIteration is our own fault."""
    return next(each for each in sections if each.name == name)


def accepted(key: Key) -> str:
    """What is accepted, in words: bounds and choices; empty when anything of the form is."""
    parts: list[str] = []
    if key.choices:
        quoted = [f'"{choice}"' for choice in key.choices]
        parts.append(quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}")
    if key.more_than is not None:
        parts.append(f"more than {key.more_than}")
    if key.at_least is not None:
        parts.append(f"{key.at_least} or more")
    if key.at_most is not None:
        parts.append(f"{key.at_most} or less")
    return ", ".join(parts)


def table_rows(sections: Iterable[Section]) -> list[str]:
    """The Markdown rows of a file's keys, as the reference prints them: key, form, default, accepted, meaning."""
    rows: list[str] = []
    for each in sections:
        for key in each.keys:
            name = f"{each.name}.{key.name}" if each.name else key.name
            fixed = f'`"{key.default}"`' if key.default is not None else key.otherwise
            if key.default is not None and key.form in (Form.NUMBER, Form.COUNT):
                fixed = f"`{key.default}`"
            default = "**required**" if key.is_required else fixed
            rows.append(f"| `{name}` | {key.form_name} | {default} | {accepted(key)} | {key.meaning} |")
    return rows

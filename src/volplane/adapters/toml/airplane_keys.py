"""The keys of the airplane file."""

from __future__ import annotations

from volplane.adapters.toml.keys import Form, Key, Section
from volplane.services.quantities import (
    ENGINE_SPEED,
    HEIGHT,
    LENGTH,
    POWER,
    PRESSURE,
    SIZE,
    SPEED,
    TEMPERATURE,
    VERTICAL_SPEED,
    VOLUME,
    WEIGHT,
)

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

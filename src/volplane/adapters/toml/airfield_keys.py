"""The keys of the airfield file."""

from __future__ import annotations

from volplane.adapters.toml.keys import Form, Key, Section
from volplane.services.quantities import ANGLE, HEIGHT, LENGTH, VARIATION

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
                "end",
                Form.POSITION,
                "far end of the landing distance, written like the threshold; bearing and length follow from both",
                otherwise="from `bearing_true` and `length`",
                example="[43.9936746, -40.0142401]",
            ),
            Key(
                "bearing_true",
                ANGLE,
                "true bearing of the landing direction",
                otherwise="from `threshold` to `end`; **required** without `end`",
                example='"238.4 deg"',
                at_least="0 deg",
                at_most="360 deg",
            ),
            Key(
                "length",
                LENGTH,
                "landing distance available beyond the threshold",
                otherwise="from `threshold` to `end`; **required** without `end`",
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

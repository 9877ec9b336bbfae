"""The thresholds table of an exercise file: from which figure on a finding is raised, each a setting."""

from __future__ import annotations

from dataclasses import replace

from volplane.adapters.toml.keys import Key, Section
from volplane.adapters.toml.tables import Table
from volplane.domain.exercise.thresholds import ABOUT, Thresholds
from volplane.services.quantities import (
    ANGLE,
    DISTANCE,
    HEIGHT,
    LENGTH,
    PERCENTAGE,
    SPEED,
    TIME_SPAN,
    VERTICAL_SPEED,
    Kind,
    write_quantity,
)

# the threshold of each key, its kind, and the bounds of what makes sense
_KEYS: tuple[tuple[str, str, Kind, str, str], ...] = (
    ("tailwind_caution", "tailwind_caution_mps", SPEED, "0 kt", "30 kt"),
    ("tailwind_stop", "tailwind_stop_mps", SPEED, "0 kt", "30 kt"),
    ("crosswind_caution", "crosswind_caution_fraction", PERCENTAGE, "0 %", "100 %"),
    ("gust_spread_caution", "gust_spread_caution_mps", SPEED, "0 kt", "60 kt"),
    ("gust_spread_stop", "gust_spread_stop_mps", SPEED, "0 kt", "60 kt"),
    ("entry_wind_caution", "entry_wind_caution_mps", SPEED, "0 kt", "100 kt"),
    ("cloud_clearance", "cloud_clearance_m", HEIGHT, "0 ft", "5000 ft"),
    ("visibility_caution", "visibility_caution_m", DISTANCE, "0 SM", "20 SM"),
    ("visibility_stop", "visibility_stop_m", DISTANCE, "0 SM", "20 SM"),
    ("sun_caution", "sun_caution_rad", ANGLE, "-18 deg", "30 deg"),
    ("sun_stop", "sun_stop_rad", ANGLE, "-18 deg", "30 deg"),
    ("go_around_climb_caution", "go_around_climb_caution_mps", VERTICAL_SPEED, "0 fpm", "2000 fpm"),
    ("go_around_climb_stop", "go_around_climb_stop_mps", VERTICAL_SPEED, "0 fpm", "2000 fpm"),
    ("stall_margin_caution", "stall_margin_caution_fraction", PERCENTAGE, "0 %", "100 %"),
    ("turn_to_final_height", "turn_to_final_height_m", HEIGHT, "0 ft", "1500 ft"),
    ("break_off_height", "break_off_height_m", HEIGHT, "0 ft", "3000 ft"),
    ("aim_beyond_threshold", "aim_beyond_threshold_m", LENGTH, "0 ft", "3000 ft"),
    ("roll_spare", "roll_spare_fraction", PERCENTAGE, "0 %", "300 %"),
    ("surplus_height", "surplus_height_m", HEIGHT, "0 ft", "2000 ft"),
    ("thin_air_note", "thin_air_note_fraction", PERCENTAGE, "0 %", "100 %"),
    ("report_age_note", "report_age_note_s", TIME_SPAN, "0 min", "1440 min"),
    ("short_of_runway_caution", "short_of_runway_caution_fraction", PERCENTAGE, "0 %", "100 %"),
    ("short_of_runway_stop", "short_of_runway_stop_fraction", PERCENTAGE, "0 %", "100 %"),
)
# where a pair is given, the stop lies beyond the caution: upwards, or downwards for what must not be too little
_PAIRS = (
    ("tailwind", 1.0),
    ("gust_spread", 1.0),
    ("visibility", -1.0),
    ("sun", -1.0),
    ("go_around_climb", -1.0),
    ("short_of_runway", 1.0),
)
# units in which a default reads as it is meant
_UNITS = {"visibility_caution": "SM", "visibility_stop": "SM", "report_age_note": "min"}


def _section() -> Section:
    known, about = Thresholds(), {each.name: each for each in ABOUT}
    keys = []
    for key, name, kind, least, most in _KEYS:
        default = write_quantity(getattr(known, name), kind, _UNITS.get(key))
        told = about[name]
        meaning = f"{told.severity}: {told.meaning} ({told.status})"
        keys.append(Key(key, kind, meaning, default=default, at_least=least, at_most=most))
    return Section("thresholds", "from which figure on a finding is raised; see the page on findings", tuple(keys))


THRESHOLDS = _section()


def read_thresholds(top: Table) -> Thresholds:
    """The thresholds of an exercise: the defaults, and what the file says instead."""
    table = top.child("thresholds")
    given = {
        name: value for key, name, *_ in _KEYS if table.has(key) and (value := table.quantity_or_none(key)) is not None
    }
    read = replace(Thresholds(), **given)
    names = {key: name for key, name, *_ in _KEYS}
    for pair, sign in _PAIRS:
        caution, stop = (getattr(read, names[f"{pair}_{weight}"]) for weight in ("caution", "stop"))
        typed = next((key for key in (f"{pair}_stop", f"{pair}_caution") if table.has(key)), None)
        if typed is not None and sign * (stop - caution) < 0.0:
            other = f"{pair}_caution" if typed == f"{pair}_stop" else f"{pair}_stop"
            beyond = "or more" if (sign > 0.0) == typed.endswith("stop") else "or less"
            table.add(
                typed, table.typed(typed), f"{table.typed(other)} {beyond}, as {other} is", "Change one.", "key-order"
            )
    return read


def threshold_rows() -> list[str]:
    """The Markdown rows of the thresholds, as the page on findings prints them."""
    about = {each.name: each for each in ABOUT}
    rows = []
    for key, name, *_ in _KEYS:
        told, figure = about[name], THRESHOLDS.key(key).default
        cells = (f"`{key}`", figure, f"`{told.finding}`", told.severity, told.meaning, told.status, told.source)
        rows.append(f"| {' | '.join(map(str, cells))} |")
    return rows

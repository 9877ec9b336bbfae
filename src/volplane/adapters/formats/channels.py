"""Columns of numbers as written become the channels of a track in SI, with what had to be assumed about their units.

Where a title names no unit, the recording itself is asked: the positions tell in which unit the ground speed is, and
people who write knots write feet. Everything taken so is said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane import units
from volplane.adapters.formats.fixes import speed_over_positions
from volplane.adapters.formats.words import DIRECTIONS, KIND_OF_CHANNEL
from volplane.domain.track.track import AltitudeSource, Track
from volplane.errors import Problem, Refusal
from volplane.services.ports import MagneticVariation
from volplane.services.recordings import Channel, Column

Floats = NDArray[np.float64]

# the best kind of altitude first: a GPS one needs no setting of the day
ALTITUDES: dict[Channel, AltitudeSource] = {
    Channel.GPS_ALTITUDE: AltitudeSource.GPS,
    Channel.INDICATED_ALTITUDE: AltitudeSource.INDICATED,
    Channel.PRESSURE_ALTITUDE: AltitudeSource.PRESSURE,
    Channel.ELLIPSOID_ALTITUDE: AltitudeSource.GPS,
}
FIELDS: dict[Channel, str] = {
    Channel.GROUND_SPEED: "ground_speed_mps",
    Channel.TRACK: "track_true_rad",
    Channel.IAS: "ias_mps",
    Channel.TAS: "tas_mps",
    Channel.HEADING: "heading_true_rad",
    Channel.BANK: "bank_rad",
    Channel.VERTICAL_SPEED: "vertical_speed_mps",
    Channel.AIR_TEMPERATURE: "air_temperature_k",
    Channel.MANIFOLD_PRESSURE: "manifold_pressure_pa",
    Channel.ENGINE_SPEED: "engine_speed_radps",
}
_METRIC_SPEEDS = ("m/s", "km/h")
_SPEED_UNITS = {
    "kt": units.KNOT_MPS,
    "mph": units.STATUTE_MILE_M / 3600.0,
    "km/h": units.KILOMETRE_PER_HOUR_MPS,
    "m/s": 1.0,
}
# receivers and positions agree within a few percent; a wrong unit is 13 % off or more
_SPEEDS_AGREE = 0.07
_SPEEDS_CONTRADICT = 0.2
# an altitude is passed over for the next kind when it has far fewer values than the best
_ENOUGH_FRACTION = 0.8


@dataclass(frozen=True, slots=True)
class RawColumn:
    """A column of numbers as written, (n,), NaN where empty; `unit` is "" until it is known."""

    title: str
    channel: Channel
    unit: str
    because: str
    value: Floats

    @classmethod
    def of(cls, column: Column, value: Floats) -> RawColumn:
        """The numbers of a column."""
        return cls(column.title, column.channel, column.unit, column.because, value)

    @property
    def column(self) -> Column:
        """The column as it is shown to people."""
        return Column(self.title, self.channel, self.unit, self.because)

    def in_si(self) -> Floats:
        """The numbers in the SI unit of their channel; angles in rad."""
        unit = KIND_OF_CHANNEL[self.channel].unit(self.unit.split()[0])
        assert unit is not None
        return np.asarray(unit.nought_si + self.value * unit.size_si)

    def in_unit(self, unit: str, because: str) -> RawColumn:
        """The same numbers, their unit found."""
        return replace(self, unit=unit, because=f"{self.because}; {because}" if self.because else because)


@dataclass(frozen=True, slots=True)
class Fixes:
    """Times and places of a track, (n,) each: seconds since 1970 UTC, strictly growing, and degrees."""

    unix_s: Floats
    latitude_deg: Floats
    longitude_deg: Floats


def track_of(
    name: str, fixes: Fixes, columns: Sequence[RawColumn], variation: MagneticVariation | None
) -> tuple[Track, tuple[Column, ...], tuple[Problem, ...]]:
    """The track of a table, its columns with the units found, and what is wrong or had to be assumed."""
    raw, problems = _with_units(name, fixes, {each.channel: each for each in columns})
    channels, faults = _in_si(name, fixes, raw, variation)
    problems += faults
    altitude = _altitude(raw)
    if altitude is Channel.ELLIPSOID_ALTITUDE:
        problems.append(_above_ellipsoid(name, raw[altitude].column))
    track = Track(
        start_unix_s=float(fixes.unix_s[0]),
        time_s=fixes.unix_s - fixes.unix_s[0],
        latitude_deg=fixes.latitude_deg,
        longitude_deg=fixes.longitude_deg,
        altitude_m=raw[altitude].in_si() if altitude is not None else None,
        altitude_source=ALTITUDES[altitude] if altitude is not None else AltitudeSource.NONE,
        **channels,  # type: ignore[arg-type]  # the names of FIELDS are fields of arrays
    )
    used = [each for each in raw if each is altitude or FIELDS.get(each) in channels]
    return track, tuple(raw[channel].column for channel in used), tuple(problems)


def _in_si(
    name: str, fixes: Fixes, raw: Mapping[Channel, RawColumn], variation: MagneticVariation | None
) -> tuple[dict[str, Floats], list[Problem]]:
    """The channels beside time, place and altitude by the name of their field, directions made true."""
    channels: dict[str, Floats] = {}
    problems: list[Problem] = []
    for channel, field in FIELDS.items():
        if channel not in raw or not np.isfinite(raw[channel].value).any():
            continue
        value = raw[channel].in_si()
        if channel in DIRECTIONS and raw[channel].unit.endswith("magnetic"):
            east_rad, fault = _variation_rad(name, fixes, raw[channel].column, variation)
            if fault is not None:
                problems.append(fault)
                continue
            value = value + east_rad
        channels[field] = np.remainder(value, 2.0 * math.pi) if channel in DIRECTIONS else value
    return channels, problems


def _altitude(raw: Mapping[Channel, RawColumn]) -> Channel | None:
    """The altitude to use: the best kind that has nearly as many values as any."""
    counts = {channel: int(np.isfinite(raw[channel].value).sum()) for channel in ALTITUDES if channel in raw}
    most = max(counts.values(), default=0)
    return next((channel for channel, count in counts.items() if count and count >= _ENOUGH_FRACTION * most), None)


def _with_units(
    name: str, fixes: Fixes, raw: Mapping[Channel, RawColumn]
) -> tuple[dict[Channel, RawColumn], list[Problem]]:
    """Every column with a unit; a ground speed that its own positions contradict is left out."""
    found = dict(raw)
    problems: list[Problem] = []
    if Channel.GROUND_SPEED in found:
        speed, fault = _checked_ground_speed(name, fixes, found[Channel.GROUND_SPEED])
        problems += [fault] if fault is not None else []
        if speed is None:
            del found[Channel.GROUND_SPEED]
        else:
            found[Channel.GROUND_SPEED] = speed
    speed_unit = _speed_unit(found)
    for channel, each in found.items():
        if not each.unit:
            unit, because = _assumed_unit(channel, each.value, speed_unit)
            found[channel] = each.in_unit(unit, because)
            if channel in ALTITUDES:
                problems.append(_unit_not_named(name, found[channel].column))
        elif channel in DIRECTIONS and " " not in each.unit:
            north = _assumed_north(channel)
            found[channel] = each.in_unit(f"{each.unit} {north}", f"{north} unless the title says otherwise")
    return found, problems


def _checked_ground_speed(name: str, fixes: Fixes, speed: RawColumn) -> tuple[RawColumn | None, Problem | None]:
    over = speed_over_positions(fixes.unix_s - fixes.unix_s[0], fixes.latitude_deg, fixes.longitude_deg, speed.value)
    if over is None:
        return (speed if speed.unit else speed.in_unit("kt", "knots unless the title says otherwise")), None
    unit, size_mps = min(_SPEED_UNITS.items(), key=lambda each: abs(math.log(over * each[1])))
    off = abs(over * size_mps - 1.0)
    if not speed.unit:
        if off <= _SPEEDS_AGREE:
            return speed.in_unit(unit, "the positions give that unit"), None
        return None, _speed_contradicts(name, speed.column, over)
    stated = KIND_OF_CHANNEL[Channel.GROUND_SPEED].unit(speed.unit)
    assert stated is not None
    if abs(over * stated.size_si - 1.0) > _SPEEDS_CONTRADICT:
        return None, _speed_contradicts(name, speed.column, over * stated.size_si)
    return speed, None


def _speed_unit(raw: Mapping[Channel, RawColumn]) -> str:
    """The unit the recording writes speeds in; knots where it writes none."""
    named = [raw[channel].unit for channel in (Channel.GROUND_SPEED, Channel.IAS, Channel.TAS) if channel in raw]
    return next(filter(None, named), "")


def _assumed_unit(channel: Channel, value: Floats, speed_unit: str) -> tuple[str, str]:
    """The unit of a column that names none, and why."""
    known = np.abs(value[np.isfinite(value)])
    middle = float(np.median(known)) if len(known) else 0.0
    if channel in ALTITUDES:
        if speed_unit in ("", *_METRIC_SPEEDS):
            return "m", "metres, because no speed is in knots"
        return "ft", f"feet, because the speed is in {speed_unit}"
    if channel in (Channel.IAS, Channel.TAS):
        return speed_unit or "kt", "the unit of the other speeds" if speed_unit else "knots unless said otherwise"
    if channel is Channel.VERTICAL_SPEED:
        return ("fpm", "values as large as feet per minute") if middle > 30.0 else ("m/s", "values as small as m/s")
    if channel is Channel.MANIFOLD_PRESSURE:
        # full throttle at sea level is 30 inches, 101 kPa or 1,013 hPa
        unit = "inHg" if middle < 45.0 else "kPa" if middle < 130.0 else "hPa"
        return unit, f"values as large as {unit}"
    if channel in DIRECTIONS:
        return f"deg {_assumed_north(channel)}", f"degrees {_assumed_north(channel)} unless the title says otherwise"
    plain = {Channel.AIR_TEMPERATURE: "degC", Channel.ENGINE_SPEED: "rpm"}.get(channel, "deg")
    return plain, "the usual unit"


def _assumed_north(channel: Channel) -> str:
    """Receivers compute true tracks; the heading of an airplane is a compass's."""
    return "true" if channel is Channel.TRACK else "magnetic"


def _variation_rad(
    name: str, fixes: Fixes, column: Column, variation: MagneticVariation | None
) -> tuple[float, Problem | None]:
    """Variation in the middle of the recording, or the problem that there is none."""
    middle = len(fixes.unix_s) // 2
    found, reason = f'magnetic directions under "{column.title}"', "no magnetic model is at hand"
    if variation is not None:
        try:
            place = (float(fixes.latitude_deg[middle]), float(fixes.longitude_deg[middle]))
            return variation.variation_east_rad(*place, 0.0, float(fixes.unix_s[middle])), None
        except Refusal:
            reason = "no magnetic model covers the day"
    remedy = f"They were left out, because {reason}."
    return 0.0, Problem(name, "", found, "true directions", remedy, "variation-unknown")


def _above_ellipsoid(name: str, column: Column) -> Problem:
    found = f'heights above the ellipsoid under "{column.title}"'
    remedy = "They were taken as they are and may be off by up to 100 m; standing on the runway mends it."
    return Problem(name, "", found, "heights above the sea", remedy, "altitude-above-ellipsoid")


def _unit_not_named(name: str, column: Column) -> Problem:
    found = f'altitudes without a unit under "{column.title}"'
    remedy = f"They were taken in {column.unit}: {column.because.split('; ')[-1]}. Name the unit in the title."
    return Problem(name, "", found, "ft or m in the title", remedy, "altitude-unit-not-named")


def _speed_contradicts(name: str, column: Column, factor: float) -> Problem:
    found = f'a ground speed under "{column.title}" that is {factor:.2f} times what the positions give'
    remedy = "It was left out; the speed is taken from the positions."
    return Problem(name, "", found, "the speed of the positions", remedy, "ground-speed-contradicts")

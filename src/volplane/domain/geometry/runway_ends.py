"""Runways as tables of airports publish them, and what follows from the positions of their two ends.

Positions decide: bearing and length are computed from them on the ellipsoid. What is published beside them is a check,
and every disagreement is kept as a doubt. A runway whose positions cannot be right is told, never repaired.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum

# a runway's number is its magnetic direction to ten degrees, and may lag behind the variation by a few; more is a slip
MOST_OFF_ITS_NUMBER_RAD = math.radians(30.0)
# a bearing that is published to whole degrees, and ends that are published to some metres, agree within this (ours)
MOST_BEARING_DIFFERENCE_RAD = math.radians(2.0)
# lengths measured to other edges of the pavement agree within the larger of these (ours)
MOST_LENGTH_DIFFERENCE_FRACTION, MOST_LENGTH_DIFFERENCE_M = 0.02, 30.0
# where one of the two lengths is more than this times the other, nobody knows which end is where (ours)
MOST_LENGTH_FACTOR = 1.25
# nothing with wheels and an engine practises on less, and no runway is longer (common practice, no source)
SHORTEST_M, LONGEST_M = 100.0, 6_000.0
# no runway lies farther from the reference point of its airfield (ours)
FARTHEST_FROM_FIELD_M = 15_000.0


class Doubt(StrEnum):
    """What is wrong with a runway end of a table, the worst first."""

    NO_POSITIONS = "positions-unknown"
    POSITIONS_IMPOSSIBLE = "positions-impossible"
    ENDS_EXCHANGED = "ends-exchanged"
    NAME_DISAGREES = "name-disagrees"
    TAKEN_AS_THRESHOLDS = "taken-as-thresholds"
    LENGTH_DIFFERS = "length-differs"
    BEARING_DIFFERS = "bearing-differs"

    @property
    def forbids_use(self) -> bool:
        """Whether no exercise may be planned on such an end."""
        return self in (
            Doubt.NO_POSITIONS,
            Doubt.POSITIONS_IMPOSSIBLE,
            Doubt.ENDS_EXCHANGED,
            Doubt.NAME_DISAGREES,
        )


@dataclass(frozen=True, slots=True)
class PublishedEnd:
    """One end of a runway as published; None is not published.

    The position is that of the end of the runway; the landing threshold lies `displaced_m` beyond it.
    """

    name: str
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    elevation_msl_m: float | None = None
    displaced_m: float = 0.0
    bearing_true_rad: float | None = None


@dataclass(frozen=True, slots=True)
class PublishedRunway:
    """A runway with its two ends as published; None is not published, the surface is a word or empty."""

    low: PublishedEnd
    high: PublishedEnd
    length_m: float | None = None
    surface: str = ""


@dataclass(frozen=True, slots=True)
class PublishedAirfield:
    """An airfield as published: its code, the other codes it is known by, its reference point, its runways."""

    code: str
    other_codes: tuple[str, ...]
    name: str
    place: str
    country: str
    latitude_deg: float
    longitude_deg: float
    elevation_msl_m: float | None
    runways: tuple[PublishedRunway, ...]


@dataclass(frozen=True, slots=True)
class LandingRunway:
    """One runway end in its landing direction, as far as its positions are known; None is not known.

    The threshold is the landing (displaced) threshold. `length_m` is the landing distance beyond it: the shorter of the
    computed and the published length, less what the threshold is displaced. `between_ends_m` is the computed length.
    """

    name: str
    threshold_latitude_deg: float | None
    threshold_longitude_deg: float | None
    bearing_true_rad: float | None
    length_m: float | None
    between_ends_m: float | None
    displaced_m: float
    elevation_msl_m: float | None
    published_length_m: float | None
    published_bearing_true_rad: float | None
    surface: str
    doubts: tuple[Doubt, ...]

    @property
    def is_usable(self) -> bool:
        """Whether an exercise may be planned on it."""
        return not any(doubt.forbids_use for doubt in self.doubts)


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one place straight to another along the ellipsoid: its length, and its true bearing where it begins."""

    length_m: float
    bearing_true_rad: float


def stretch_between(
    from_latitude_deg: float, from_longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> Stretch:
    """Length and true bearing of the geodesic between two places, bearing in [0, 2 pi) (WGS 84; C. Karney's method)."""
    from geographiclib.geodesic import Geodesic

    line = Geodesic.WGS84.Inverse(from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg)
    return Stretch(float(line["s12"]), math.radians(line["azi1"]) % (2.0 * math.pi))


def place_along(
    latitude_deg: float, longitude_deg: float, bearing_true_rad: float, distance_m: float
) -> tuple[float, float]:
    """Latitude and longitude of the place so far along a true bearing (WGS 84)."""
    from geographiclib.geodesic import Geodesic

    line = Geodesic.WGS84.Direct(latitude_deg, longitude_deg, math.degrees(bearing_true_rad), distance_m)
    return float(line["lat2"]), float(line["lon2"])


def named_direction_rad(name: str) -> float | None:
    """The direction in a runway's name, to ten degrees; None for a name that does not begin with one or two digits."""
    number = re.match(r"(\d{1,2})(?!\d)", name)
    return None if number is None else math.radians(10.0 * int(number[1]))


def off_its_number_rad(name: str, bearing_true_rad: float, variation_east_rad: float) -> float:
    """How far a landing direction is from what the runway's name says, taken as magnetic or true, whichever is nearer.

    Nought for a name without a number, NaN for a bearing that is not known; a variation that is not known leaves the
    true bearing to be compared.
    """
    named_rad = named_direction_rad(name)
    if named_rad is None:
        return 0.0
    off_true_rad = _apart(bearing_true_rad, named_rad)
    if math.isnan(variation_east_rad):
        return off_true_rad
    return min(off_true_rad, _apart(bearing_true_rad - variation_east_rad, named_rad))


def landing_runways(airfield: PublishedAirfield, variation_east_rad: float) -> tuple[LandingRunway, ...]:
    """Both landing directions of every runway of an airfield, with the doubts about them."""
    return tuple(
        _landing(airfield, runway, own, far, variation_east_rad)
        for runway in airfield.runways
        for own, far in ((runway.low, runway.high), (runway.high, runway.low))
        if own.name
    )


def _landing(
    airfield: PublishedAirfield, runway: PublishedRunway, own: PublishedEnd, far: PublishedEnd, east_rad: float
) -> LandingRunway:
    # one by one, so that the type checker sees that they are there
    if own.latitude_deg is None or own.longitude_deg is None or far.latitude_deg is None or far.longitude_deg is None:
        return _unplaced(runway, own, Doubt.NO_POSITIONS, None)
    line = stretch_between(own.latitude_deg, own.longitude_deg, far.latitude_deg, far.longitude_deg)
    off_field = stretch_between(airfield.latitude_deg, airfield.longitude_deg, own.latitude_deg, own.longitude_deg)
    are_thresholds = _are_thresholds(runway, line.length_m)
    length_m = _landing_length_m(runway, own, line.length_m, are_thresholds=are_thresholds)
    is_possible = (
        SHORTEST_M <= line.length_m <= LONGEST_M
        and off_field.length_m <= FARTHEST_FROM_FIELD_M
        and (are_thresholds or _is_like(line.length_m, runway.length_m))
        and length_m >= SHORTEST_M
    )
    if not is_possible:
        return _unplaced(runway, own, Doubt.POSITIONS_IMPOSSIBLE, line.length_m)
    shift_m = 0.0 if are_thresholds else own.displaced_m
    latitude_deg, longitude_deg = place_along(own.latitude_deg, own.longitude_deg, line.bearing_true_rad, shift_m)
    doubts = _doubts(runway, own, line, east_rad, are_thresholds=are_thresholds)
    return LandingRunway(
        own.name,
        latitude_deg,
        longitude_deg,
        line.bearing_true_rad,
        length_m,
        line.length_m,
        own.displaced_m,
        own.elevation_msl_m,
        runway.length_m,
        own.bearing_true_rad,
        runway.surface,
        doubts,
    )


def _unplaced(runway: PublishedRunway, own: PublishedEnd, doubt: Doubt, between_ends_m: float | None) -> LandingRunway:
    return LandingRunway(
        own.name,
        None,
        None,
        None,
        None,
        between_ends_m,
        own.displaced_m,
        own.elevation_msl_m,
        runway.length_m,
        own.bearing_true_rad,
        runway.surface,
        (doubt,),
    )


def _landing_length_m(
    runway: PublishedRunway, own: PublishedEnd, between_ends_m: float, *, are_thresholds: bool
) -> float:
    if are_thresholds:
        assert runway.length_m is not None
        return runway.length_m - own.displaced_m
    whole_m = between_ends_m if runway.length_m is None else min(between_ends_m, runway.length_m)
    return whole_m - own.displaced_m


def _are_thresholds(runway: PublishedRunway, between_ends_m: float) -> bool:
    """Whether the positions given for the ends must be those of the displaced thresholds: the lengths say so."""
    displaced_m = runway.low.displaced_m + runway.high.displaced_m
    if runway.length_m is None or displaced_m <= 0.0:
        return False
    is_whole = _agrees(between_ends_m, runway.length_m)
    return not is_whole and _agrees(between_ends_m, runway.length_m - displaced_m)


def _doubts(
    runway: PublishedRunway, own: PublishedEnd, line: Stretch, east_rad: float, *, are_thresholds: bool
) -> tuple[Doubt, ...]:
    found = []
    published_rad = own.bearing_true_rad
    off_published_rad = 0.0 if published_rad is None else _apart(line.bearing_true_rad, published_rad)
    off_name_rad = off_its_number_rad(own.name, line.bearing_true_rad, east_rad)
    if off_name_rad > MOST_OFF_ITS_NUMBER_RAD:
        backwards_rad = off_its_number_rad(own.name, line.bearing_true_rad + math.pi, east_rad)
        is_exchanged = backwards_rad <= MOST_OFF_ITS_NUMBER_RAD
        found.append(Doubt.ENDS_EXCHANGED if is_exchanged else Doubt.NAME_DISAGREES)
    elif off_published_rad > math.pi / 2.0 and named_direction_rad(own.name) is None:
        # a name without a number leaves the published bearing as the only witness
        found.append(Doubt.ENDS_EXCHANGED)
    if are_thresholds:
        found.append(Doubt.TAKEN_AS_THRESHOLDS)
    elif runway.length_m is not None and not _agrees(line.length_m, runway.length_m):
        found.append(Doubt.LENGTH_DIFFERS)
    if off_published_rad > MOST_BEARING_DIFFERENCE_RAD:
        found.append(Doubt.BEARING_DIFFERS)
    return tuple(found)


def _agrees(length_m: float, published_m: float) -> bool:
    return abs(length_m - published_m) <= max(MOST_LENGTH_DIFFERENCE_M, MOST_LENGTH_DIFFERENCE_FRACTION * published_m)


def _is_like(length_m: float, published_m: float | None) -> bool:
    return published_m is None or published_m / MOST_LENGTH_FACTOR <= length_m <= published_m * MOST_LENGTH_FACTOR


def _apart(one_rad: float, other_rad: float) -> float:
    return abs((one_rad - other_rad + math.pi) % (2.0 * math.pi) - math.pi)

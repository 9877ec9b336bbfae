"""Small invented raw tables of airports and runways, in mid-ocean, as the open data set has them."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence

from geographiclib.geodesic import Geodesic

AIRPORT_TITLES = (
    "id ident type name latitude_deg longitude_deg elevation_ft continent iso_country iso_region municipality "
    "scheduled_service icao_code iata_code gps_code local_code home_link wikipedia_link keywords"
).split()
RUNWAY_TITLES = (
    "id airport_ref airport_ident length_ft width_ft surface lighted closed le_ident le_latitude_deg le_longitude_deg "
    "le_elevation_ft le_heading_degT le_displaced_threshold_ft he_ident he_latitude_deg he_longitude_deg "
    "he_elevation_ft he_heading_degT he_displaced_threshold_ft"
).split()
FOOT_M = 0.3048


def table(titles: Sequence[str], rows: Sequence[Mapping[str, object]]) -> bytes:
    """Rows as CSV with every text in quotes; what a row does not hold is empty."""
    written = io.StringIO()
    writer = csv.DictWriter(written, titles, restval="", quoting=csv.QUOTE_NONNUMERIC, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return written.getvalue().encode("utf-8")


def airport(ident: str, name: str, latitude_deg: float, **more: object) -> dict[str, object]:
    """One airport at longitude 40 west."""
    row = {"ident": ident, "type": "small_airport", "name": name, "latitude_deg": latitude_deg, "longitude_deg": -40.0}
    return {**row, "elevation_ft": 940, "iso_country": "ZZ", "municipality": "Middle Ocean", **more}


def runway(ident: str, latitude_deg: float, **more: object) -> dict[str, object]:
    """A runway 07/25 of 4,400 ft along 58.4 degrees true from longitude 40 west."""
    far = Geodesic.WGS84.Direct(latitude_deg, -40.0, 58.4, 4400 * FOOT_M)
    low = {"le_ident": "07", "le_latitude_deg": latitude_deg, "le_longitude_deg": -40.0, "le_heading_degT": 58.4}
    high = {"he_ident": "25", "he_latitude_deg": far["lat2"], "he_longitude_deg": far["lon2"], "he_heading_degT": 238.4}
    return {"airport_ident": ident, "length_ft": 4400, "surface": "ASPH-G", "closed": 0, **low, **high, **more}


UNPLACED = {"le_latitude_deg": "", "he_latitude_deg": ""}
AIRPORTS = (
    airport("ZZQM", "Quill Meadow", 44.0, icao_code="ZZQM", iata_code="QMX", local_code="Q1"),
    airport("ZZDM", "Dunlin Meadow", 45.0, municipality="Île aux Bécassines"),
    airport("ZZUP", "Upper Meadow", 46.0),
    airport("ZZNE", "Nameless Heights", 47.0, elevation_ft=""),
    airport("ZZHP", "Quill Heliport", 44.1, type="heliport"),
    airport("ZZSB", "Quill Harbour", 44.2, type="seaplane_base"),
    airport("ZZCL", "Old Quill", 44.3, type="closed"),
    airport("ZZNR", "Quill Without Runways", 44.4),
)
RUNWAYS = (
    runway("ZZQM", 44.0, le_displaced_threshold_ft=400, le_elevation_ft=938),
    runway("ZZQM", 44.0, le_ident="16", he_ident="34", closed=1),
    runway("ZZQM", 44.0, le_ident="W", he_ident="E", surface="WATER"),
    runway("ZZDM", 45.0, length_ft=4000),
    runway("ZZUP", 46.0, **UNPLACED),
    runway("ZZNE", 47.0, surface="turf"),
    runway("ZZHP", 44.1, le_ident="H1"),
    runway("ZZSB", 44.2),
    runway("ZZCL", 44.3),
)


def raw_tables() -> tuple[bytes, bytes]:
    """The table of airports and the table of runways."""
    return table(AIRPORT_TITLES, AIRPORTS), table(RUNWAY_TITLES, RUNWAYS)

"""The plan as a file for others: read back by the rules of each format, and the gates lie where the plan has them."""

from __future__ import annotations

import csv
import dataclasses
import functools
import io
import json
import math
import xml.etree.ElementTree as ElementTree
from collections.abc import Sequence

import pytest
from geographiclib.geodesic import Geodesic

from tests.faces import fixtures
from volplane import bootstrap
from volplane.domain.exercise.plan import Plan
from volplane.faces.documents.wording import CAUTION_LINES
from volplane.faces.report.exports import ENDINGS, exported

KML = "{http://www.opengis.net/kml/2.2}"
GPX = "{http://www.topografix.com/GPX/1/1}"
# order of elements: GPX 1.1 Schema Documentation, TopoGrafix 2004, gpxType, metadataType, wptType, rteType
GPX_ORDER = {
    "gpx": ["metadata", "wpt", "rte", "trk", "extensions"],
    "metadata": ["name", "desc", "author", "copyright", "link", "time", "keywords", "bounds", "extensions"],
    "wpt": ["ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type"],
    "rtept": ["ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type"],
    "rte": ["name", "cmt", "desc", "src", "link", "number", "type", "extensions", "rtept"],
}
# OGC KML 2.2 (07-147r2), AbstractFeatureGroup, LineString and Point
KML_ORDER = {
    "Document": ["name", "visibility", "open", "description", "styleUrl", "Style", "Placemark"],
    "Placemark": ["name", "visibility", "open", "description", "styleUrl", "Style", "LineString", "Point"],
    "LineString": ["extrude", "tessellate", "altitudeMode", "coordinates"],
    "Point": ["extrude", "altitudeMode", "coordinates"],
}
Position = tuple[float, float, float]


@functools.cache
def demo_plan() -> Plan:
    return bootstrap.demo_workbench().plan({})


@functools.cache
def written(ending: str) -> str:
    return exported(demo_plan(), ending).decode()


def assert_ordered(root: ElementTree.Element, order: dict[str, list[str]], namespace: str) -> None:
    for element in root.iter():
        allowed = order.get(element.tag.removeprefix(namespace))
        if allowed is None:
            assert len(element) == 0 or element.tag.removeprefix(namespace) in ("kml", "Style", "LineStyle")
            continue
        places = [allowed.index(child.tag.removeprefix(namespace)) for child in element]
        assert places == sorted(places), element.tag


def gates_of(ending: str) -> dict[str, Position]:
    """Latitude, longitude, altitude above the sea in metres of every named point of a file."""
    text = written(ending)
    if ending == ".kml":
        points = {}
        for mark in ElementTree.fromstring(text).iter(f"{KML}Placemark"):
            at = mark.find(f"{KML}Point")
            if at is not None:
                longitude, latitude, altitude = map(float, str(at.findtext(f"{KML}coordinates")).split(","))
                points[str(mark.findtext(f"{KML}name"))] = (latitude, longitude, altitude)
        return points
    if ending == ".gpx":
        return {
            str(mark.findtext(f"{GPX}name")): (
                float(mark.attrib["lat"]),
                float(mark.attrib["lon"]),
                float(str(mark.findtext(f"{GPX}ele"))),
            )
            for mark in ElementTree.fromstring(text).iter(f"{GPX}wpt")
        }
    if ending == ".geojson":
        features = [each for each in json.loads(text)["features"] if each["geometry"]["type"] == "Point"]
        return {
            each["properties"]["name"]: (
                each["geometry"]["coordinates"][1],
                each["geometry"]["coordinates"][0],
                each["properties"]["altitude_msl_m"],
            )
            for each in features
        }
    rows = [row for row in csv.DictReader(io.StringIO(text, newline="")) if row["gate"]]
    return {
        row["gate"]: (
            float(row["latitude_deg"]),
            float(row["longitude_deg"]),
            float(row["altitude_msl_ft"]) * 0.3048,
        )
        for row in rows
    }


@pytest.mark.parametrize("ending", [".kml", ".gpx", ".geojson", ".csv"])
def test_gates_lie_where_the_plan_has_them_to_a_metre(ending: str) -> None:
    # an independent geodesic (Karney 2013) from the landing threshold: along the runway, then square to it
    plan, points = demo_plan(), gates_of(ending)
    runway = plan.exercise.runway
    bearing_deg = math.degrees(runway.bearing_true_rad)
    for gate in plan.gates:
        latitude, longitude, altitude_m = points[str(gate.name).capitalize()]
        found = Geodesic.WGS84.Inverse(
            runway.threshold_latitude_deg, runway.threshold_longitude_deg, latitude, longitude
        )
        off = math.radians(found["azi1"] - bearing_deg)
        along_m = found["s12"] * math.cos(off) - plan.exercise.touchdown_beyond_threshold_m
        assert along_m == pytest.approx(gate.x_m, abs=1.0)
        assert -found["s12"] * math.sin(off) == pytest.approx(gate.y_m, abs=1.0)
        assert altitude_m == pytest.approx(plan.exercise.runway.elevation_msl_m + gate.height_m, abs=0.2)


def path_of(ending: str) -> Sequence[tuple[float, ...]]:
    text = written(ending)
    if ending == ".kml":
        line = next(ElementTree.fromstring(text).iter(f"{KML}LineString"))
        found = [tuple(map(float, each.split(","))) for each in str(line.findtext(f"{KML}coordinates")).split()]
        return [(latitude, longitude, altitude) for longitude, latitude, altitude in found]
    if ending == ".gpx":
        points = ElementTree.fromstring(text).iter(f"{GPX}rtept")
        return [
            (float(each.attrib["lat"]), float(each.attrib["lon"]), float(str(each.findtext(f"{GPX}ele"))))
            for each in points
        ]
    line = json.loads(text)["features"][0]
    pairs = zip(line["geometry"]["coordinates"], line["properties"]["altitude_msl_m"], strict=True)
    return [(latitude, longitude, altitude) for (longitude, latitude), altitude in pairs]


@pytest.mark.parametrize("ending", [".kml", ".gpx", ".geojson"])
def test_the_path_goes_down_from_the_high_key_to_the_touchdown_point(ending: str) -> None:
    path, points = path_of(ending), gates_of(ending)
    altitudes = [altitude for _, _, altitude in path]
    assert len(path) > 60
    assert altitudes == sorted(altitudes, reverse=True)
    for end, name in ((path[0], "High key"), (path[-1], "Touchdown point")):
        apart = Geodesic.WGS84.Inverse(end[0], end[1], points[name][0], points[name][1])["s12"]
        assert apart < 2.0
        assert end[2] == pytest.approx(points[name][2], abs=0.5)


def test_kml_keeps_the_order_of_its_schema_and_has_absolute_altitudes() -> None:
    root = ElementTree.fromstring(written(".kml"))
    assert_ordered(root, KML_ORDER, KML)
    modes = [each.text for each in root.iter(f"{KML}altitudeMode")]
    assert modes == ["absolute"] * 6
    assert all(len(str(each.text)) == 8 for each in root.iter(f"{KML}color"))


def test_gpx_keeps_the_order_of_its_schema_and_claims_no_flight() -> None:
    root = ElementTree.fromstring(written(".gpx"))
    assert_ordered(root, GPX_ORDER, GPX)
    assert (root.attrib["version"], root.attrib["creator"]) == ("1.1", "Volplane")
    assert not list(root.iter(f"{GPX}trk")), "a plan is a route: nothing of it was flown"
    assert not list(root.iter(f"{GPX}time"))


def test_geojson_has_positions_of_two_numbers_and_no_reference_system_of_its_own() -> None:
    # RFC 7946: longitude first; a third number would be a height above the ellipsoid; "crs" is gone (section 4)
    document = json.loads(written(".geojson"))
    assert document["type"] == "FeatureCollection"
    assert "crs" not in document
    for feature in document["features"]:
        assert set(feature) == {"type", "geometry", "properties"}
        coordinates = feature["geometry"]["coordinates"]
        for position in coordinates if feature["geometry"]["type"] == "LineString" else [coordinates]:
            assert len(position) == 2
            assert position[0] == pytest.approx(-40.0, abs=0.1)


def test_the_table_has_one_row_a_time_and_no_line_that_is_not_a_row() -> None:
    rows = list(csv.reader(io.StringIO(written(".csv"), newline="")))
    assert {len(row) for row in rows} == {len(rows[0])}
    times = [float(row[0]) for row in rows[1:]]
    assert times == sorted(times)


@pytest.mark.parametrize("ending", ENDINGS)
def test_every_file_carries_the_cautions(ending: str) -> None:
    for line in CAUTION_LINES:
        assert line in written(ending)


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_same_plan_gives_the_same_file(ending: str) -> None:
    assert exported(demo_plan(), ending).decode() == written(ending)


@pytest.mark.parametrize("ending", [".kml", ".gpx", ".geojson", ".csv"])
def test_a_plan_nobody_should_fly_says_so_first(ending: str) -> None:
    for plan in (fixtures.plan(feasible=False), fixtures.plan(findings=[fixtures.stop_finding()])):
        assert "Not to be flown. " in exported(plan, ending).decode()
    assert "Not to be flown" not in written(ending)


@pytest.mark.parametrize("ending", [".svg", ".kml", ".gpx"])
def test_names_that_are_markup_stay_text(ending: str) -> None:
    plan = demo_plan()
    field = dataclasses.replace(plan.exercise.airfield, name='<b>&"\x07]]>')
    hostile = dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, airfield=field))
    root = ElementTree.fromstring(exported(hostile, ending).decode())
    assert any('<b>&"\ufffd]]>' in (each.text or "") for each in root.iter())

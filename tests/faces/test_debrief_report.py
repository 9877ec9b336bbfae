"""The report of a debrief on paper, and the flight as files for other programs."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import re
import xml.etree.ElementTree as ElementTree

import numpy as np
import pypdfium2
import pytest

from tests.faces import fixtures
from volplane.adapters.formats import geojson, gpx
from volplane.domain.debrief.results import Debrief, NotObservable, Outcome
from volplane.faces.documents.wording import CAUTION_LINES, METRIC
from volplane.faces.report.debrief_report import ReportPeople, debrief_report_pdf
from volplane.faces.report.exports.flown import exported_flown
from volplane.units import FOOT_M


def pages_of(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [document[number].get_textpage().get_text_range().replace("\r\n", " ") for number in range(len(document))]


@pytest.fixture(scope="module")
def debrief() -> Debrief:
    return fixtures.debrief(fixtures.attempt())


def test_the_report_is_two_pages_and_an_appendix_and_every_page_carries_the_cautions(debrief: Debrief) -> None:
    pages = pages_of(debrief_report_pdf(debrief, ReportPeople("Mara Quist", "Tobias Lund")))
    assert len(pages) == 3
    for page in pages:
        assert all(line in page for line in CAUTION_LINES)
        assert "Mara Quist with Tobias Lund" in page
    assert pages[2].startswith("Appendix")


def test_the_first_page_holds_the_headline_and_the_findings_with_what_to_do_next_time(debrief: Debrief) -> None:
    first = pages_of(debrief_report_pdf(debrief))[0]
    assert "dead engine" in first
    assert first.count("Next time:") == 3
    assert "Gate ladder" in first


def test_the_trainees_own_view_stands_over_the_headline(debrief: Debrief) -> None:
    people = ReportPeople(own_views=((("Where did it touch?", "On the point, maybe just short."),),))
    first = pages_of(debrief_report_pdf(debrief, people))[0]
    assert first.index("On the point, maybe just short.") < first.index("dead engine")


def test_the_same_debrief_gives_the_same_bytes(debrief: Debrief) -> None:
    assert debrief_report_pdf(debrief) == debrief_report_pdf(debrief)


def test_an_item_that_was_not_judged_says_why(debrief: Debrief) -> None:
    attempt = debrief.attempts[0]
    items = tuple(
        dataclasses.replace(item, value=None, is_met=None, reason="no-airspeed-recorded") for item in attempt.standard
    )
    bare = dataclasses.replace(attempt, standard=items, not_observable=(NotObservable("wind", "too-short"),))
    pages = pages_of(debrief_report_pdf(fixtures.debrief(bare)))
    assert "no airspeed recorded" in pages[1]
    assert "The glide in this recording is too short." in pages[2]


def test_what_a_recording_lacks_shrinks_the_report_and_breaks_nothing(debrief: Debrief) -> None:
    attempt = dataclasses.replace(
        debrief.attempts[0],
        outcome=Outcome.NOT_RECORDED_TO_THE_END,
        verdict=None,
        wind=(),
        glide=None,
        height_in_hand=None,
        budget=(),
        touchdown=None,
        standard=(),
        findings=(),
        gates=(),
        causes=None,
        stand_in=None,
        engine=None,
    )
    pages = pages_of(debrief_report_pdf(fixtures.debrief(attempt)))
    assert len(pages) == 3


def test_a_recording_without_an_exercise_says_so_on_a_page(debrief: Debrief) -> None:
    (page,) = pages_of(debrief_report_pdf(dataclasses.replace(debrief, attempts=())))
    assert "No exercise was found" in page


def test_several_exercises_are_one_report_each_named(debrief: Debrief) -> None:
    both = fixtures.debrief(fixtures.attempt(), fixtures.attempt(outcome=Outcome.WENT_AROUND))
    pages = pages_of(debrief_report_pdf(both))
    assert len(pages) == 6
    assert "exercise 2 of 2" in pages[3]


@pytest.mark.parametrize("paper", ["A5", "half-letter", "A4"])
def test_the_report_fits_every_paper_and_reads_metric(debrief: Debrief, paper: str) -> None:
    text = " ".join(pages_of(debrief_report_pdf(debrief, paper=paper, units=METRIC)))  # type: ignore[arg-type]
    assert not re.search(r"\d ft\b", text)


# ------------------------------------------------------------------------------------------------- files


def test_the_table_holds_a_row_a_second_that_agrees_with_the_flight(debrief: Debrief) -> None:
    attempt = debrief.attempts[0]
    rows = list(csv.DictReader(io.StringIO(exported_flown(debrief, ".csv").decode())))
    assert len(rows) == len(attempt.path.time_s)
    middle = len(rows) // 2
    assert float(rows[middle]["height_ft"]) == pytest.approx(attempt.path.height_m[middle] / FOOT_M, abs=0.1)
    assert float(rows[middle]["y_ft"]) == pytest.approx(attempt.path.y_m[middle] / FOOT_M, abs=0.1)
    assert rows[0]["note"] == " ".join(CAUTION_LINES)
    assert all("nan" not in value for row in rows for value in row.values())


def test_the_track_is_read_back_as_it_was_flown(debrief: Debrief) -> None:
    path = debrief.attempts[0].path
    track, problems = gpx.read("flown.gpx", exported_flown(debrief, ".gpx"))
    assert track is not None, problems
    ground_m = debrief.attempts[0].plan.exercise.ground_msl_m
    at_s = track.start_unix_s - debrief.recording.start_unix_s + track.time_s
    assert at_s[[0, -1]] == pytest.approx(path.time_s[[0, -1]], abs=0.06)
    assert track.altitude_m == pytest.approx(ground_m + np.interp(at_s, path.time_s, path.height_m), abs=0.2)


def test_the_line_of_the_other_format_is_read_back_too(debrief: Debrief) -> None:
    track, problems = geojson.read("flown.geojson", exported_flown(debrief, ".geojson"))
    assert track is not None, problems
    features = json.loads(exported_flown(debrief, ".geojson"))["features"]
    names = [feature["properties"]["name"] for feature in features]
    assert {"Low key, flown", "Low key, planned"} <= set(names)


def test_placemarks_are_well_formed_absolute_and_carry_the_cautions(debrief: Debrief) -> None:
    text = exported_flown(debrief, ".kml").decode()
    root = ElementTree.fromstring(text)
    space = "{http://www.opengis.net/kml/2.2}"
    assert {mode.text for mode in root.iter(f"{space}altitudeMode")} == {"absolute"}
    assert all(line in text for line in CAUTION_LINES)
    assert len(list(root.iter(f"{space}Point"))) == len(debrief.attempts[0].gates) + len(debrief.attempts[0].plan.gates)

"""The plan's sentences: each finding has one, with its figure, in the reader's units."""

from __future__ import annotations

import ast
import inspect
import re

import pytest

from volplane.domain.exercise import findings, weather_findings
from volplane.domain.finding import Finding, Severity
from volplane.faces.documents import plan_words as words
from volplane.faces.documents.wording import IMPERIAL, METRIC, NO_BREAK_SPACE
from volplane.units import (
    FOOT_PER_MINUTE_MPS,
    STATUTE_MILE_M,
    k_from_degc,
    m_from_ft,
    mps_from_kt,
    pa_from_inhg,
    rad_from_deg,
)

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE
NOON_UNIX_S = 1778767200.0  # 2026-05-14 14:00 UTC


def plain(finding: Finding) -> str:
    return words.finding_text(finding, IMPERIAL).replace(NO_BREAK_SPACE, " ")


def wind(code: str, severity: Severity, speed_kt: float, gust_kt: float, other: str) -> Finding:
    quantities = {
        "wind_mps": mps_from_kt(speed_kt),
        "gust_mps": mps_from_kt(gust_kt),
        "limit_mps": mps_from_kt(15.0),
        "other": other,
    }
    return Finding(code, severity, quantities)


def over(key: str, quantity: str, typed: float, reported: float) -> Finding:
    return Finding(
        "typed-over-report", NOTE, {"key": key, f"typed_{quantity}": typed, f"reported_{quantity}": reported}
    )


SAID = (
    (
        wind("crosswind", STOP, 14.8, 26.7, "33"),
        "Crosswind 15 kt gusting 27 kt; the airplane's figure is 15 kt. Take runway 33.",
    ),
    (wind("crosswind", CAUTION, 13.0, 13.0, ""), "Crosswind 13 kt; the airplane's figure is 15 kt."),
    (
        wind("tailwind", STOP, 2.4, 5.2, ""),
        "Tailwind 2 kt gusting 5 kt on the runway. Take another day or another field.",
    ),
    (
        Finding("gusts", CAUTION, {"spread_mps": mps_from_kt(12.0), "gust_mps": mps_from_kt(27.0)}),
        "Gusts of 27 kt, 12 kt over the mean wind: speed and sink will swing by that. Wait for steadier air.",
    ),
    (
        Finding("strong-wind-at-entry", CAUTION, {"wind_mps": mps_from_kt(34.0)}),
        "Wind 34 kt at the entry height. Small errors grow fast in it.",
    ),
    (
        Finding("wind-aloft-unknown", NOTE, {"wind_mps": mps_from_kt(10.0), "likely_mps": mps_from_kt(18.9)}),
        "Only the wind at the field is known: planned with 10 kt at every height, about 19 kt are likely at the entry. "
        "Give the wind aloft.",
    ),
    (
        Finding("cloud", CAUTION, {"base_m": m_from_ft(3200.0), "above_m": m_from_ft(400.0)}),
        "Cloud at 3,200 ft, 400 ft above the entry. Enter lower.",
    ),
    (
        Finding("cloud", STOP, {"base_m": m_from_ft(2800.0), "above_m": 0.0}),
        "Cloud at 2,800 ft, not above the entry. Enter lower or take another day.",
    ),
    (
        Finding("scattered-cloud", NOTE, {"base_m": m_from_ft(2500.0), "above_m": -m_from_ft(300.0)}),
        "Some cloud at 2,500 ft, 300 ft below the entry. The high key needs a clear sky.",
    ),
    (
        Finding("visibility", CAUTION, {"visibility_m": 4.0 * STATUTE_MILE_M}),
        "Visibility 3.48 NM: the field and other traffic are seen late.",
    ),
    (Finding("visibility", STOP, {"visibility_m": 2778.0}), "Visibility 1.50 NM. Take another day."),
    (
        Finding("night", STOP, {"elevation_rad": -0.2, "time_unix_s": NOON_UNIX_S}),
        "Night at 14:00 UTC. Failures are simulated by day only.",
    ),
    (
        Finding("night", CAUTION, {"elevation_rad": -0.05, "time_unix_s": NOON_UNIX_S}),
        "The sun is down at 14:00 UTC. Fly earlier: failures are simulated by day only.",
    ),
    (
        Finding("night-now", NOTE, {"time_unix_s": NOON_UNIX_S}),
        "No time given, and the sun is down now, 14:00 UTC. Give the time of the lesson.",
    ),
    (
        over("qnh", "pressure_pa", pa_from_inhg(30.10), pa_from_inhg(29.99)),
        "Altimeter setting: planned with 30.10 in as typed, the weather report says 29.99 in.",
    ),
    (
        over("wind direction", "angle_rad", rad_from_deg(238.0), rad_from_deg(0.0)),
        "Wind direction: planned with 238° as typed, the weather report says 360°.",
    ),
    (
        over("temperature", "temperature_k", k_from_degc(18.0), k_from_degc(-3.0)),
        "Temperature: planned with 18 °C as typed, the weather report says \u22123 °C.",
    ),
    (
        over("cloud base", "height_m", m_from_ft(3000.0), m_from_ft(4500.0)),
        "Cloud base: planned with 3,000 ft as typed, the weather report says 4,500 ft.",
    ),
    (
        over("visibility", "length_m", 9260.0, 10000.0),
        "Visibility: planned with 5.00 NM as typed, the weather report says 5.40 NM.",
    ),
    (
        over("gust", "speed_mps", mps_from_kt(20.0), mps_from_kt(27.0)),
        "Gust: planned with 20 kt as typed, the weather report says 27 kt.",
    ),
    (
        Finding("report-not-of-this-hour", NOTE, {"observed_unix_s": NOON_UNIX_S, "age_s": 10800.0}),
        "The weather report is from three hours before the lesson, 14:00 UTC.",
    ),
    (
        Finding("go-around-climb", STOP, {"climb_mps": 112.0 * FOOT_PER_MINUTE_MPS, "altitude_m": m_from_ft(8290.0)}),
        "Go-around climbs 110 fpm at a density altitude of 8,300 ft (estimate). Take a cooler hour or less weight.",
    ),
    (
        Finding("go-around-climb", STOP, {"climb_mps": -0.2, "altitude_m": m_from_ft(9000.0)}),
        "No climb is left for a go-around at a density altitude of 9,000 ft (estimate). Take a cooler hour or less "
        "weight.",
    ),
    (
        Finding("go-around-climb-unknown", NOTE, {"altitude_m": m_from_ft(1370.0)}),
        "The airplane file has no go-around climb: look it up for a density altitude of 1,400 ft.",
    ),
    (
        Finding("sea-level-habit", NOTE, {"dearer_fraction": 0.281, "extra_m": m_from_ft(480.0)}),
        "Turns cost 28 % more height than at sea level, 480 ft over the exercise. Keys from sea-level habit are too "
        "low here.",
    ),
    (
        Finding("near-stall", CAUTION, {"margin_fraction": 0.14, "bank_rad": rad_from_deg(42.0)}),
        "At 42° of bank the speed is 14 % above the stall. Turn wider.",
    ),
    (
        Finding("low-turn-to-final", CAUTION, {"height_m": m_from_ft(280.0), "least_m": m_from_ft(300.0)}),
        "The turn to final is complete at 280 ft; 300 ft is the least. Turn earlier.",
    ),
    (
        Finding("low-break-off", CAUTION, {"height_m": m_from_ft(400.0), "least_m": m_from_ft(500.0)}),
        "Break-off at 400 ft; 500 ft is the usual least.",
    ),
    (
        Finding("through-pattern-height", NOTE, {"altimeter_msl_m": m_from_ft(1922.0), "leg": "turn to base"}),
        "Passes the pattern height, altimeter 1,900 ft, in the turn to base: others fly there. Look out and say where.",
    ),
)


@pytest.mark.parametrize(("finding", "sentence"), SAID, ids=[f"{each.code} {each.severity}" for each, _ in SAID])
def test_a_finding_is_said_with_its_figure_and_what_to_do(finding: Finding, sentence: str) -> None:
    assert plain(finding) == sentence


@pytest.mark.parametrize("finding", [each for each, _ in SAID], ids=lambda each: f"{each.code} {each.severity}")
def test_a_metric_reader_gets_no_feet_and_knots(finding: Finding) -> None:
    said = words.finding_text(finding, METRIC).replace(NO_BREAK_SPACE, " ")
    assert not re.search(r"\b(ft|kt|NM|fpm)\b", said), said


def codes_raised() -> set[str]:
    """Every code with which the domain makes a finding of a plan."""
    calls = [
        node
        for module in (findings, weather_findings)
        for node in ast.walk(ast.parse(inspect.getsource(module)))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Finding"
    ]
    return {each.args[0].value for each in calls if isinstance(each.args[0], ast.Constant)}


def test_every_finding_of_a_plan_has_words() -> None:
    assert len(codes_raised()) > 30
    assert codes_raised() - set(words._FINDINGS) == set()


def test_no_sentence_addresses_shouts_or_praises() -> None:
    for finding, _ in SAID:
        said = plain(finding)
        assert not re.search(r"\byou\b|\byour\b|!|[A-Z]{4,}", said.replace("UTC", "")), said
        assert said.endswith(".")

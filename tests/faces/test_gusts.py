"""Gusts stand wherever a plan tells its wind."""

from __future__ import annotations

import dataclasses

from tests.faces import fixtures
from volplane.domain.exercise.plan import Plan
from volplane.faces.cli.plan_report import wind_line
from volplane.faces.documents.wording import IMPERIAL
from volplane.faces.report.plan_board import whiteboard
from volplane.units import mps_from_kt


def gusty(gust_kt: float) -> Plan:
    plan = fixtures.plan()
    weather = dataclasses.replace(plan.exercise.weather, gust_mps=mps_from_kt(gust_kt))
    return dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, weather=weather))


def test_the_terminal_tells_gusts_beside_the_wind_at_the_field() -> None:
    line = wind_line(gusty(16.0).exercise, IMPERIAL).replace("\u00a0", " ")
    assert "8 kt at the field, gusts 16 kt, 270° 18 kt at" in line
    assert "gusts" not in wind_line(fixtures.plan().exercise, IMPERIAL)


def test_the_whiteboard_tells_gusts_under_the_wind_at_the_field() -> None:
    assert "at the field, gusts 16" in whiteboard(gusty(16.0), units=IMPERIAL)
    assert "gusts" not in whiteboard(fixtures.plan(), units=IMPERIAL)

"""The findings one by one: what stands out, what it cost, what comes first."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from tests.faces import fixtures
from volplane.domain.debrief.findings import Flown, findings_of
from volplane.domain.debrief.results import Attempt, HeightInHand, Mending, Remedy
from volplane.domain.debrief.what_if import flying_on
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.pilot_limits import air_of
from volplane.domain.finding import Severity
from volplane.units import m_from_ft, rad_from_deg


def flown_like(attempt: Attempt, **changes: object) -> Flown:
    flown = Flown(
        attempt.plan,
        attempt.path,
        0.0,
        attempt.gates,
        attempt.height_in_hand,
        attempt.budget,
        attempt.touchdown,
        attempt.go_around,
    )
    return dataclasses.replace(flown, **changes)  # type: ignore[arg-type]


def moved(attempt: Attempt, by_m: dict[GateName, float]) -> tuple:  # type: ignore[type-arg]
    """Gates flown so much off the plan, windows of 60 m either way."""
    return tuple(
        dataclasses.replace(
            gate,
            height_m=500.0 + by_m.get(gate.name, 0.0),
            height_sd_m=2.0,
            planned_m=500.0,
            lowest_m=440.0,
            highest_m=560.0,
        )
        for gate in attempt.gates
    )


def test_one_cause_is_told_at_one_gate_and_costs_what_was_lost_since_the_gate_before() -> None:
    attempt = fixtures.attempt()
    low = {GateName.HIGH_KEY: -20.0, GateName.LOW_KEY: -21.0, GateName.BASE_KEY: -22.0, GateName.FINAL: -22.0}
    found = [f for f in findings_of(flown_like(attempt, gates=moved(attempt, low))) if f.code == "low-at-gate"]
    assert [(f.quantities["gate"], f.severity, f.cost_m) for f in found] == [
        ("high key", Severity.NOTE, pytest.approx(20.0))
    ]
    lower = {GateName.LOW_KEY: -30.0, GateName.BASE_KEY: -75.0, GateName.FINAL: -80.0}
    found = [f for f in findings_of(flown_like(attempt, gates=moved(attempt, lower))) if f.code == "low-at-gate"]
    assert [(f.quantities["gate"], f.severity, f.cost_m) for f in found] == [
        ("base key", Severity.CAUTION, pytest.approx(45.0)),
        ("low key", Severity.NOTE, pytest.approx(30.0)),
    ]
    assert found[0].number("outside_m") == pytest.approx(15.0)
    high = findings_of(flown_like(attempt, gates=moved(attempt, {GateName.LOW_KEY: 30.0})))
    assert "high-at-gate" in {f.code for f in high}


def late_or_early(attempt: Attempt) -> Flown:
    low = attempt.gate(GateName.LOW_KEY)
    assert low is not None
    flying = flying_on(attempt.plan, air_of(attempt.plan.exercise), low.time_s)
    return flown_like(attempt, flying=flying)


def test_a_late_turn_to_base_costs_what_waiting_took_by_the_integrator() -> None:
    attempt = fixtures.attempt()
    flown = late_or_early(attempt)
    late = next(f for f in findings_of(flown) if f.code == "turn-to-base-late")
    # the fixture flies 3,630 ft where 3,200 ft were planned
    assert late.number("farther_m") == pytest.approx(m_from_ft(430.0), abs=35.0)
    assert late.cost_m == late.number("cost_m")
    # twice the way: out on the downwind leg and back again on the final, at a glide of some 9 to 1 and a tailwind
    assert late.number("cost_m") == pytest.approx(2.0 * late.number("farther_m") / 9.0, rel=0.35)


def test_who_is_too_high_is_not_told_to_turn_sooner() -> None:
    attempt = fixtures.attempt()
    high = Mending(
        attempt.gates[1].time_s, True, 60.0, GateName.LOW_KEY, (Remedy("turn to base later", 9.0, 60.0, True),)
    )
    flown = dataclasses.replace(late_or_early(attempt), mending=high)
    codes = {finding.code for finding in findings_of(flown)}
    assert "turn-to-base-late" not in codes
    assert "too-high-since" in codes


def test_the_gate_from_which_on_it_was_off_is_told_once_and_carries_what_mends_it() -> None:
    attempt = fixtures.attempt()
    gates = moved(attempt, {GateName.LOW_KEY: 70.0})
    remedies = (Remedy("turn to base later", 30.0, 55.0, True, change_s=4.0), Remedy("faster", 20.0, 40.0, False))
    high = Mending(gates[1].time_s, True, 60.0, GateName.LOW_KEY, remedies)
    found = findings_of(flown_like(attempt, gates=gates, mending=high))
    assert [f.code for f in found if f.quantities.get("gate") == "low key"] == ["too-high-since"]
    since = next(f for f in found if f.code == "too-high-since")
    assert since.number("at_gate_m") == pytest.approx(70.0)
    assert (since.quantities["remedy_0"], since.number("worth_0_m"), since.number("change_0_s")) == (
        "turn to base later",
        55.0,
        4.0,
    )
    assert since.cost_m == pytest.approx(70.0)
    assert since.time_s == gates[1].time_s


def test_the_dearest_comes_first_whatever_its_severity() -> None:
    attempt = fixtures.attempt()
    gates = moved(attempt, {GateName.HIGH_KEY: -55.0, GateName.LOW_KEY: -70.0})
    found = [f for f in findings_of(flown_like(attempt, gates=gates)) if f.code == "low-at-gate"]
    assert [f.quantities["gate"] for f in found] == ["high key", "low key"]
    assert [f.severity for f in found] == [Severity.NOTE, Severity.CAUTION]


def test_a_bank_over_its_limit_is_a_caution_and_comes_first() -> None:
    attempt = fixtures.attempt()
    bank = attempt.path.bank_rad.copy()
    low = attempt.gate(GateName.LOW_KEY)
    assert low is not None
    bank[np.argmin(np.abs(attempt.path.time_s - low.time_s - 30.0))] = rad_from_deg(41.0)
    path, gates = dataclasses.replace(attempt.path, bank_rad=bank), moved(attempt, {GateName.LOW_KEY: -30.0})
    steep = findings_of(flown_like(attempt, path=path, gates=gates))[0]
    assert (steep.code, steep.severity) == ("steep-bank", Severity.CAUTION)
    assert steep.number("limit_rad") == pytest.approx(rad_from_deg(30.0))
    blurred = findings_of(
        flown_like(attempt, path=dataclasses.replace(attempt.path, bank_rad=bank), bank_sd_rad=rad_from_deg(6.0))
    )
    assert "steep-bank" not in {finding.code for finding in blurred}


def test_too_high_to_be_lost_is_a_caution() -> None:
    attempt = fixtures.attempt()
    series = attempt.height_in_hand
    assert series is not None
    high: HeightInHand = dataclasses.replace(series, room_above_m=np.full(series.time_s.shape, -90.0))
    found = next(f for f in findings_of(flown_like(attempt, series=high)) if f.code == "too-high-to-lose")
    assert found.number("above_m") == pytest.approx(90.0)


def test_a_touchdown_is_told_as_short_or_long_only_where_it_is_known_well_enough() -> None:
    attempt = fixtures.attempt()
    assert attempt.touchdown is not None
    for x_m, sd_m, code in (
        (-60.0, 10.0, "short-touchdown"),
        (-60.0, 80.0, None),
        (30.0, 10.0, None),
        (120.0, 10.0, "long-touchdown"),
    ):
        touchdown = dataclasses.replace(attempt.touchdown, x_m=x_m, x_sd_m=sd_m)
        codes = {finding.code for finding in findings_of(flown_like(attempt, touchdown=touchdown))}
        assert codes & {"short-touchdown", "long-touchdown"} == ({code} if code else set())

"""The records themselves: a check that could not fail would be worth nothing."""

from __future__ import annotations

import math

import pytest

from tests.checks.records import Check, all_checks, assert_check, check, markdown_table

PLAIN = Check("Z1", "a quantity", 10.0, "ft", 0.5, "printed to one foot", "nobody", "M")


def test_a_result_outside_the_tolerance_fails_and_the_message_names_the_source() -> None:
    with pytest.raises(AssertionError, match=r"Z1 a quantity: got 10\.6 ft.*source: nobody"):
        assert_check(PLAIN, 10.6)


def test_a_result_inside_the_tolerance_passes() -> None:
    assert_check(PLAIN, 10.4)


def test_a_result_that_is_not_a_number_fails() -> None:
    with pytest.raises(AssertionError, match="got nan"):
        assert_check(PLAIN, math.nan)


def test_words_and_truth_values_are_met_exactly() -> None:
    verdict = Check("Z2", "verdict", False, "", 0.0, "yes or no", "nobody", "M")
    assert verdict.meets(False)
    assert not verdict.meets(True)


def _filed(id: str) -> Check:
    return check(id, "something else", 1.0, "ft", 0.1, "because", "nobody", "M")


def test_two_different_checks_may_not_share_an_id() -> None:
    first = all_checks()[0]
    with pytest.raises(ValueError, match=f"two different checks are called {first.id}"):
        _filed(first.id)


def test_a_check_hidden_inside_a_test_is_refused() -> None:
    with pytest.raises(ValueError, match="Z9 is made inside a test"):
        check("Z9", "something else", 1.0, "ft", 0.1, "because", "nobody", "M")


def test_a_check_without_a_source_is_refused() -> None:
    with pytest.raises(ValueError, match="names its quantity, its source"):
        Check("Z3", "a quantity", 1.0, "ft", 0.1, "because", "", "M")


def test_the_table_shows_every_check_once() -> None:
    records = all_checks()
    table = markdown_table(records).splitlines()
    assert len(table) == len(records) + 2
    assert len({record.id for record in records}) == len(records)

"""How values read on the page and in a file, and what of an address changes the exercise."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.faces.web_fixture import FIELDS
from volplane.faces.documents.wording import IMPERIAL, METRIC
from volplane.faces.web.fields import changes_from, label, shown, typed
from volplane.faces.web.held import HeldResults
from volplane.faces.web.markup import Markup, el, join


@pytest.mark.parametrize(
    ("in_a_file", "on_the_page"),
    [
        ("240 deg 8 kt", "240° 8 kt"),
        ("20 deg", "20°"),
        ("18 degC", "18 °C"),
        ("-5 degC", "−5 °C"),
        ("3,350 lb", "3,350 lb"),
    ],
)
def test_values_read_naturally_and_come_back_as_typed(in_a_file: str, on_the_page: str) -> None:
    assert shown(in_a_file) == on_the_page
    assert typed(on_the_page) == in_a_file


@given(st.integers(-60, 60))
def test_temperatures_come_back_whatever_their_sign(degrees: int) -> None:
    assert typed(shown(f"{degrees} degC")) == f"{degrees} degC"


@given(st.text(max_size=80))
def test_any_text_can_be_typed_and_a_second_reading_changes_nothing(text: str) -> None:
    assert typed(typed(text)) == typed(text)


def test_only_known_and_changed_values_are_changes() -> None:
    query = {"wind_0": "250° 9 kt", "weight": "3,350 lb", "own": "skipped", "high_key_turn_bank": " 20° "}
    assert changes_from(query, FIELDS) == {"wind_0": "250 deg 9 kt"}


def test_wind_levels_are_named_by_height() -> None:
    assert [label(field, IMPERIAL) for field in FIELDS[:2]] == ["Wind at the field", "Wind at 3,000\u00a0ft"]
    assert label(FIELDS[1], METRIC) == "Wind at 914\u00a0m"


def test_text_is_escaped_and_markup_is_not() -> None:
    assert el("p", "a < b & c", title='"quoted"') == '<p title="&quot;quoted&quot;">a &lt; b &amp; c</p>'
    assert join(["<", Markup("<b>"), None, [">"]]) == "&lt;<b>&gt;"


def test_attributes_are_left_out_when_false_and_bare_when_true() -> None:
    assert el("input", type="file", hidden=True, required=False, value=None) == '<input type="file" hidden>'


def test_the_debrief_looked_at_last_is_held_longest() -> None:
    held: HeldResults[str] = HeldResults(capacity=2)
    value = "a result"
    for name in "ab":
        held.keep(name, value)
    assert held.get("a") is value
    held.keep("c", value)
    assert held.get("b") is None
    assert held.get("a") is value


def test_a_held_debrief_is_named_by_recording_and_exercise() -> None:
    name = HeldResults.name_of
    assert name(b"x", {}) == name(b"x", {})
    assert len({name(b"x", {}), name(b"y", {}), name(b"x", {"weight": "3,000 lb"})}) == 3

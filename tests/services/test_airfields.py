"""Finding an airfield by code, name, place, or parts of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pytest

from volplane.domain.geometry.runway_ends import Doubt, PublishedAirfield, PublishedEnd, PublishedRunway
from volplane.errors import Refusal
from volplane.services.airfields import (
    AirfieldUnknown,
    SeveralAirfields,
    TableEntry,
    TableOrigin,
    find,
    plain,
    search,
    worked_out,
)

PLACED = PublishedRunway(PublishedEnd("07", 44.0, -40.0), PublishedEnd("25", 44.006, -39.986))
UNPLACED = PublishedRunway(PublishedEnd("07"), PublishedEnd("25"))


def field(
    code: str, name: str, place: str = "", others: tuple[str, ...] = (), *, placed: bool = True
) -> PublishedAirfield:
    """An invented airfield with one runway."""
    return PublishedAirfield(code, others, name, place, "ZZ", 44.0, -40.0, 286.0, (PLACED if placed else UNPLACED,))


FIELDS = (
    field("ZZQM", "Quill Meadow", "Middle Ocean", ("QMX",)),
    field("ZZDM", "Dunlin Meadow", "Île aux Bécassines"),
    field("ZZAA", "Upper Meadow", placed=False),
    field("QMX", "Somewhere Else"),
    field("ZZ-1", "Meadow"),
    field("ZZSN", "Snipe Strip", "Quillham"),
    field("ZZTR", "Tranquillity"),
)


ORIGIN = TableOrigin("2026-02-28", "invented", "none", "", "")


@dataclass(frozen=True)
class HeldTable:
    """A table held in memory."""

    fields: Sequence[PublishedAirfield] = FIELDS
    origin: TableOrigin = ORIGIN

    def entries(self) -> Iterator[TableEntry]:
        return (TableEntry(each.code, each.other_codes, each.name, each.place) for each in self.fields)

    def airfield(self, code: str) -> PublishedAirfield:
        return next(each for each in self.fields if each.code == code)

    def airfields(self) -> Iterator[PublishedAirfield]:
        return iter(self.fields)


class NoNeedle:
    """A day without a magnetic model."""

    def variation_east_rad(
        self, latitude_deg: float, longitude_deg: float, altitude_msl_m: float, time_unix_s: float
    ) -> float:
        raise Refusal("no model")


@pytest.mark.parametrize("text", ["ZZQM", "zzqm", " zzqm ", "quill meadow", "QUILL  meadow"])
def test_the_very_code_or_name_means_one_airfield_however_it_is_typed(text: str) -> None:
    found = search(HeldTable(), text)
    assert (found.codes[0], found.is_one) == ("ZZQM", True)


def test_a_code_of_its_own_goes_before_the_same_code_of_another() -> None:
    found = search(HeldTable(), "qmx")
    assert found.codes[:2] == ("QMX", "ZZQM")
    assert found.is_one


def test_the_very_name_then_beginnings_then_parts_and_of_equals_those_with_positions() -> None:
    found = search(HeldTable(), "meadow")
    assert found.codes == ("ZZ-1", "ZZDM", "ZZQM", "ZZAA")
    assert search(HeldTable(), "quill").codes == ("ZZQM", "ZZSN", "ZZTR")
    assert not search(HeldTable(), "quill").is_one


@pytest.mark.parametrize("text", ["becassines", "île aux", "dun mead", "bécassines dunlin", "BÉCASS"])
def test_every_word_may_stand_anywhere_and_accents_do_not_matter(text: str) -> None:
    found = search(HeldTable(), text)
    assert (found.codes, found.is_one) == (("ZZDM",), True)


@pytest.mark.parametrize("text", ["", "  ", "--", "quill dunlin", "zzzz", "\x1b[31m"])
def test_what_nothing_answers_to_is_refused_with_the_day_of_the_table(text: str) -> None:
    with pytest.raises(AirfieldUnknown, match="2026-02-28"):
        search(HeldTable(), text)


def test_only_so_many_are_worked_out_and_the_one_is_asked_for_by_name() -> None:
    found = find(HeldTable(), "quill", 2, NoNeedle(), 0.0)
    assert [each.published.code for each in found.airfields] == ["ZZQM", "ZZSN"]
    assert len(found.search.codes) == 3
    with pytest.raises(SeveralAirfields, match="3 airfields"):
        _ = found.the_one
    assert find(HeldTable(), "quill meadow", 1, NoNeedle(), 0.0).the_one.published.code == "ZZQM"


def test_two_fields_of_the_very_same_name_are_two() -> None:
    table = HeldTable((field("ZZB", "Meadow"), field("ZZA", "Meadow")))
    assert search(table, "meadow").codes == ("ZZA", "ZZB")
    assert not search(table, "meadow").is_one


def test_without_a_magnetic_model_the_names_are_compared_with_the_true_bearing() -> None:
    found = worked_out(FIELDS[0], NoNeedle(), 0.0)
    assert [each.doubts for each in found.runways] == [(), ()]
    assert math.degrees(found.runways[0].bearing_true_rad or 0.0) == pytest.approx(59.3, abs=0.5)
    unplaced = worked_out(FIELDS[2], NoNeedle(), 0.0)
    assert (unplaced.usable_count, unplaced.runways[0].doubts) == (0, (Doubt.NO_POSITIONS,))


def test_plain_text_has_small_letters_and_digits_only() -> None:
    assert plain("Saint-Éloi / Süd (ZZ)") == "saint eloi sud zz"
    assert plain("A.B-C'd 07L") == "a b c d 07l"

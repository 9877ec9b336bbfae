"""A standard of the instructor's own: what is read, and what is wrong with it said so."""

from __future__ import annotations

import pathlib

import pytest

from volplane import bootstrap
from volplane.adapters.toml.standard import read_standard
from volplane.domain.debrief.standards import FULL_TURNS, GREATEST_BANK, SLOWEST, TOUCHDOWN, StandardUnknown
from volplane.errors import FilesRefused
from volplane.units import m_from_ft, mps_from_kt, rad_from_deg

CLUB = """
name = "club check"
source = "our club"
edition = "2026"
[[item]]
name = "touchdown beyond the point"
low = "-50 ft"
high = "300 ft"
[[item]]
name = "greatest bank"
high = "40 deg"
[[item]]
name = "slowest against best glide"
low = "-5 kt"
[[item]]
name = "full turns"
low = "2"
"""


def test_every_kind_of_limit_is_read_in_its_unit() -> None:
    standard, problems = read_standard(CLUB, "club.toml")
    assert problems == ()
    assert standard is not None
    assert (standard.name, standard.source, standard.edition) == ("club check", "our club", "2026")
    assert [(rule.item, rule.limit_low, rule.limit_high) for rule in standard.rules] == [
        (TOUCHDOWN, pytest.approx(m_from_ft(-50.0)), pytest.approx(m_from_ft(300.0))),
        (GREATEST_BANK, None, pytest.approx(rad_from_deg(40.0))),
        (SLOWEST, pytest.approx(mps_from_kt(-5.0)), None),
        (FULL_TURNS, 2.0, None),
    ]


@pytest.mark.parametrize(
    "typed, wrong, code",
    [
        ('high = "300 ft"', 'high = "300 kt"', "quantity-unit"),
        ('low = "2"', 'low = "two"', "not-a-number"),
        ('name = "greatest bank"', 'name = "greatest bang"', "not-a-choice"),
        ('high = "40 deg"', "", "no-limit"),
        ('low = "-50 ft"', 'low = "400 ft"', "out-of-range"),
        ('source = "our club"', "", "key-missing"),
    ],
)
def test_what_is_wrong_is_said_at_its_place(typed: str, wrong: str, code: str) -> None:
    standard, problems = read_standard(CLUB.replace(typed, wrong), "club.toml")
    assert standard is None
    assert code in {problem.code for problem in problems}, [problem.sentence() for problem in problems]
    assert all(problem.file == "club.toml" for problem in problems)


def test_a_name_or_a_file_is_asked_for_alike(tmp_path: pathlib.Path) -> None:
    path = tmp_path / "club.toml"
    path.write_text(CLUB, encoding="utf-8")
    assert bootstrap.standard_asked_for(str(path)).name == "club check"
    assert bootstrap.standard_asked_for("steep spiral").name == "steep spiral"
    with pytest.raises(StandardUnknown, match="club"):
        bootstrap.standard_asked_for("club")
    path.write_text("name = 3", encoding="utf-8")
    with pytest.raises(FilesRefused, match=r"club\.toml"):
        bootstrap.standard_asked_for(str(path))

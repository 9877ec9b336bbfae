"""docs/nomenclature.md names every number that the domain's values hold."""

from __future__ import annotations

import re
from collections.abc import Iterable

from tests.architecture.source import REPOSITORY, Quantity, assert_nothing, quantities, source_of, sources
from tests.architecture.test_names_and_units import TOLD_ELSEWHERE, WITHOUT_UNIT, carries_its_unit

UNITS = dict(
    pair.split(":")
    for pair in "m:m s:s mps:m/s mps2:m/s² rad:rad radps:rad/s deg:deg k:K pa:Pa kg:kg kgpm3:kg/m³ m3:m³ w:W "
    "m2ps2:m²/s² m2ps:m²/s ratio:1 factor:1 fraction:1".split()
)
PAGE = REPOSITORY / "docs" / "nomenclature.md"
COLUMNS = ("name", "symbol", "unit", "sign", "datum or meaning")


def rows() -> dict[str, tuple[str, ...]]:
    """The page's rows by name, without the table of endings."""
    found: dict[str, tuple[str, ...]] = {}
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        cells = tuple(cell.strip() for cell in line.strip().strip("|").split("|"))
        if len(cells) == len(COLUMNS) and (name := re.fullmatch(r"`([a-z][a-z0-9_]*)`", cells[0])):
            assert name.group(1) not in found, f"{name.group(1)} stands twice"
            found[name.group(1)] = cells
    return found


def is_named(name: str, known: Iterable[str]) -> bool:
    """Whether a row explains a name: the name itself, or its end after words that say which one."""
    plain = re.sub(r"_sd(?=_|$)", "", name)
    return any(each == known_name or each.endswith(f"_{known_name}") for each in (name, plain) for known_name in known)


def values_of_the_domain() -> list[Quantity]:
    """Every number that a value of the domain holds or answers."""
    return [
        quantity
        for source in sources("domain")
        if source.path not in WITHOUT_UNIT and not source.is_kernel
        for quantity in quantities(source)
        if quantity.kind in ("field", "property")
        and not quantity.in_unit_of_data
        and carries_its_unit(quantity)
        and quantity.name.split("_")[-1] not in TOLD_ELSEWHERE
    ]


def test_every_number_of_the_domain_stands_in_the_nomenclature() -> None:
    known = rows()
    missing = [each for each in values_of_the_domain() if not is_named(each.name, known)]
    assert_nothing("\n".join(f"{each.place}: `{each.name}` of {each.owner} has no row" for each in missing))


def test_every_row_says_unit_and_sign_in_the_unit_of_its_name() -> None:
    for name, (_, _, unit, sign, _) in rows().items():
        expected = "K/m" if name.endswith("_k_per_m") else UNITS[name.split("_")[-1]]
        assert unit == expected, f"{name}: {unit} is not {expected}"
        assert sign or name in ("visibility_m", "covariance_m2ps2"), f"{name}: no sign"


def test_no_row_stands_for_nothing_but_a_unit() -> None:
    assert [name for name in rows() if "_" not in name and name != "ratio"] == []


def test_a_number_without_a_row_is_found() -> None:
    (offender,) = quantities(source_of("class Gate:\n    oil_warmth_k: float"))
    assert not is_named(offender.name, rows())
    assert is_named("entry_height_m", ["height_m"])
    assert is_named("height_sd_m", ["height_m"])
    assert not is_named("weight_m", ["height_m"])

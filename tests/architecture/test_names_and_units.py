"""Every public number carries its unit in its name, and trade units stay out of the inside."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.architecture.source import Quantity, Source, assert_nothing, offences, quantities, source_of

# SI and radians, one unit by another: what a name ends in inside
SI = re.compile(r"(?:BASE)[2-6]?(?:p(?:BASE)[2-6]?)*".replace("BASE", "m|s|rad|kg|n|pa|k|w|j|hz"))
PURE = frozenset({"ratio", "factor", "fraction"})
# arrays that pack columns of several units, told in the docstring; SI values of a kind that is told beside them
TOLD_ELSEWHERE = frozenset({"row", "rows", "table", "si"})
# what adapters and faces speak on top of that
TRADE = frozenset(
    "ft nm kt kias kcas ktas fpm lb inhg hpa degc degf deg rpm hp px pt em mm cm in ms percent bytes min h".split()
)
TRADE_STOREYS = frozenset({"adapters", "faces", "units.py"})
# what a function that works on numbers of any unit may call its arguments
ANY_UNIT = frozenset({"value", "channel", "least", "greatest"})
# words that are their own unit
OWN_UNIT = frozenset({"year"})
# latitude and longitude are the only degrees inside
DEGREES = re.compile(r"(?:.*_)?(?:latitude|longitude)(?:_sd)?_deg")
# modules whose numbers have no unit of their own, and why
WITHOUT_UNIT = {
    "domain/atmosphere/scalars.py": "gives back numbers and arrays of any unit as they were given",
    "services/robust.py": "statistics of values of any unit, given back in theirs",
    "domain/geometry/shortest_paths_kernel.py": "lengths in turn radii, speeds in airspeeds",
}


def carries_its_unit(quantity: Quantity) -> bool:
    """Whether a name ends in its unit: `sink_mps`, `bank_rad`, `ratio`, `ratio_sd`, `runway_latitude_deg`."""
    words = quantity.name.removesuffix("_sd").split("_")
    last = words[-1]
    if quantity.kind == "parameter" and quantity.name in ANY_UNIT:
        return True
    if last in PURE | TOLD_ELSEWHERE | OWN_UNIT:
        return True
    if quantity.path.split("/")[0] in TRADE_STOREYS and len(words) > 1 and last in TRADE:
        return True
    return (len(words) > 1 and SI.fullmatch(last) is not None) or DEGREES.fullmatch(quantity.name) is not None


def unitless(source: Source) -> Iterator[str]:
    """Public numbers whose name does not end in a unit."""
    if source.path in WITHOUT_UNIT:
        return
    for quantity in quantities(source):
        if not quantity.in_unit_of_data and not carries_its_unit(quantity):
            yield f"{quantity.place}: {quantity.kind} {quantity.name} of {quantity.owner} does not end in its unit"


def test_every_public_number_of_the_inside_ends_in_its_unit() -> None:
    assert_nothing("\n".join(filter(None, (offences(unitless, storey) for storey in ("domain", "services")))))


def test_every_public_number_of_the_outside_ends_in_its_unit() -> None:
    # drawings measure in pixels of their own, and the wording of documents takes any unit
    outside = ("adapters", "faces/cli", "faces/web")
    assert_nothing("\n".join(filter(None, (offences(unitless, storey) for storey in outside))))


@pytest.mark.parametrize(
    "offender",
    [
        "def sink(speed: float) -> float: ...",
        "def sink(speed_kt: float) -> float: ...",
        "def bank(bank_deg: float) -> float: ...",
        "def heights(height: NDArray[np.float64]) -> None: ...",
        "Floating = NDArray[np.float64]\ndef heights(height: Floating | None) -> None: ...",
        "def legs(times: Sequence[float]) -> None: ...",
        "class Gate:\n    height: float | None = None",
        "class Item:\n    value: float",
        "class Gate:\n    def __init__(self, height: float) -> None: ...",
        "class Polar:\n    @property\n    def best_speed(self) -> float: ...",
    ],
)
def test_a_number_without_its_unit_is_caught(offender: str) -> None:
    assert list(unitless(source_of(offender)))


@pytest.mark.parametrize(
    "sound",
    [
        "def sink(speed_mps: float, load_factor: float, ratio: float, ratio_sd: float) -> float: ...",
        "def place(latitude_deg: float, threshold_longitude_deg: float) -> None: ...",
        "class Lever:\n    now: float\n    needed: float\n    quantity: str",
        "def count(runs: int, levels: Sequence[tuple[float, float]]) -> None: ...",
        "def _inner(speed: float) -> float: ...",
        "def on_grid(channel: FloatArray, time_s: FloatArray) -> None: ...",
        "class Finding:\n    quantities: Mapping[str, float | str]",
    ],
)
def test_a_number_with_its_unit_is_left_alone(sound: str) -> None:
    assert not list(unitless(source_of(sound)))


def test_trade_units_are_for_adapters_and_faces() -> None:
    text = "def card(height_ft: float, speed_kt: float) -> None: ..."
    assert not list(unitless(source_of(text, "faces/report/card.py")))
    assert list(unitless(source_of(text, "services/plan.py")))


# a foot, a nautical mile, a knot, a pound, an inch of mercury, a foot per minute, a horsepower, and their inverses
TRADE_FACTORS = (0.3048, 1852.0, 0.514444, 0.45359237, 3386.389, 0.00508, 745.7, 1.852, 0.09290304, 1.687810)
# these close to a factor are the factor, however it was rounded
CLOSE = 1e-4


def hidden_factors(source: Source) -> Iterator[str]:
    """Numbers that convert trade units, outside the one module that may hold them."""
    if source.path == "units.py":
        return
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool):
            for factor in TRADE_FACTORS:
                if node.value and min(abs(node.value / factor - 1.0), abs(node.value * factor - 1.0)) < CLOSE:
                    yield f"{source.at(node)}: {node.value} is a trade unit; take it from volplane.units"


def test_the_factors_of_trade_units_stand_in_one_module_only() -> None:
    assert_nothing(offences(hidden_factors))


@pytest.mark.parametrize(
    "number", ["0.3048", "3.28084", "1852", "0.51444", "1.94384", "2.20462", "33.8639e2", "196.85"]
)
def test_a_hidden_factor_is_caught(number: str) -> None:
    assert list(hidden_factors(source_of(f"height = 100.0 * {number}")))

"""Check values from outside the project, one record each: the tests and the page "Validation" are the same data.

    GLIDE_ANGLE = check(
        "C9a", "glide angle of 10 to 1", 5.711, "deg", 0.001, "printed to three decimals",
        "arithmetic: atan(1/10)", "C",
    )

    def test_a_ratio_of_ten_is_an_angle_of_5_7_degrees() -> None:
        assert_check(GLIDE_ANGLE, math.degrees(math.atan(0.1)))

`check` files the record in the registry. `python -m tests.checks.records` prints every record as a Markdown table;
`all_checks` gives them to a script.
"""

from __future__ import annotations

import importlib
import math
import pathlib
import re
import sys
from dataclasses import dataclass

EVIDENCE = {
    "P": "read in a published page, standard, handbook or another library's published test",
    "PV": "published, and recomputed independently with agreement",
    "M": "from memory",
    "C": "computed independently of this project from the stated formula",
    "CP": "common practice, no source",
}


@dataclass(frozen=True, slots=True)
class Check:
    """One value from outside the project.

    `expected` is a number in `unit`, or a word or truth value that must be met exactly. `tolerance` is absolute, in
    `unit`; `tolerance_reason` says which physical or printing limit it stands for. `evidence` is a key of `EVIDENCE`.
    """

    id: str
    quantity: str
    expected: float | bool | str
    unit: str
    tolerance: float
    tolerance_reason: str
    source: str
    evidence: str

    def __post_init__(self) -> None:
        if not re.fullmatch(r"[A-Z][0-9]+[a-z0-9-]*", self.id):
            raise ValueError(f"check id {self.id!r} is not a table letter and a number")
        if self.evidence not in EVIDENCE:
            raise ValueError(f"{self.id}: evidence {self.evidence!r} is not one of {', '.join(EVIDENCE)}")
        if not (self.source and self.quantity and self.tolerance_reason):
            raise ValueError(f"{self.id}: a check names its quantity, its source and the reason of its tolerance")
        if not self.tolerance >= 0.0:
            raise ValueError(f"{self.id}: tolerance {self.tolerance} is negative")

    def meets(self, got: float | bool | str) -> bool:
        """Whether a result agrees with the record."""
        if isinstance(self.expected, (str, bool)):
            return bool(got == self.expected)
        if math.isinf(self.expected):
            return float(got) == self.expected
        return abs(float(got) - self.expected) <= self.tolerance


_REGISTRY: dict[str, Check] = {}


def check(
    id: str,
    quantity: str,
    expected: float | bool | str,
    unit: str,
    tolerance: float,
    tolerance_reason: str,
    source: str,
    evidence: str,
) -> Check:
    """A record, filed in the registry; two different records under one id are a mistake.

    Records stand at the top level of their module, so that importing it is enough to list them.
    """
    if sys._getframe(1).f_code.co_name.startswith("test_"):
        raise ValueError(f"check {id} is made inside a test, where the table of all checks cannot see it")
    record = Check(id, quantity, expected, unit, tolerance, tolerance_reason, source, evidence)
    if _REGISTRY.setdefault(id, record) != record:
        raise ValueError(f"two different checks are called {id}")
    return record


def assert_check(record: Check, got: float | bool | str) -> None:
    """Fail with the whole record in the message unless the result agrees with it."""
    assert record.meets(got), (
        f"{record.id} {record.quantity}: got {got} {record.unit}, expected {record.expected} within "
        f"{record.tolerance} ({record.tolerance_reason}); source: {record.source} [{record.evidence}]"
    )


def all_checks() -> list[Check]:
    """Every record of every test module of this folder, in the order of their ids."""
    for path in sorted(pathlib.Path(__file__).parent.glob("test_*.py")):
        importlib.import_module(f"{__package__}.{path.stem}")
    return sorted(_registry().values(), key=_by_table_and_number)


def markdown_table(records: list[Check]) -> str:
    """The records as a Markdown table."""
    lines = [
        "| # | quantity | expected | tolerance, because | source | evidence |",
        "|---|---|---|---|---|---|",
    ]
    for each in records:
        because = f"{each.tolerance:g} {each.unit}".strip() + f", {each.tolerance_reason}"
        cells = (each.id, each.quantity, f"{each.expected} {each.unit}".strip(), because, each.source, each.evidence)
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines)


def _registry() -> dict[str, Check]:
    # run as a script this file is __main__, while the test modules file their records under its package name
    return importlib.import_module(f"{__package__}.records")._REGISTRY


def _by_table_and_number(record: Check) -> tuple[str, int, str]:
    letter, number, rest = re.fullmatch(r"([A-Z])([0-9]+)(.*)", record.id).groups()  # type: ignore[union-attr]
    return letter, int(number), rest


if __name__ == "__main__":
    print(markdown_table(all_checks()))

"""A finding: something the instructor should know, as code and SI quantities; the faces make the sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType


class Severity(StrEnum):
    """How much a finding weighs: a stop prints no card, a caution needs the instructor's reason, a note informs."""

    STOP = "stop"
    CAUTION = "caution"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing worth knowing about a plan or a flight.

    `quantities` maps names that end in their SI unit (`height_m`, `wind_mps`) or plain words (`gate`) to values.
    `cost_m` is the height it cost, where that can be said; findings of a debrief are ranked by it.
    `time_s` is the second of the flight it belongs to.
    """

    code: str
    severity: Severity
    quantities: Mapping[str, float | str] = field(default_factory=lambda: MappingProxyType({}))
    time_s: float | None = None
    cost_m: float | None = None

    def number(self, name: str) -> float:
        """The quantity of that name as a number; KeyError or TypeError where it is not one."""
        value = self.quantities[name]
        if isinstance(value, str):
            raise TypeError(f"finding {self.code}: quantity {name} is a word, not a number")
        return value


def by_weight(findings: list[Finding]) -> tuple[Finding, ...]:
    """Findings in order of severity, stops first; order within a severity is kept."""
    order = {Severity.STOP: 0, Severity.CAUTION: 1, Severity.NOTE: 2}
    return tuple(sorted(findings, key=lambda finding: order[finding.severity]))

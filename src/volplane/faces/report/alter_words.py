"""The hand-alter table of the card: what each gate and the speed become when the day turns out otherwise."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from volplane.domain.exercise.hand_alter import (
    TEMPERATURE_STEP_K,
    WEIGHT_STEP_KG,
    WIND_STEP_MPS,
    Alteration,
    Change,
)
from volplane.domain.exercise.plan import Plan
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units

# what an altimeter can be read to
_STEP = 10.0


def alter_data(plan: Plan, altered: Sequence[Alteration], units: Units) -> dict[str, Any]:
    """The table's heads and rows; no rows where nothing was planned anew."""
    return {
        "heads": [wording.sentence_case(gate.name) for gate in plan.gates],
        "rows": [_row(plan, each, units) for each in altered],
        "unit": units.height.unit,
    }


def _row(plan: Plan, each: Alteration, units: Units) -> dict[str, Any]:
    moved = {gate.name: gate for gate in each.gates}
    cells = []
    for gate in plan.gates:
        found = moved.get(gate.name)
        cells.append(
            wording.NOT_OBSERVABLE
            if found is None
            else f"{_change(found.altimeter_change_m, units)} / {_change(found.lowest_change_m, units, 'up')}"
        )
    return {
        "name": _name(each.change, units),
        "cells": cells if each.comes_out else [],
        "speed": wording.signed(units.speed.value(each.glide_ias_change_mps)) if each.comes_out else "",
    }


def _change(change_m: float, units: Units, mode: wording.Rounding = "nearest") -> str:
    """A change of a reading to ten feet (or metres); that of a lowest is rounded up."""
    if math.isnan(change_m):
        return wording.NOT_OBSERVABLE
    return wording.signed(wording.rounded(units.height.value(change_m), _STEP, mode))


def _name(change: Change, units: Units) -> str:
    match change:
        case Change.WIND:
            return f"Wind {units.speed.text(WIND_STEP_MPS)} more"
        case Change.HEAVIER:
            return f"{units.weight.text(WEIGHT_STEP_KG)} more"
        case Change.LIGHTER:
            return f"{units.weight.text(WEIGHT_STEP_KG)} less"
        case Change.WARMER:
            return f"{TEMPERATURE_STEP_K:.0f}{wording.NO_BREAK_SPACE}°C warmer"

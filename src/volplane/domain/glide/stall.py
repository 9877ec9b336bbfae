"""How near the stall a turn is: stall speed grows with the root of the load factor.

Source: FAA, Airplane Flying Handbook, FAA-H-8083-3, chapter on slow flight and stalls; any textbook. Speeds are
calibrated (or all equivalent), the stall speed at one g and the weight flown. The load factor of a turn is taken as
1 / cos bank: the exact one of a glide is smaller by the cosine of the path angle, so the margin errs on the safe side,
by under 1 % in any glide flatter than 5 to 1.
"""

from __future__ import annotations

import math

from volplane.errors import Refusal


class BankLeavesTooLittleMargin(Refusal):
    """A bank whose stall speed comes nearer to the speed flown than the chosen margin allows.

    `steepest_bank_rad` is the steepest that keeps the margin, None when not even straight flight does.
    """

    code = "bank-leaves-too-little-margin"

    def __init__(
        self,
        bank_rad: float,
        cas_mps: float,
        stall_cas_mps: float,
        least_margin_fraction: float,
    ) -> None:
        self.bank_rad = bank_rad
        self.cas_mps = cas_mps
        self.stall_in_turn_cas_mps = stall_in_turn_mps(stall_cas_mps, bank_rad)
        self.margin_fraction = margin_in_turn_fraction(cas_mps, stall_cas_mps, bank_rad)
        self.least_margin_fraction = least_margin_fraction
        self.steepest_bank_rad = steepest_bank_rad(cas_mps, stall_cas_mps, least_margin_fraction)
        super().__init__(
            f"a bank of {math.degrees(bank_rad):.0f} deg at {cas_mps:.1f} m/s is {100.0 * self.margin_fraction:.0f} % "
            f"above the stall at {self.stall_in_turn_cas_mps:.1f} m/s, at least {100.0 * least_margin_fraction:.0f} % "
            "are wanted"
        )


def stall_at_load_factor_mps(stall_cas_mps: float, load_factor: float) -> float:
    """Stall speed under a load factor: V_s sqrt(n).

    :raises ValueError: a negative load factor.
    """
    if not load_factor >= 0.0:
        raise ValueError(f"load factor {load_factor} must not be negative")
    return stall_cas_mps * math.sqrt(load_factor)


def stall_in_turn_mps(stall_cas_mps: float, bank_rad: float) -> float:
    """Stall speed in a steady turn, left or right.

    :raises ValueError: a bank of 90 degrees or more.
    """
    if not abs(bank_rad) < 0.5 * math.pi:
        raise ValueError(f"bank {math.degrees(bank_rad):.1f} deg must be below 90 deg")
    return stall_at_load_factor_mps(stall_cas_mps, 1.0 / math.cos(bank_rad))


def margin_in_turn_fraction(cas_mps: float, stall_cas_mps: float, bank_rad: float) -> float:
    """Speed over the stall in the turn, in parts of that stall speed; negative below it."""
    return cas_mps / stall_in_turn_mps(stall_cas_mps, bank_rad) - 1.0


def steepest_bank_rad(cas_mps: float, stall_cas_mps: float, least_margin_fraction: float) -> float | None:
    """Steepest bank that still keeps a margin at a speed; None when not even straight flight does."""
    load_factor = (cas_mps / (stall_cas_mps * (1.0 + least_margin_fraction))) ** 2
    return math.acos(1.0 / load_factor) if load_factor >= 1.0 else None


def refuse_too_little_margin(
    bank_rad: float, cas_mps: float, stall_cas_mps: float, least_margin_fraction: float
) -> None:
    """Let a turn pass that keeps the margin.

    :raises BankLeavesTooLittleMargin: it does not.
    """
    # a bank that is exactly the steepest allowed passes in spite of rounding
    if margin_in_turn_fraction(cas_mps, stall_cas_mps, bank_rad) < least_margin_fraction - 1e-9:
        raise BankLeavesTooLittleMargin(bank_rad, cas_mps, stall_cas_mps, least_margin_fraction)

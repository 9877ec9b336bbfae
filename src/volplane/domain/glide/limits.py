"""The pilot's limits: one value shared by plan, debrief, fields within gliding distance and classroom."""

from __future__ import annotations

from dataclasses import dataclass

from volplane.domain.glide.configuration import Configuration


@dataclass(frozen=True, slots=True)
class PilotLimits:
    """How a trainee may fly a dead-engine glide; the practical required height is the least height within these.

    Speeds are equivalent airspeeds for today's weight. `bank_high_rad` holds at and above `bank_band_height_m` over the
    touchdown point, `bank_low_rad` below it. The airplane glides in `glide_configuration` until the final, which is
    flown in `landing_configuration` over at least `minimum_final_m` and entered, wings level, no lower than
    `final_complete_height_m`. For `reaction_delay_s` the airplane goes on as it is before anything is done.
    """

    glide_eas_mps: float
    approach_eas_mps: float
    touchdown_eas_mps: float
    bank_high_rad: float
    bank_low_rad: float
    bank_band_height_m: float
    roll_rate_radps: float
    reaction_delay_s: float
    minimum_final_m: float
    final_complete_height_m: float
    stall_margin_fraction: float
    glide_configuration: Configuration
    landing_configuration: Configuration

    def bank_rad(self, height_m: float) -> float:
        """The steepest bank allowed at a height above the touchdown point."""
        return self.bank_high_rad if height_m >= self.bank_band_height_m else self.bank_low_rad

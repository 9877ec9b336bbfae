"""The airplane file: six numbers are enough, everything else has a stated default."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

from volplane.adapters.toml.airplane_keys import AIRPLANE, GREATEST_RATIO, LEAST_RATIO
from volplane.adapters.toml.source import NamedText, parse
from volplane.adapters.toml.tables import Findings, Table
from volplane.domain.airplane.airplane import Airplane, AirplaneLimits, Engine, InstructorWords, StandIn
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps
from volplane.domain.glide.configuration import Configuration, Flap, Gear, Propeller
from volplane.domain.glide.polar import GlideModel, MeasuredPolar, ParabolaPolar
from volplane.errors import FilesRefused, Problem, Refusal
from volplane.services.checking import Handbook

# landing without power where the file does not say: common practice, no source (approach 1.3 Vs0: FAA Airplane Flying
# Handbook, 180-degree approach)
APPROACH_TO_STALL_RATIO = 1.3
TOUCHDOWN_TO_STALL_RATIO = 1.1


@dataclass(frozen=True, slots=True)
class AirplaneReading:
    """What an airplane file says: the airplane where it is sound, the handbook's own figures, and the problems."""

    airplane: Airplane | None
    handbook: Handbook | None
    problems: tuple[Problem, ...]


def read_airplane(text: str, file_name: str) -> tuple[Airplane | None, tuple[Problem, ...]]:
    """An airplane from its TOML text, or None and every problem found."""
    reading = read_airplane_file(NamedText(file_name, text))
    return reading.airplane, reading.problems


def read_airplane_file(source: NamedText) -> AirplaneReading:
    """An airplane with the figures its file states, for `volplane check`."""
    try:
        data = parse(source)
    except FilesRefused as refused:
        return AirplaneReading(None, None, refused.problems)
    findings = Findings(source)
    top = Table.top(data, AIRPLANE, findings)
    draft = _Draft(top)
    airplane = draft.airplane()
    if airplane is None:
        return AirplaneReading(None, None, tuple(findings.problems))
    return AirplaneReading(airplane, draft.handbook(), ())


class _Draft:
    """The figures of the file as they are read, and the checks that compare them with each other."""

    def __init__(self, top: Table) -> None:
        self.top = top
        self.name = top.text("name")
        self.maximum_kg = top.child("weights").quantity("maximum")
        self.glide = top.child("glide")
        self.points = self.glide.children("points")
        self.best_ias = self.glide.quantity("best_speed")
        self.ratio = self.glide.number("ratio", LEAST_RATIO, GREATEST_RATIO)
        weight = self.glide.quantity("weight")
        self.glide_kg = self.maximum_kg if math.isnan(weight) else weight
        self.sink = self.glide.quantity_or_none("sink")
        self.stall = top.child("stall")
        self.stall_clean, self.stall_landing = self.stall.quantity("clean"), self.stall.quantity("landing")
        self.landing = top.child("landing_without_power")
        self.limits = _limits(top.child("limits"))
        self.estimates: set[str] = set()
        self.approach = self._landing_speed("approach_speed", APPROACH_TO_STALL_RATIO)
        self.touchdown = self._landing_speed("touchdown_speed", TOUCHDOWN_TO_STALL_RATIO)
        self.correction = _correction(top)
        self.configurations = _configurations(top, self.estimates)
        self.stand_in = _stand_in(top, self.configurations)
        self.engine = _engine(top.child("engine"))
        self.words = _words(top.child("words"))
        self._compare()

    def airplane(self) -> Airplane | None:
        """The airplane, None when there are problems."""
        if self.top.findings.any:
            return None
        draft = Airplane(
            name=self.name,
            maximum_weight_kg=self.maximum_kg,
            glide=ParabolaPolar(self.glide_kg, self.stall_clean, LEAST_RATIO),  # replaced below
            stall_clean_cas_mps=self.stall_clean,
            stall_landing_cas_mps=self.stall_landing,
            approach_ias_mps=self.approach,
            touchdown_ias_mps=self.touchdown,
            limits=self.limits,
            configurations=self.configurations,
            stand_in=self.stand_in,
            engine=self.engine,
            words=self.words,
            airspeed_correction=self.correction,
            estimates=frozenset(self.estimates),
        )
        glide = self._glide(draft)
        if glide is None:
            return None
        return replace(
            draft,
            glide=glide,
            stall_clean_cas_mps=cas_mps_from_ias_mps(draft, self.stall_clean),
            stall_landing_cas_mps=cas_mps_from_ias_mps(draft, self.stall_landing),
        )

    def handbook(self) -> Handbook:
        """The stated figures, for the comparison of each with the others."""
        airplane = self.airplane()
        assert airplane is not None
        measured = airplane.glide if self.points else None
        return Handbook(
            best_cas_mps=cas_mps_from_ias_mps(airplane, self.best_ias) if self.glide.has("best_speed") else None,
            best_ratio=self.ratio if self.glide.has("ratio") else None,
            sink_mps=self.sink,
            measured_best_cas_mps=measured.best_eas_mps if measured else None,
            measured_best_ratio=measured.best_ratio if measured else None,
            stall_landing_ias_mps=self.stall_landing,
            approach_ias_mps=self.approach if self.landing.has("approach_speed") else None,
            full_flap_ias_mps=self.limits.full_flap_ias_mps,
        )

    def _landing_speed(self, name: str, to_stall: float) -> float:
        if self.landing.has(name):
            return self.landing.quantity(name)
        self.estimates.add(self.landing.place(name))
        return to_stall * self.stall_landing

    def _glide(self, draft: Airplane) -> GlideModel | None:
        """The measured curve where points are given, else the parabola through the two numbers."""
        if not self.points:
            # calibrated airspeed at sea level is equivalent airspeed
            return ParabolaPolar(self.glide_kg, cas_mps_from_ias_mps(draft, self.best_ias), self.ratio)
        eas, sink = zip(*(_sea_level_point(draft, point) for point in self.points), strict=True)
        try:
            return MeasuredPolar.from_glides(self.glide_kg, eas, sink)
        except Refusal as refusal:
            self.glide.add(
                "points",
                f"points that make no curve ({refusal})",
                "three points or more whose least drag lies between the slowest and the fastest",
                "Add points at other speeds, or check speed and sink of each.",
                refusal.code,
            )
            return None

    def _compare(self) -> None:
        self._compare_glide()
        if self.stall_landing > self.stall_clean:
            self.stall.add(
                "landing",
                f"{self.stall.typed('landing')}, more than stall.clean {self.stall.typed('clean')}",
                "flap to lower the stall speed",
                "Exchange the two, or check them.",
                "stall-landing-above-clean",
            )
        if self.landing.has("approach_speed") and self.approach <= self.stall_landing:
            self.landing.add(
                "approach_speed",
                f"{self.landing.typed('approach_speed')}, not above stall.landing {self.stall.typed('landing')}",
                "about 1.3 times that stall speed",
                "Check both figures.",
                "approach-not-above-stall",
            )
        if self.touchdown >= self.approach:
            self.landing.add(
                "touchdown_speed",
                f"{self.landing.typed('touchdown_speed')}, not below the approach speed",
                "a touchdown slower than the approach",
                "Check both figures.",
                "touchdown-not-below-approach",
            )
        if self.touchdown < 0.9 * self.stall_landing:
            self.landing.add(
                "touchdown_speed",
                f"{self.landing.typed('touchdown_speed')}, far below stall.landing {self.stall.typed('landing')}",
                "about 1.1 times that stall speed",
                "Check both figures.",
                "touchdown-below-stall",
            )

    def _compare_glide(self) -> None:
        if not self.points:
            for name in ("best_speed", "ratio"):
                if not self.glide.has(name):
                    self.glide.missing(name)
        if self.glide_kg > self.maximum_kg:
            self.glide.add(
                "weight",
                f"{self.glide.typed('weight')}, above weights.maximum",
                "a weight the airplane may have",
                "Check both weights.",
                "weight-above-maximum",
            )
        stall_then = self.stall_clean * math.sqrt(self.glide_kg / self.maximum_kg) if self.maximum_kg > 0 else math.nan
        speeds = [(self.glide, "best_speed", self.best_ias)]
        speeds += [(point, "speed", point.quantity("speed")) for point in self.points]
        for table, name, speed in speeds:
            if speed <= stall_then:
                table.add(
                    name,
                    f"{table.typed(name)}, not above the clean stall {self.stall.typed('clean')}",
                    "a glide faster than the stall",
                    "Check both speeds; they may be exchanged.",
                    "stall-above-best-speed",
                )


def _sea_level_point(draft: Airplane, point: Table) -> tuple[float, float]:
    """Equivalent airspeed of a measured point and the sink it has at sea-level density."""
    altitude_m = point.quantity_or_none("pressure_altitude") or 0.0
    pressure_pa = isa.pressure_pa(altitude_m)
    temperature_k = point.quantity_or_none("temperature") or isa.temperature_k(altitude_m)
    density_ratio = pressure_pa / (isa.GAS_CONSTANT_DRY_AIR * temperature_k) / isa.SEA_LEVEL_DENSITY_KGPM3
    cas_mps = cas_mps_from_ias_mps(draft, point.quantity("speed"))
    return airspeed.eas_mps_from_cas_mps(cas_mps, pressure_pa), point.quantity("sink") * math.sqrt(density_ratio)


def _limits(table: Table) -> AirplaneLimits:
    return AirplaneLimits(
        gear_ias_mps=table.quantity_or_none("gear"),
        approach_flap_ias_mps=table.quantity_or_none("approach_flap"),
        full_flap_ias_mps=table.quantity_or_none("full_flap"),
        crosswind_mps=table.quantity_or_none("crosswind"),
        landing_roll_m=table.quantity_or_none("landing_roll"),
        go_around_climb_mps=table.quantity_or_none("go_around_climb"),
        minimum_descent_manifold_pressure_pa=table.quantity_or_none("minimum_descent_mp"),
    )


def _correction(top: Table) -> tuple[tuple[float, float], ...]:
    rows = [(row, row.quantity("indicated"), row.quantity("calibrated")) for row in top.children("airspeed_correction")]
    for (_, below, below_calibrated), (row, indicated, calibrated) in itertools.pairwise(rows):
        if indicated <= below or calibrated <= below_calibrated:
            row.add(
                "indicated",
                f"{row.typed('indicated')} as {row.typed('calibrated')}, not above the line before",
                "both speeds to grow from line to line",
                "Sort the lines by speed and check them.",
                "airspeed-correction-order",
            )
    for row, indicated, calibrated in rows:
        if abs(calibrated - indicated) > 0.2 * indicated:
            row.add(
                "calibrated",
                f"{row.typed('calibrated')} for {row.typed('indicated')} indicated",
                "a correction of less than a fifth",
                "Check both speeds and their units.",
                "airspeed-correction-large",
            )
    return tuple((indicated, calibrated) for _, indicated, calibrated in rows)


def _configurations(top: Table, estimates: set[str]) -> tuple[Configuration, ...]:
    """The standard configurations, each changed by what the file says under its name, then the file's own."""
    from volplane.domain.glide.defaults import standard_configurations

    merged = {each.name: each for each in standard_configurations()}
    given: set[str] = set()
    for row in top.children("configuration"):
        name = row.text("name")
        if name in given:
            row.add("name", f'"{name}" for the second time', "each name once", "Merge or rename them.", "name-twice")
        given.add(name)
        merged[name] = _configuration(row, merged.get(name), name)
    estimates.update(f"configuration.{each.name}" for each in merged.values() if each.is_estimate)
    return tuple(merged.values())


def _configuration(row: Table, standard: Configuration | None, name: str) -> Configuration:
    if standard is None and not row.has("extra_drag"):
        row.missing("extra_drag")
    start = standard if standard is not None else Configuration(name)
    drag = row.number("extra_drag", -0.9, 10.0)
    induced = row.number("induced_factor", 0.2, 5.0)
    return replace(
        start,
        gear=Gear(row.text("gear") or start.gear),
        flap=Flap(row.text("flap") or start.flap),
        propeller=Propeller(row.text("propeller") or start.propeller),
        extra_drag_factor=start.extra_drag_factor if math.isnan(drag) else drag,
        induced_factor=start.induced_factor if math.isnan(induced) else induced,
        is_estimate=start.is_estimate and math.isnan(drag),
    )


def _stand_in(top: Table, configurations: tuple[Configuration, ...]) -> StandIn | None:
    if not top.has("stand_in"):
        return None
    table = top.child("stand_in")
    name = table.text("configuration")
    known = [each.name for each in configurations]
    if name and name not in known:
        table.add(
            "configuration", f'"{name}"', f"one of {', '.join(known)}", "Add it or rename it.", "no-configuration"
        )
    return StandIn(name, table.quantity("manifold_pressure"), table.quantity("rpm"), table.quantity("altitude"))


def _engine(table: Table) -> Engine:
    blades = table.number("propeller_blades", 2, 6) if table.has("propeller_blades") else 3.0
    if not math.isnan(blades) and blades != int(blades):
        table.add("propeller_blades", f"{blades:g}", "a whole number from 2 to 6", "Count again.", "not-a-count")
    return Engine(
        rated_power_w=table.quantity_or_none("rated_power"),
        rated_manifold_pressure_pa=table.quantity_or_none("rated_manifold_pressure"),
        rated_engine_speed_radps=table.quantity_or_none("rated_rpm"),
        displacement_m3=table.quantity_or_none("displacement"),
        propeller_diameter_m=table.quantity_or_none("propeller_diameter"),
        propeller_blades=3 if math.isnan(blades) else int(blades),
    )


def _words(table: Table) -> InstructorWords:
    return InstructorWords(
        go_around=table.text("go_around") or None,
        sight_mark=table.text("sight_mark") or None,
        calls=table.texts("calls"),
    )

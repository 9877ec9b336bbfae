"""Faults and refusals in words, once for terminal, pages and programs, with the exit code or HTTP status of each.

A `Problem` already holds its words. A refusal holds SI values; here each cause gets what was found, what was expected
and what to do. The causes are known by their stable code, so that those of adapters and other faces have their words
here too.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from volplane.errors import FilesRefused, Problem, Refusal
from volplane.faces.documents import debrief_refusal_words, store_words, wording
from volplane.faces.documents.wording import IMPERIAL, Units

SCHEMA = "volplane/problems/1"

EXIT_DONE, EXIT_REFUSED, EXIT_WRONG_USAGE, EXIT_OUR_FAULT = 0, 1, 2, 3
STATUS_REFUSED, STATUS_TOO_LARGE, STATUS_OUR_FAULT = 422, 413, 500
# there is no such thing; somebody else was faster
_STATUS_OF = {"not-kept": 404, "changed-meanwhile": 409}


@dataclass(frozen=True, slots=True)
class Said:
    """A refusal in words: what was found, what was expected, what to do (a whole sentence)."""

    found: str
    expected: str
    remedy: str


def sentence_of(problem: Problem) -> str:
    """A problem as one sentence: file, place, found, expected, remedy."""
    return problem.sentence()


def refusal_sentence(refusal: Refusal, units: Units = IMPERIAL) -> str:
    """A refusal as one sentence; problems of files each on a line."""
    if isinstance(refusal, FilesRefused):
        return "\n".join(sentence_of(problem) for problem in refusal.problems)
    said = said_of(refusal, units)
    expected = f"; expected {said.expected}" if said.expected else ""
    return f"{wording.sentence_case(said.found)}{expected}. {said.remedy}"


def said_of(refusal: Refusal, units: Units = IMPERIAL) -> Said:
    """A refusal in words; one nobody has found words for says what it knows of itself."""
    words = _WORDS.get(refusal.code)
    if words is None:
        return Said(str(refusal) or "this request", "", "Check what was asked for.")
    return words(refusal, units)


def has_words(code: str) -> bool:
    """Whether a refusal of this code has words of its own."""
    return code in _WORDS or code == FilesRefused.code


def problems_of(refusal: Refusal, units: Units = IMPERIAL) -> tuple[Problem, ...]:
    """A refusal as problems: those it carries, or itself as one that belongs to no file."""
    if isinstance(refusal, FilesRefused):
        return refusal.problems
    said = said_of(refusal, units)
    return (Problem("", "", said.found, said.expected, said.remedy, refusal.code),)


def problem_entry(problem: Problem, sentence: str | None = None) -> dict[str, Any]:
    """A problem as JSON, with its sentence ready to be shown."""
    return {
        "file": problem.file or None,
        "place": problem.place or None,
        "found": problem.found,
        "expected": problem.expected or None,
        "remedy": problem.remedy,
        "code": problem.code,
        "sentence": sentence_of(problem) if sentence is None else sentence,
    }


def problems_document(refusal: Refusal, units: Units = IMPERIAL) -> dict[str, Any]:
    """A refusal as `volplane/problems/1`."""
    if isinstance(refusal, FilesRefused):
        entries = [problem_entry(problem) for problem in refusal.problems]
    else:
        (problem,) = problems_of(refusal, units)
        entries = [problem_entry(problem, refusal_sentence(refusal, units))]
    return {"schema": SCHEMA, "problems": entries}


def exit_code(fault: BaseException | None) -> int:
    """The exit code of a command: done, refused, or our own fault. Wrong usage never gets this far."""
    if fault is None:
        return EXIT_DONE
    return EXIT_REFUSED if isinstance(fault, Refusal) else EXIT_OUR_FAULT


def http_status(fault: BaseException) -> int:
    """The HTTP status of an answer to a request that could not be met."""
    if not isinstance(fault, Refusal):
        return STATUS_OUR_FAULT
    codes = [problem.code for problem in fault.problems] if isinstance(fault, FilesRefused) else [fault.code]
    if any(code.endswith("-too-large") for code in codes):
        return STATUS_TOO_LARGE
    return _STATUS_OF.get(codes[0], STATUS_REFUSED) if codes else STATUS_REFUSED


# One function a cause. `refusal` is Any because a face may not import the adapters that some causes come from.


def _stopped(refusal: Any, units: Units) -> Said:
    return Said(
        f"a wish to stop after {refusal.done:,} of {refusal.total:,} flights",
        "all of them to be flown",
        "Ask again when there is time for them.",
    )


def _wind(refusal: Any, units: Units) -> Said:
    height, speed = units.height.text(refusal.height_above_field_m), units.speed.text(refusal.wind_mps)
    return Said(
        f"a wind of {speed} at {height} above the field",
        f"well below the airspeed, {units.speed.text(refusal.airspeed_mps)}",
        "Check the wind and its unit; in such a wind no glide comes back.",
    )


def _quantity(refusal: Any, units: Units) -> Said:
    return Said(refusal.found, refusal.expected, refusal.remedy)


def _track(refusal: Any, units: Units) -> Said:
    track = wording.direction(refusal.track_true_rad)
    return Said(
        f"a wind of {units.speed.text(refusal.wind_mps)}, too strong to hold a track of {track}",
        f"less than the true airspeed, {units.speed.text(refusal.tas_mps)}, across and against it",
        "Check the wind, or fly on a day with less.",
    )


def _no_mean(refusal: Any, units: Units) -> Said:
    found = f"{wording.counted(refusal.count, 'direction')} without a mean direction"
    return Said(found, "directions that do not cancel out", "Check the directions.")


def _runway(refusal: Any, units: Units) -> Said:
    known = wording.listed([f'"{name}"' for name in refusal.known], "or")
    return Said(f'runway "{refusal.name}"', f"a runway of {refusal.airfield}", f"Write {known}.")


def _off_the_earth(refusal: Any, units: Units) -> Said:
    found = f"latitude {wording.figure(refusal.latitude_deg, 4)}, longitude {wording.figure(refusal.longitude_deg, 4)}"
    return Said(found, "a latitude within 90 and a longitude within 180 degrees", "Check the position.")


def _outside_frame(refusal: Any, units: Units) -> Said:
    return Said(
        f"a place {units.distance.text(refusal.distance_m)} from the touchdown point",
        f"at most {units.distance.text(refusal.farthest_m)}",
        "Check the position of the runway and of the recording.",
    )


def _far(refusal: Any, units: Units) -> Said:
    nearest = units.distance.text(refusal.nearest_m)
    return Said(
        f"a recording that comes no nearer to {refusal.airfield} than {nearest}",
        f"a flight within {units.distance.text(refusal.limit_m)} of it",
        "Choose the airfield it was flown at, or another recording.",
    )


def _no_altitude(refusal: Any, units: Units) -> Said:
    found = f"{wording.counted(refusal.fixes, 'fix', 'fixes')} and not one altitude"
    return Said(found, "a recording with altitudes", "Export it again with altitude.")


def _troposphere(refusal: Any, units: Units) -> Said:
    lowest, highest = units.height.text(refusal.lowest_m), units.height.text(refusal.highest_m)
    found = f"an altitude of {units.height.text(refusal.altitude_m)}"
    return Said(found, f"{lowest} to {highest}", "Check elevation, heights and altimeter setting.")


def _temperature(refusal: Any, units: Units) -> Said:
    lowest, highest = units.temperature(refusal.lowest_k), units.temperature(refusal.highest_k)
    found = f"a temperature of {units.temperature(refusal.temperature_k)}"
    return Said(found, f"{lowest} to {highest}", "Check the temperature and its unit.")


def _pressure(refusal: Any, units: Units) -> Said:
    text = units.altimeter_setting.text
    found = f"an altimeter setting of {text(refusal.pressure_pa)}"
    expected = f"{text(refusal.lowest_pa)} to {text(refusal.highest_pa)}"
    return Said(found, expected, "Check the setting and its unit.")


def _airspeed(refusal: Any, units: Units) -> Said:
    found = f"an airspeed of {units.speed.text(refusal.airspeed_mps)}"
    return Said(found, f"0 to {units.speed.text(refusal.highest_mps)}", "Check the speed and its unit.")


def _wind_levels(refusal: Any, units: Units) -> Said:
    heights = wording.listed([units.height.text(each) for each in refusal.heights_above_field_m])
    found = f"wind levels that make no profile ({refusal.reason}{': ' + heights if heights else ''})"
    return Said(found, "one wind a height, the lowest first", "Sort the levels and check their heights.")


def _legs(refusal: Any, units: Units) -> Said:
    give = "gives" if refusal.legs_count == 1 else "give"
    found = f"{wording.counted(refusal.legs_count, 'leg')} that {give} no wind ({refusal.reason})"
    return Said(found, "three legs or more, well apart in direction, at one airspeed", "Fly or choose other legs.")


_CALIBRATION_LACKS = {
    "pressure-altitude": ("no pressure altitude", "Say it: --altitude."),
    "temperature": ("no temperature of the air", "Say it: --temperature."),
    "indicated-airspeed": ("no indicated airspeed", "Say it: --speed."),
    "growing-speeds": ("a calibrated airspeed that does not grow with the indicated one", "Look at the legs there."),
}


def _calibration(refusal: Any, units: Units) -> Said:
    lacks, remedy = _CALIBRATION_LACKS[refusal.lacks]
    place = "" if refusal.ias_mps is None else f" at {units.speed.text(refusal.ias_mps)} indicated"
    found = f"{lacks}{place}, so no table of corrections"
    return Said(found, "each speed with its calibrated airspeed, growing", remedy)


def _polar(refusal: Any, units: Units) -> Said:
    def text(value_si: float) -> str:
        if "weight" in refusal.quantity and "drag" not in refusal.quantity:
            return units.weight.text(value_si)
        if "speed" in refusal.quantity or "airspeed" in refusal.quantity:
            return units.speed.text(value_si)
        return wording.figure(value_si, 2)

    found = f"a {refusal.quantity} of {text(refusal.value_si)}"
    if refusal.quantity.startswith("airspeed"):
        found = f"an {refusal.quantity} of {text(refusal.value_si)}"
    return Said(found, f"more than {text(refusal.least_si)}", "Check the figures of the glide.")


def _few_speeds(refusal: Any, units: Units) -> Said:
    found = f"a glide measured at {wording.counted(refusal.speeds_count, 'different speed')}"
    return Said(found, f"{wording.counted(refusal.least_count, 'speed')} or more", "Fly glides at other speeds too.")


def _best_not_covered(refusal: Any, units: Units) -> Said:
    slowest, fastest = units.speed.text(refusal.slowest_eas_mps), units.speed.text(refusal.fastest_eas_mps)
    is_slow = refusal.edge_eas_mps - refusal.slowest_eas_mps < refusal.fastest_eas_mps - refusal.edge_eas_mps
    return Said(
        f"glides measured from {slowest} to {fastest}, best at the {'slowest' if is_slow else 'fastest'}",
        "a best glide between the slowest and the fastest",
        f"Fly a glide {'slower' if is_slow else 'faster'} than that.",
    )


def _no_touchdown(refusal: Any, units: Units) -> Said:
    approach, touchdown = units.speed.text(refusal.approach_eas_mps), units.speed.text(refusal.touchdown_eas_mps)
    return Said(
        f"a landing from {approach} to {touchdown} that does not come to the runway",
        "an airplane that comes down from 50 ft and slows down over the runway",
        "Check the drag of the landing configuration, both landing speeds and the wind.",
    )


def _touchdown_speed(refusal: Any, units: Units) -> Said:
    found = f"a touchdown speed of {units.speed.text(refusal.touchdown_eas_mps)}"
    expected = f"less than the approach speed, {units.speed.text(refusal.approach_eas_mps)}"
    return Said(found, expected, "Check both speeds.")


def _no_glide(refusal: Any, units: Units) -> Said:
    speed = units.speed.text(refusal.eas_mps)
    return Said(
        f"a speed of {speed} at a bank of {wording.angle(refusal.bank_rad)}, at which drag exceeds the weight",
        "a speed at which the airplane glides",
        "Fly slower, or check the drag of the configuration.",
    )


def _bank(refusal: Any, units: Units) -> Said:
    steepest = refusal.steepest_bank_rad
    margin, least = wording.percent(refusal.margin_fraction), wording.percent(refusal.least_margin_fraction)
    remedy = "Fly faster; at this speed not even straight flight keeps the margin."
    if steepest is not None:
        remedy = f"Bank {wording.angle(steepest)} or less, or fly faster."
    return Said(
        f"a bank of {wording.angle(refusal.bank_rad)} at {units.speed.text(refusal.cas_mps)}, {margin} above the stall "
        f"in that turn ({units.speed.text(refusal.stall_in_turn_cas_mps)})",
        f"{least} or more",
        remedy,
    )


def _magnetic(refusal: Any, units: Units) -> Said:
    return Said(
        f"a lesson in {int(refusal.year)}",
        f"a day from {int(refusal.first_year)} to {int(refusal.last_year) - 1}, for which magnetic models exist",
        'Write the variation into the airfield file: variation = "12 deg W".',
    )


def _airfield_unknown(refusal: Any, units: Units) -> Said:
    return Said(
        f'nothing for "{refusal.text}" in the table of runway ends of {refusal.dated}',
        "a code, a name, or parts of a name or place",
        "Write less of it; a field that no table knows is written by hand, with the positions of both runway ends.",
    )


def _several_airfields(refusal: Any, units: Units) -> Said:
    first = wording.listed([*refusal.codes[:3], "..."] if len(refusal.codes) > 3 else list(refusal.codes), "or")
    return Said(
        f'{wording.counted(len(refusal.codes), "airfield")} for "{refusal.text}"',
        "one, of which the file is to be",
        f"Write its code, such as {first}.",
    )


def _airfield_not_placed(refusal: Any, units: Units) -> Said:
    field = f"{refusal.name} ({refusal.airfield_code})"
    is_elevation = refusal.lacks == "elevation"
    return Said(
        f"no elevation of {field} in the table" if is_elevation else f"no runway of {field} with sound positions",
        "its elevation" if is_elevation else "the positions of both ends in the table",
        "Write the airfield file by hand, with the positions of threshold and end of the runway.",
    )


def _card_stopped(refusal: Any, units: Units) -> Said:
    from volplane.faces.documents import plan_words

    said = [plan_words.finding_text(finding, units) for finding in refusal.stops]
    if refusal.binding is not None and "impossible" not in {finding.code for finding in refusal.stops}:
        said.append(plan_words.binding_text(refusal.binding, units))
    causes = " ".join(said) or "The exercise does not come out as wished."
    return Said(f"no card is printed. {causes.rstrip('.')}", "", "Change the exercise until nothing stops it.")


def _card_reason(refusal: Any, units: Units) -> Said:
    count = wording.counted(len(refusal.cautions), "caution")
    return Said(
        f"the plan holds {count} and no reason is given", "", "Say why it is flown all the same: --reason TEXT."
    )


def _card_too_long(refusal: Any, units: Units) -> Said:
    return Said(
        f"the words for the card do not fit on one page of {refusal.paper}", "", "Shorten the words, calls or reason."
    )


def _port(refusal: Any, units: Units) -> Said:
    return Said(f"port {refusal.port} on {refusal.host} cannot be served: {refusal.reason}", "", "Give another --port.")


def _few_glides(refusal: Any, units: Units) -> Said:
    causes = [f"{count} {_LEFT_OUT.get(code, code)}" for code, count in refusal.left_out.items()]
    left_out = f" (left out: {wording.listed(causes)})" if causes else ""
    found = f"{wording.counted(refusal.used_count, 'clean glide')} that can be used{left_out}"
    remedy = "Fly more glides with power off, clean, both ways; see whether start and end heights are exchanged."
    return Said(found, f"{wording.counted(refusal.least_count, 'glide')} or more", remedy)


_LEFT_OUT = {
    "climbing": "that do not come down",
    "power-on": "with power on",
    "too-steep": "steeper than a glide",
    "not-steady": "not steady",
    "other-configuration": "in another configuration",
    "unknown-configuration": "in a configuration the file does not know",
    "weight-outside-limits": "at a weight this airplane cannot have",
    "below-stall": "slower than the stall",
}


def _close_speeds(refusal: Any, units: Units) -> Said:
    slowest, fastest = units.speed.text(refusal.slowest_cas_mps), units.speed.text(refusal.fastest_cas_mps)
    found = f"glides at one speed only, {slowest}" if refusal.speeds_count < 2 else ""
    found = found or f"glides from {slowest} to {fastest}, too close together"
    least = wording.figure(refusal.least_range_ratio, 2)
    expected = f"speeds of which the fastest is {least} times the slowest, better 1.6 times"
    return Said(found, expected, "Fly slower and faster glides too, some below and some above the best speed.")


def _no_airspeed(refusal: Any, units: Units) -> Said:
    return Said(
        f"no airspeed in {refusal.recording}",
        "a recording with airspeed, or glides marked with the speed that was flown",
        'Mark each glide: --window "09:02:10-09:04:00 95 kt", or write a table of points.',
    )


def _no_glides(refusal: Any, units: Units) -> Said:
    return Said(
        f"no steady descent in {refusal.recording}",
        f"{wording.seconds(refusal.least_duration_s)} or more at one speed, wings level, coming down",
        "Fly longer glides, or mark them with --window.",
    )


def _stand_in(refusal: Any, units: Units) -> Said:
    pressure = units.manifold_pressure.text
    found = f'"{refusal.configuration}" as a stand-in, which would take {pressure(refusal.manifold_pressure_pa)}'
    if refusal.manifold_pressure_pa > refusal.limit_pa:
        expected = f"at most {pressure(refusal.limit_pa)}, the throttle being full there"
        return Said(found, expected, "Choose a configuration with less drag, or check its drag and the points.")
    expected = f"at least {pressure(refusal.limit_pa)}, the throttle being closed there"
    return Said(found, expected, "Choose a configuration with more drag, or check its drag and the points.")


def _stand_in_unknown(refusal: Any, units: Units) -> Said:
    known = wording.listed([f'"{name}"' for name in refusal.known], "or") or "none"
    found = f'"{refusal.name}" as a stand-in'
    remedy = "Name one of them, or add it to the airplane file."
    return Said(found, f"a configuration with drag and the propeller coarse: {known}", remedy)


def _weight_flown(refusal: Any, units: Units) -> Said:
    least, most = units.weight.text(refusal.least_kg), units.weight.text(refusal.most_kg)
    return Said(f"a weight of {units.weight.text(refusal.weight_kg)}", f"{least} to {most}", "Check the weight.")


def _debrief(refusal: Any, units: Units) -> Said:
    return Said(*debrief_refusal_words.WORDS[refusal.code](refusal))


def _store(refusal: Any, units: Units) -> Said:
    return Said(*store_words.WORDS[refusal.code](refusal))


_WORDS: Mapping[str, Callable[[Any, Units], Said]] = {
    "glides-too-few": _few_glides,
    "glide-speeds-too-close": _close_speeds,
    "airspeed-not-recorded": _no_airspeed,
    "no-steady-glides": _no_glides,
    "wind-not-below-airspeed": _wind,
    "dispersion-stopped": _stopped,
    "quantity-not-understood": _quantity,
    "track-cannot-be-held": _track,
    "directions-have-no-mean": _no_mean,
    "runway-unknown": _runway,
    "place-off-the-earth": _off_the_earth,
    "place-outside-frame": _outside_frame,
    "recording-far-from-airfield": _far,
    "recording-without-altitude": _no_altitude,
    "outside-troposphere": _troposphere,
    "temperature-not-sensible": _temperature,
    "pressure-not-sensible": _pressure,
    "airspeed-not-sensible": _airspeed,
    "wind-levels-wrong": _wind_levels,
    "legs-do-not-determine-wind": _legs,
    "calibration-not-usable": _calibration,
    "polar-not-sensible": _polar,
    "measured-speeds-too-few": _few_speeds,
    "best-glide-not-covered": _best_not_covered,
    "does-not-touch-down": _no_touchdown,
    "touchdown-not-slower-than-approach": _touchdown_speed,
    "no-steady-glide": _no_glide,
    "bank-leaves-too-little-margin": _bank,
    "outside-magnetic-model": _magnetic,
    "stand-in-not-possible": _stand_in,
    "stand-in-configuration-unknown": _stand_in_unknown,
    "weight-not-flown": _weight_flown,
    "airfield-unknown": _airfield_unknown,
    "several-airfields": _several_airfields,
    "airfield-not-placed": _airfield_not_placed,
    "card-stopped": _card_stopped,
    "card-needs-reason": _card_reason,
    "card-too-long": _card_too_long,
    "port-taken": _port,
    **dict.fromkeys(debrief_refusal_words.WORDS, _debrief),
    **dict.fromkeys(store_words.WORDS, _store),
}

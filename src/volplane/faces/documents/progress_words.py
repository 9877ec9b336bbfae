"""Sentences about a trainee's path: what came out, what got better, what to train next, each with its evidence.

No praise and no blame, nobody compared with anybody, no figure that sums a person up.
"""

from __future__ import annotations

from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units
from volplane.services.progress import (
    LIGHT_BELOW_MPS,
    STRONG_FROM_MPS,
    Improvement,
    Outcomes,
    Progress,
    Topic,
    TopicKind,
    WindBand,
)
from volplane.services.robust import FEWEST, Middle

NOTHING_STANDS_OUT = "Nothing was wrong in half of the latest exercises."
NOTHING_BETTER_YET = "No error falls clearly enough to be told from chance."


def band_words(band: WindBand, units: Units) -> str:
    """A band of wind by its bounds."""
    light, strong = units.speed.text(LIGHT_BELOW_MPS), units.speed.text(STRONG_FROM_MPS)
    return {
        WindBand.LIGHT: f"wind under {light}",
        WindBand.MODERATE: f"wind {units.speed.figure(LIGHT_BELOW_MPS)} to {strong}",
        WindBand.STRONG: f"wind {strong} and more",
        WindBand.UNKNOWN: "wind not known",
    }[band]


def past_words(x_m: float, units: Units) -> str:
    """A touchdown against the point: 80 ft past, 40 ft before."""
    return f"{units.length.text(abs(x_m))} {'past' if x_m >= 0.0 else 'before'}"


def height_error_words(error_m: float, units: Units) -> str:
    """A height against the planned one: 80 ft high, 40 ft low."""
    return f"{units.height.text(abs(error_m))} {'high' if error_m >= 0.0 else 'low'}"


def outcome_sentences(outcomes: Outcomes, units: Units) -> list[str]:
    """Landings; go-arounds apart, as the decisions they are; what is counted nowhere."""
    went = outcomes.timely + outcomes.late + outcomes.unjudged
    said = [f"{wording.sentence_case(wording.counted(outcomes.landed, 'landing'))}."]
    if went:
        parts = [f"{outcomes.timely} in time, a good decision" if outcomes.timely else ""]
        parts += [f"{outcomes.late} late" if outcomes.late else ""]
        parts += [f"{outcomes.unjudged} not judged" if outcomes.unjudged else ""]
        said.append(
            f"{wording.sentence_case(wording.counted(went, 'go-around'))}: {wording.listed([*filter(None, parts)])}."
        )
    if outcomes.not_recorded:
        said.append(
            f"{wording.sentence_case(wording.counted(outcomes.not_recorded, 'exercise'))} not recorded to the end."
        )
    if outcomes.discontinued:
        counted = wording.sentence_case(wording.counted(outcomes.discontinued, "exercise"))
        said.append(f"{counted} discontinued: neither a success nor a failure, and in no figure here.")
    return said


def too_few_sentence(progress: Progress) -> str:
    """Why nothing is said of a middle or a trend."""
    count = wording.counted(len(progress.counted), "exercise")
    fewest = wording.counted(FEWEST, "exercise")
    return f"{wording.sentence_case(count)}: too few for a middle or a trend. Both are told from {fewest} on."


def touchdown_sentence(progress: Progress, units: Units) -> str:
    """The landings in a sentence."""
    middle = progress.touchdowns
    landed = progress.outcomes.landed
    if middle is None:
        return f"{wording.sentence_case(wording.counted(landed, 'landing'))}, too few for a middle."
    length = units.length
    return (
        f"Half of {middle.count} landings touched between {length.figure(middle.quartile_low)} and "
        f"{length.text(middle.quartile_high)} beyond the point, the median {past_words(middle.median, units)}."
    )


def improvement_sentence(improved: Improvement, units: Units) -> str:
    """What got better, by how much from one to the next, and how sure that is."""
    trend = improved.trend
    what = (
        "the touchdown’s distance from the point"
        if improved.gate is None
        else f"the height error at the {improved.gate}"
    )
    scale = units.length if improved.gate is None else units.height
    low, high = scale.figure(-trend.slope_high), scale.text(-trend.slope_low)
    each = "landing" if improved.gate is None else "exercise"
    return (
        f"{wording.sentence_case(what)} falls by {scale.text(-trend.slope)} from {each} to {each} "
        f"(90 % between {low} and {high}, over {trend.count})."
    )


def topic_title(topic: Topic) -> str:
    """What to train next, in a few words."""
    titles = {
        TopicKind.GATE: f"The height at the {topic.name}",
        TopicKind.HEIGHT_IN_HAND: "Height in hand from the first gate on",
        TopicKind.LATE_GO_AROUND: "The decision to go around",
        TopicKind.STANDARD: f"The standard: {topic.name}",
    }
    return titles[topic.kind]


def topic_sentence(topic: Topic, units: Units) -> str:
    """Why it is to be trained."""
    count = f"{topic.bad} of the latest {topic.count}"
    if topic.kind is TopicKind.LATE_GO_AROUND:
        return f"{topic.bad} of {topic.count} go-arounds among the latest exercises came late."
    if topic.kind is TopicKind.STANDARD:
        return f"Not met in {count} exercises in which it could be observed."
    if topic.kind is TopicKind.HEIGHT_IN_HAND:
        return f"Below what a dead engine needs in {count}{_middle(topic.middle, units)}."
    return f"Outside the window in {count}{_error_middle(topic.middle, units)}."


def _middle(middle: Middle | None, units: Units) -> str:
    if middle is None:
        return ""
    low, high = units.height.figure(middle.median_low), units.height.text(middle.median_high)
    return f"; median {units.height.signed(middle.median)}, 90 % between {low} and {high}"


def _error_middle(middle: Middle | None, units: Units) -> str:
    if middle is None:
        return ""
    low, high = sorted((middle.median_low, middle.median_high), key=abs)
    if low * high <= 0.0:
        return f"; {height_error_words(middle.median_low, units)} to {height_error_words(middle.median_high, units)}"
    interval = f"90 % between {units.height.figure(abs(low))} and {units.height.text(abs(high))}"
    return f"; {height_error_words(middle.median, units)} in the median, {interval}"

"""What is taught on each rung, in sentences: common practice, no source; the figures come from the exercise."""

from __future__ import annotations

from dataclasses import dataclass

from volplane.services.rungs import Rung


@dataclass(frozen=True, slots=True)
class RungWords:
    """The words of a rung: each a sentence or a few."""

    objective: str
    prerequisites: tuple[str, ...]
    content: tuple[str, ...]
    instructor: tuple[str, ...]
    trainee: tuple[str, ...]
    errors: tuple[str, ...]
    done_when: tuple[str, ...]


LADDER: dict[Rung, RungWords] = {
    Rung.TRIM: RungWords(
        objective="Best glide speed is set, trimmed and held with eyes outside, in the stand-in configuration.",
        prerequisites=("Slow flight and stalls in this airplane.", "Power, propeller and trim found without looking."),
        content=(
            "What the dead engine would do, and what stands in for it.",
            "From cruise: hold height until best glide speed, then let it descend and trim.",
            "Speed off by ten knots each way: what the sink shows, and how long it takes to come back.",
        ),
        instructor=(
            "Flies the first set-up and names what is done.",
            "Closes the throttle only: never fuel, mixture or magnetos.",
            "Keeps the lookout while the trainee trims.",
        ),
        trainee=("Sets up in the same order each time and says it.", "Trims before turning.", "Looks out, then reads."),
        errors=(
            "The nose goes down at once, and the speed is never caught.",
            "Speed is chased with pitch and not trimmed.",
            "Carburettor heat or cowl flaps forgotten.",
        ),
        done_when=("Three set-ups in a row settle within half a minute and hold the speed hands off.",),
    ),
    Rung.POINT: RungWords(
        objective="A whole exercise is flown about a point, above an altitude that plays the ground.",
        prerequisites=("The rung below.",),
        content=(
            "The path on the whiteboard: high key, low key, turn to base, final, each with its height.",
            "The same path about a road crossing or a farm, down to the practice floor.",
            "How the wind drifts the turn, and how the bank answers it.",
        ),
        instructor=(
            "Chooses the point and clears the area below and around.",
            "Reads the altimeter at each gate and writes it down.",
            "Calls the go-around at the floor without fail.",
        ),
        trainee=("Says height and place at each gate.", "Holds speed in the turn.", "Goes around at the floor."),
        errors=(
            "Looks at the point and lets the speed go.",
            "The bank grows when the point moves under the wing.",
            "The floor is flown through because nothing is there.",
        ),
        done_when=("Two exercises in a row pass every gate inside its window and end in a go-around at the floor.",),
    ),
    Rung.LOW_KEY: RungWords(
        objective="From abeam the touchdown point the airplane is brought to the point without power.",
        prerequisites=("The rungs below.", "Short final and full-flap landings in this airplane."),
        content=(
            "The low key as the place where everything is decided: height, distance, wind.",
            "When to turn to base, and the latest place to turn.",
            "Ways to lose height, and which come first because they can be taken back.",
            "The aim point and the float: where the glide meets the runway, and where the wheels touch.",
        ),
        instructor=(
            "Sets the entry height and the distance abeam.",
            "Asks at the low key: high, low or right?",
            "Takes the go-around decision where the trainee does not.",
        ),
        trainee=("Judges at the low key before turning.", "Turns early rather than late.", "Says the break-off."),
        errors=(
            "Downwind is flown on after the point out of habit.",
            "Full flap before the point is made.",
            "A stretch: nose up to reach the runway.",
        ),
        done_when=("Three of four exercises meet the standard, and every one that does not is broken off in time.",),
    ),
    Rung.HIGH_KEY: RungWords(
        objective="From overhead the field the airplane is brought by the low key to the point without power.",
        prerequisites=("The rungs below.",),
        content=(
            "The high key turn: even over the ground, shallow, and what it costs in height.",
            "Arriving at the low key at its height: where surplus is spent and where it is not.",
            "What an entry too high or too low changes.",
        ),
        instructor=(
            "Varies the entry height within the windows.",
            "Says nothing between the keys unless safety asks for it.",
            "Takes the figures of the gates for the debrief.",
        ),
        trainee=(
            "Plans the turn from the wind before the high key.",
            "Corrects at the low key.",
            "Says what is flown.",
        ),
        errors=(
            "No correction for wind in the turn: too wide or too close at the low key.",
            "Circles below the low key to lose height.",
            "Speed grows while looking for the field.",
        ),
        done_when=("Three of four exercises pass the low key inside its window and meet the standard.",),
    ),
    Rung.CROSSWIND: RungWords(
        objective="The same is flown in crosswind and from the other side of the runway.",
        prerequisites=("The rungs below.", "Crosswind landings with power in this wind."),
        content=(
            "What crosswind does to base: with a tailwind there turn to final early, with a headwind fly it closer.",
            "The pattern mirrored: where the eyes are, which way the turns go.",
            "Slip and drift on final, and the landing.",
        ),
        instructor=(
            "Checks that the other side is free and allowed here today.",
            "Keeps the wind below the limits of airplane and trainee.",
            "Watches bank and ball on base.",
        ),
        trainee=("Says before each exercise what the wind will do on base.", "Holds the ball in the middle on base."),
        errors=(
            "Overshoots the final and steepens the turn with rudder.",
            "The same turning point as in no wind.",
            "Lookout on the wrong side after the mirror.",
        ),
        done_when=("Two exercises from each side in a row meet the standard.",),
    ),
    Rung.SURPRISE: RungWords(
        objective="Power is taken away without notice, inside an agreed box, and the airplane is brought to the point.",
        prerequisites=("The rungs below, flown within the instructor’s reminder period.",),
        content=(
            "First the airplane, then the place, then the checks and the call.",
            "Joining the pattern where it is met: high key, low key or straight to base.",
            "Deciding early that it will not come out, and going around.",
        ),
        instructor=(
            "Agrees the box on the ground, and keeps to it.",
            "Looks for other traffic before closing the throttle, and closes the throttle only.",
            "Is ready to take over at any moment.",
        ),
        trainee=(
            "Flies the airplane first.",
            "Says where the pattern will be joined.",
            "Goes around without being told.",
        ),
        errors=(
            "Looks for a cause before flying the speed.",
            "Turns away from the field.",
            "Goes on though a gate is missed, because it is a test.",
        ),
        done_when=("Two surprises in a row come to the point or to a timely go-around.",),
    ),
}
STOP_RULES = (
    "Either says stop: the exercise is over, and nobody asks why in the air.",
    "Two broken off in a row: fly home and talk.",
    "Anything is unusual about the engine: power on slowly, land.",
    "Other traffic in the way: power on, go around, begin again later or not.",
)
EQUIPMENT = (
    "The card of today’s exercise on the kneeboard, a pencil, a stopwatch.",
    "A recorder that runs from before take-off: a phone will do.",
    "Whiteboard or the page of the exercise for the briefing.",
)
RISKS = (
    ("Collision", "Quiet field and time of day, lookout before each exercise, calls at each gate, lights on."),
    ("Stall or spin in the turn to base", "Bank within its limit, ball in the middle, go around rather than steepen."),
    ("Engine cooled or loaded at once", "Power off and on smoothly, cooled before, warmed at each exercise’s end."),
    ("A real failure during practice", "Every exercise stays within reach of the runway it is flown to."),
    ("Pressing on", "Break-off height is briefed, flown and counted as a good decision."),
)

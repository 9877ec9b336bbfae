"""What the title of a column means, from its words and units, whoever wrote it.

A title is cut into words ("AltGPS_ft" is alt, gps, ft), each word is one of a few ideas ("hgt" and "elevation" are
altitude), and a rule for each channel says which ideas it needs. Words of other things (wind, selected, oil) forbid.
No device's header is known here.
"""

from __future__ import annotations

import functools
import itertools
import re
from dataclasses import dataclass

from volplane.services.quantities import (
    ANGLE,
    ENGINE_SPEED,
    HEIGHT,
    PRESSURE,
    SPEED,
    TEMPERATURE,
    TIME_SPAN,
    VERTICAL_SPEED,
    Kind,
)
from volplane.services.recordings import Channel

_LONGEST_TITLE = 80
# each word that is understood by no rule makes a meaning less likely
_PER_UNKNOWN_WORD = 0.2
LEAST_LIKELY = 0.4

_WORDS_OF_IDEA = {
    "latitude": "latitude lat breite breitengrad",
    "longitude": "longitude long lon lng länge laenge längengrad laengengrad",
    "altitude": "altitude alt elevation elev ele height hgt höhe hoehe hauteur altura altitud",
    "gps": "gps gnss",
    "sea": "msl amsl asl sea meer",
    "pressure": "pressure press pres druck",
    "barometric": "barometric baro",
    "standard": "standard std",
    "indicated": "indicated ind altimeter qnh corrected",
    "ellipsoid": "ellipsoid ellipsoidal hae wgs84 wgs",
    "ground": "ground gnd grund",
    "speed": "speed spd velocity vel geschwindigkeit vitesse velocidad",
    "air": "air luft",
    "ias": "ias kias",
    "tas": "tas ktas",
    "cas": "cas kcas calibrated",
    "gs": "gs sog",
    "true": "true",
    "magnetic": "magnetic mag",
    "track": "track trk cog",
    "course": "course crs bearing direction kurs",
    "heading": "heading hdg steuerkurs yaw",
    "pitch": "pitch nick",
    "bank": "roll bank querneigung",
    "vertical": "vertical vert climb v",
    "vs": "vs vsi vspd vario roc",
    "rate": "rate",
    "temperature": "temperature temp temperatur",
    "outside": "outside outer ambient",
    "oat": "oat",
    "manifold": "manifold man",
    "map": "map mp ladedruck",
    "rpm": "rpm drehzahl",
    "engine": "engine eng motor prop propeller",
    "time": "time timestamp zeit uhrzeit heure hora clock",
    "date": "date datum fecha",
    "utc": "utc zulu gmt",
    "local": "local lcl lokal",
    "offset": "offset ofst timezone tz",
    "elapsed": "elapsed since relative",
    "epoch": "epoch unix posix",
    "other": (
        "accel acceleration acc ac accuracy hdop vdop pdop dop sigma error err waypoint wpt dest destination desired "
        "dist distance dst bug selected sel target autopilot ap fd wind wnd crosswind xtk cross limit alert hal val "
        "nav cdi obs oil fuel cht egt tit flow volts amps agl radar density variation var deviation magvar geoid "
        "separation terrain turn battery signal satellites sats count hobbs tach yield lift trim steps stall max min "
        "avg average gust dew cylinder exhaust turbine cabin lateral normal longitudinal"
    ),
    "": (
        "über ueber current measured value data sensor recorded of the in at over above level mean point est "
        "estimated calculated calc raw filtered smoothed no number own aircraft airplane device location position pos "
        "fix decimal e1 eng1 1 angle reading"
    ),
}
IDEA_OF_WORD = {word: idea for idea, words in _WORDS_OF_IDEA.items() for word in words.split()}

# spelled in several signs or words, made one word before a title is cut
_JOINED = tuple(
    (re.compile(pattern, re.IGNORECASE), f" {word} ")
    for pattern, word in (
        (r"\bv/s\b", "vs"),
        (r"feet\s*(?:per|/)\s*min(?:ute)?\b|\bft\s*/\s*min\b|\bfpm\b", "fpm"),
        (r"\bm\s*/\s*s(?:ec)?\b|\bmet(?:re|er)s?\s+per\s+second\b|\bm\s?s-1\b", "mps"),
        (r"\bkm\s*/\s*h\b|\bkph\b", "kmh"),
        (r"\b1\s*/\s*min\b", "rpm"),
        (r"\b(?:deg(?:rees?)?|°)[ .]*c(?:elsius)?\b|°c(?![a-z])", "degc"),
        (r"\b(?:deg(?:rees?)?|°)[ .]*f(?:ahrenheit)?\b|°f(?![a-z])", "degf"),
        (r"\bin(?:ch(?:es)?)?[ _.]*hg\b", "inhg"),
        (r"hpa\b", "hpa"),
        (r"kpa\b", "kpa"),
        (r"°", "deg"),
    )
)
_CAMEL = re.compile(r"(?<=[a-zäöü])(?=[A-ZÄÖÜ])|(?<=[A-ZÄÖÜ])(?=[A-ZÄÖÜ][a-zäöü])")
_BRACKETED = re.compile(r"[(\[{<]([^)\]}>]*)[)\]}>]")
_WORD = re.compile(r"[^\W_]+", re.UNICODE)

# how a unit may be written in a title, and its name in the quantities; short ones only where a unit is expected
_WORDS_OF_UNIT = {
    "ft": "ft feet foot",
    "m": "m meter meters metre metres",
    "kt": "kt kts kn knot knots",
    "km/h": "kmh",
    "m/s": "mps",
    "mph": "mph",
    "fpm": "fpm",
    "deg": "deg degs degree degrees",
    "rad": "rad radian radians",
    "degC": "degc c celsius",
    "degF": "degf f fahrenheit",
    "K": "k kelvin",
    "inHg": "inhg in inch inches hg",
    "hPa": "hpa mbar mb",
    "kPa": "kpa",
    "Pa": "pa",
    "rpm": "rpm",
    "s": "s sec secs second seconds",
    "ms": "ms millisecond milliseconds millis",
}
_UNIT_OF_WORD = {word: unit for unit, words in _WORDS_OF_UNIT.items() for word in words.split()}
# words that carry their unit
_CARRIED_UNIT = {"kias": "kt", "ktas": "kt", "kcas": "kt"}

KIND_OF_CHANNEL: dict[Channel, Kind] = {
    Channel.LATITUDE: ANGLE,
    Channel.LONGITUDE: ANGLE,
    Channel.GPS_ALTITUDE: HEIGHT,
    Channel.INDICATED_ALTITUDE: HEIGHT,
    Channel.PRESSURE_ALTITUDE: HEIGHT,
    Channel.ELLIPSOID_ALTITUDE: HEIGHT,
    Channel.GROUND_SPEED: SPEED,
    Channel.IAS: SPEED,
    Channel.TAS: SPEED,
    Channel.TRACK: ANGLE,
    Channel.HEADING: ANGLE,
    Channel.PITCH: ANGLE,
    Channel.BANK: ANGLE,
    Channel.VERTICAL_SPEED: VERTICAL_SPEED,
    Channel.AIR_TEMPERATURE: TEMPERATURE,
    Channel.MANIFOLD_PRESSURE: PRESSURE,
    Channel.ENGINE_SPEED: ENGINE_SPEED,
    Channel.ELAPSED_TIME: TIME_SPAN,
    Channel.SECONDS_SINCE_1970: TIME_SPAN,
}
TIMES = frozenset(
    {
        Channel.DATE_AND_TIME,
        Channel.DATE,
        Channel.TIME_OF_DAY,
        Channel.UTC_OFFSET,
        Channel.ELAPSED_TIME,
        Channel.SECONDS_SINCE_1970,
    }
)
DIRECTIONS = frozenset({Channel.TRACK, Channel.HEADING})


@dataclass(frozen=True, slots=True)
class Rule:
    """A channel needs all ideas of `needs`; `allows` are words that fit, anything else makes it less likely."""

    channel: Channel
    needs: frozenset[str]
    allows: frozenset[str]
    likelihood_ratio: float
    because: str


def _rule(channel: Channel, needs: str, allows: str = "", likelihood_ratio: float = 1.0, because: str = "") -> Rule:
    return Rule(channel, frozenset(needs.split()), frozenset(allows.split()), likelihood_ratio, because)


_AS_WRITTEN = "its words say so"
RULES = (
    _rule(Channel.LATITUDE, "latitude", "gps"),
    _rule(Channel.LONGITUDE, "longitude", "gps"),
    _rule(Channel.ELLIPSOID_ALTITUDE, "altitude ellipsoid", "gps"),
    _rule(Channel.PRESSURE_ALTITUDE, "altitude pressure", "standard"),
    _rule(Channel.PRESSURE_ALTITUDE, "altitude standard", "pressure barometric"),
    _rule(
        Channel.PRESSURE_ALTITUDE,
        "altitude barometric",
        "pressure",
        0.9,
        "barometric without a word of the altimeter's setting",
    ),
    _rule(Channel.INDICATED_ALTITUDE, "altitude indicated", "barometric pressure"),
    _rule(Channel.GPS_ALTITUDE, "altitude gps", "sea true"),
    _rule(Channel.GPS_ALTITUDE, "altitude sea", "gps true", 0.95, "above the sea, and no word of pressure"),
    _rule(Channel.GPS_ALTITUDE, "altitude", "true", 0.7, "no word says another kind of altitude"),
    _rule(Channel.VERTICAL_SPEED, "vs", "vertical speed rate gps barometric"),
    _rule(Channel.VERTICAL_SPEED, "vertical speed", "rate gps barometric"),
    _rule(Channel.VERTICAL_SPEED, "vertical rate", "gps barometric"),
    _rule(Channel.GROUND_SPEED, "gs", "gps ground speed"),
    _rule(Channel.GROUND_SPEED, "ground speed", "gps"),
    _rule(Channel.GROUND_SPEED, "gps speed", ""),
    _rule(Channel.GROUND_SPEED, "speed", "", 0.6, "a speed without the word air"),
    _rule(Channel.IAS, "ias", "indicated air speed"),
    _rule(Channel.IAS, "indicated speed", "air"),
    _rule(Channel.IAS, "air speed", "", 0.8, "an airspeed without the word true"),
    _rule(Channel.IAS, "cas", "air speed", 0.7, "calibrated airspeed, taken for indicated"),
    _rule(Channel.TAS, "tas", "true air speed"),
    _rule(Channel.TAS, "true air speed", ""),
    _rule(Channel.TAS, "true speed", "", 0.8, "a true speed is an airspeed"),
    _rule(Channel.TRACK, "track", "gps ground true magnetic"),
    _rule(Channel.TRACK, "course", "gps ground true magnetic track", 0.8, "a course over the ground"),
    _rule(Channel.HEADING, "heading", "true magnetic"),
    _rule(Channel.PITCH, "pitch", ""),
    _rule(Channel.BANK, "bank", ""),
    _rule(Channel.AIR_TEMPERATURE, "oat", "air temperature outside"),
    _rule(Channel.AIR_TEMPERATURE, "outside temperature", "air"),
    _rule(Channel.AIR_TEMPERATURE, "air temperature", "", 0.9),
    _rule(Channel.MANIFOLD_PRESSURE, "map", "manifold pressure engine"),
    _rule(Channel.MANIFOLD_PRESSURE, "manifold pressure", "engine air"),
    _rule(Channel.MANIFOLD_PRESSURE, "manifold", "engine", 0.7, "nothing else of a manifold is recorded"),
    _rule(Channel.ENGINE_SPEED, "rpm", "engine speed"),
    _rule(Channel.ENGINE_SPEED, "engine speed", ""),
    _rule(Channel.UTC_OFFSET, "offset", "utc time local"),
    _rule(Channel.ELAPSED_TIME, "elapsed", "time"),
    _rule(Channel.SECONDS_SINCE_1970, "epoch", "time utc"),
    _rule(Channel.DATE_AND_TIME, "date time", "utc gps local"),
    _rule(Channel.DATE, "date", "utc gps local"),
    _rule(Channel.TIME_OF_DAY, "time", "utc gps local"),
    _rule(Channel.TIME_OF_DAY, "utc", "gps"),
)


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a title means: the channel, the unit it names ("" when none), how likely, why, and the ideas in it."""

    channel: Channel
    unit: str
    likelihood_ratio: float
    because: str
    ideas: frozenset[str]


@functools.lru_cache(maxsize=2048)
def meaning_of(title: str, unit_cell: str = "") -> Meaning | None:
    """The likeliest meaning of a title, with the cell of a row of units below it; None when it is none of ours."""
    if not title.strip() or len(title) > _LONGEST_TITLE or len(unit_cell) > _LONGEST_TITLE:
        return None
    words, unit_words = _cut(title)
    unit_words += _words(unit_cell)
    while len(words) > 1 and len(unit_words) < 2 and (words[-1] in _UNIT_OF_WORD or words[-1] == "t"):
        unit_words.append(words.pop())
    ideas = [IDEA_OF_WORD.get(word) for word in words]
    ideas += [IDEA_OF_WORD[word] for word in unit_words if word in IDEA_OF_WORD]
    if "other" in ideas:
        return None
    known = frozenset(idea for idea in ideas if idea)
    unknown = sum(idea is None and word not in _UNIT_OF_WORD for idea, word in zip(ideas, words, strict=False))
    found = [made for rule in RULES if rule.needs <= known if (made := _made(rule, known, unknown, words, unit_words))]
    best = max(found, key=lambda meaning: meaning.likelihood_ratio, default=None)
    return best if best is not None and best.likelihood_ratio >= LEAST_LIKELY else None


def is_altimeter_setting(title: str, unit_cell: str = "") -> bool:
    """Whether a column records what the altimeter is set to: barometric, in a unit of pressure, and no altitude."""
    if len(title) > _LONGEST_TITLE or len(unit_cell) > _LONGEST_TITLE:
        return False
    every = [*itertools.chain(*_cut(title)), *_words(unit_cell)]
    ideas = {IDEA_OF_WORD.get(word) for word in every}
    is_pressure = any(PRESSURE.unit(_UNIT_OF_WORD[word]) is not None for word in every if word in _UNIT_OF_WORD)
    return is_pressure and "altitude" not in ideas and bool(ideas & {"barometric", "indicated"})


def unit_fits(channel: Channel, unit: str) -> bool:
    """Whether a channel can be in a unit, as a column map names it; no unit fits every channel."""
    kind = KIND_OF_CHANNEL.get(channel)
    if not unit:
        return True
    if channel in TIMES:
        return unit in ("s", "ms")
    size, _, north = unit.partition(" ")
    if kind is None or kind.unit(size if channel in DIRECTIONS else unit) is None:
        return False
    return north in ("", "true", "magnetic")


def is_unit(cell: str) -> bool:
    """Whether a cell of a row of units looks like one: "ft Baro", "deg", "hh:mm:ss", "yyyy-mm-dd"."""
    text = cell.strip().strip("#()[]").lower()
    if re.fullmatch(r"[ymdhs:/.\- t]+", text) and len(text) >= 5:
        return True
    words = _words(text)
    return bool(words) and all(word in _UNIT_OF_WORD or word in IDEA_OF_WORD or len(word) <= 4 for word in words)


def _made(rule: Rule, known: frozenset[str], unknown: int, words: list[str], unit_words: list[str]) -> Meaning | None:
    """The meaning a rule gives to a title, unless its unit is one of another kind of quantity."""
    unit = _unit(rule.channel, words, unit_words)
    if unit is None:
        return None
    beside = len(known - rule.needs - rule.allows - {"utc", "local"})
    # of two rules that fit, the one that explains more words is meant
    likelihood = rule.likelihood_ratio + 0.01 * len(known & (rule.needs | rule.allows))
    likelihood -= _PER_UNKNOWN_WORD * (unknown + beside)
    return Meaning(rule.channel, unit, likelihood, rule.because or _AS_WRITTEN, known)


def _unit(channel: Channel, words: list[str], unit_words: list[str]) -> str | None:
    """The unit named for a channel; "" when none is, None when one of another kind is."""
    if channel in DIRECTIONS:
        return _direction_unit(words, unit_words)
    named = [_UNIT_OF_WORD[word] for word in unit_words if word in _UNIT_OF_WORD]
    named += [_CARRIED_UNIT[word] for word in words if word in _CARRIED_UNIT]
    kind = KIND_OF_CHANNEL.get(channel)
    if kind in (SPEED, VERTICAL_SPEED):
        named = ["m/s" if unit == "ms" else unit for unit in named]
    if channel in TIMES:
        return next((unit for unit in named if unit in ("s", "ms")), "")
    if kind is None or not named:
        return ""
    return next((unit for unit in named if kind.unit(unit) is not None), None)


def _direction_unit(words: list[str], unit_words: list[str]) -> str | None:
    """ "deg", "deg true", "deg magnetic", or the same in rad; a lone M or T after it is a north, not a metre."""
    every = {*words, *unit_words}
    named = {_UNIT_OF_WORD[word] for word in unit_words if word in _UNIT_OF_WORD} - {"m"}
    if named - {"deg", "rad"}:
        return None
    size = "rad" if "rad" in named else "deg"
    if every & {"magnetic", "mag"} or "m" in unit_words:
        return f"{size} magnetic"
    if "true" in every or "t" in unit_words:
        return f"{size} true"
    return size if named else ""


def _cut(title: str) -> tuple[list[str], list[str]]:
    """The words of a title and those in its brackets."""
    for pattern, word in _JOINED:
        title = pattern.sub(word, title)
    bracketed = _words(" ".join(_BRACKETED.findall(title)))
    return _words(_BRACKETED.sub(" ", title)), bracketed


def _words(text: str) -> list[str]:
    for pattern, joined in _JOINED:
        text = pattern.sub(joined, text)
    words: list[str] = []
    for part in _WORD.findall(_CAMEL.sub(" ", text)):
        words += _split(part.lower())
    return words


@functools.lru_cache(maxsize=2048)
def _split(word: str) -> list[str]:
    """A word that is several known ones written together, taken apart: "groundspeed", "altmsl"; else as it is."""
    if word in IDEA_OF_WORD or word in _UNIT_OF_WORD or len(word) > 24:
        return [word]
    ways: list[list[str] | None] = [[], *[None] * len(word)]
    for end in range(1, len(word) + 1):
        for start in range(end):
            before, piece = ways[start], word[start:end]
            fits = (len(piece) > 1 and piece in IDEA_OF_WORD) or (len(piece) > 1 and piece in _UNIT_OF_WORD)
            if before is not None and fits and (ways[end] is None or len(before) + 1 < len(ways[end] or [])):
                ways[end] = [*before, piece]
    return ways[-1] or [word]

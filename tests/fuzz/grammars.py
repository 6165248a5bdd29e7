"""Inputs made up by rules of how people write: nearly right, and wrong in every place where a reader could fall over."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import Any

import mutate

from handfast.quantities.units import BY_DIMENSION

DIMENSIONS = (
    "length", "area", "volume", "mass", "load", "density", "pressure", "flow", "angle", "slope", "power", "speed", "rotation", "time",
    "voltage", "current", "charge", "energy", "force", "torque", "moment", "temperature", "viscosity", "share", "count", "money",
    "per_length", "hours", "days",
)  # fmt: skip
LOCALES = ("en_US", "en_US", "en_US", "de_DE", "fr_FR", "es_MX", "es_ES", "de_CH")
SPELLINGS = tuple(sorted({unit for units in BY_DIMENSION.values() for unit in units}))
OF_DIMENSION = {name: (*units, "") for name, units in BY_DIMENSION.items()} | {"money": ("",), "count": ("",)}
JOINTS = (
    " to ",
    "-",
    " - ",
    "–",
    " ± ",
    "+/-",
    " and ",
    "..",
    " likely ",
    ", likely ",
    " x ",
    " by ",
    "/",
    " of ",
    " bis ",
    ",",
    ";",
    " ",
)
BEFORE = (
    "",
    "",
    "",
    "about ",
    "~",
    "between ",
    "from ",
    "$",
    "-",
    "+",
    "ca. ",
    "under ",
    "up to ",
    "€",
    "approx ",
    "≈ ",
)

MAIL = (
    "I have a Thimble 24", "Satchel 33", "24 hp", "twenty-one ninety", "14 in", "5'6\"", "8 ft", "1/2", "1.250 kg", "$2,600", "30 %",
    "oak", "logs", "round bales", "third function", "two rear remotes", "no", "not", "my neighbour has", "if I had", "is it", "?", ".",
    ",", "\n", "> ", "\n>> ", "and", "but", "on the back", "box blade", "gate is", "slope", "steep", "quick attach", "pinned", "bucket",
    "From: a@b.c", "Subject:", "-- \n", "Sent from my phone", "call me at (555) 555-0142", "about", "roughly", "or so", "six by eight",
    "a dozen", "half a ton", "1-1/4", "20' x 12' x 6'", "hundredweight", "QUERN FERRY", "weighs 400", "no, make that", "sorry,", "=3D",
    "&nbsp;", "<br>", "\t", "•", "1)", "2.", "tyres are filled", "R4 tires", "front axle", "scale ticket", "2,240 lb gross", "ANSI",
)  # fmt: skip
CALL = (
    "gate 5 ft 6 in", "about 24 horse", "60 oak logs 12 in by 8 ft, about 400 lb", "box blade behind about 400 lb", "behind: nothing",
    "tractor Thimble 24", "two levers", "pinned", "no remotes", "slope 30 %", "promise: ring back", "note he is deaf", "budget $2,600",
    "fits it themselves", "555-0142", "roll bar up", "belt", "species red oak", "?", "gate ?", "haul 300 ft", "seven lines",
    "sub-compact", "front outlets 1", "tires filled", "brush 12 ft by 20 ft by 6 ft", "hours a year 60", "weight 1,250", "level",
)  # fmt: skip
REPLY = (
    "Q1 [quick_attach]: Two levers", "Q2 [site.gate]: about 9 ft", "> Q3 [behind.mass]: Box blade; 400 lb", "Q4 [machine]: Thimble 24",
    "Q5 [front_functions]: 1", "Q99 [zzz.y]: 4", "Q6 [work.species]: oak", "Q7 [site.slope]: can't say", "Q8 [machine]: can't tell",
    "Q1 [quick_attach]:", "q3 [rear_remotes] : dos", "Q12[machine.mass]:2240 lb", "Q4 [behind.mass]: ;;;", "Hello,", "",
)  # fmt: skip


def number(random: Random) -> str:
    """A number as somebody writes it."""
    way = random.randrange(8)
    if way == 0:
        return random.choice(mutate.NUMBERS)
    if way == 1:
        return f"{random.randrange(20)} {random.randrange(1, 16)}/{random.choice((2, 4, 8, 16, 0, 3))}"
    if way == 2:
        return f"{random.randrange(1, 40)}' {random.randrange(13)}\""
    if way == 3:
        return f"{random.randrange(1, 4000):,}"
    if way == 4:
        return f"{random.uniform(0, 5000):.{random.randrange(4)}f}".replace(".", random.choice(".,"))
    return str(random.randrange(random.choice((3, 60, 4000))))


def quantity(random: Random, dimension: str = "") -> str:
    """A quantity, a range or something near it; mostly in units of the dimension where one is named."""
    own = OF_DIMENSION.get(dimension, SPELLINGS) if random.random() < 0.9 else SPELLINGS
    written = random.choice(BEFORE) + number(random) + random.choice((" ", " ", "")) + random.choice(own)
    while random.random() < 0.35:
        written += random.choice(JOINTS) + number(random) + random.choice(("", " ")) + random.choice((*own, ""))
    return mutate.text(random, written, own, 400) if random.random() < 0.3 else written


def talk(random: Random, words: Sequence[str], between: Sequence[str], most: int) -> str:
    """Pieces of talk in any order."""
    said = random.choice(between).join(random.choice(words) for _ in range(random.randrange(1, most)))
    return mutate.text(random, said, words, 14_000) if random.random() < 0.5 else said


def plain(random: Random, keys: Sequence[str], depth: int = 3) -> Any:
    """Plain data as JSON can hold it, with keys that a record may know."""
    way = random.randrange(11 if depth else 8)
    if way < 3:
        return quantity(random)
    if way == 3:
        return random.choice((0, 1, -1, 2**63, 10**400, 3.5, -0.0, 1e308, float("nan"), float("inf"), 7))
    if way == 4:
        return random.choice((True, False, None))
    if way < 8:
        return random.choice((*keys, "", "unknown", "pinned", "logs", "x" * 300))
    if way == 8:
        return [plain(random, keys, depth - 1) for _ in range(random.randrange(4))]
    return {random.choice(keys): plain(random, keys, depth - 1) for _ in range(random.randrange(5))}


def changed(random: Random, held: Any, keys: Sequence[str]) -> Any:
    """Plain data with one or two of its values put in another's place."""
    if isinstance(held, dict) and held and random.random() < 0.9:
        key = random.choice(sorted(held))
        way = random.random()
        if way < 0.1:
            return {name: value for name, value in held.items() if name != key}
        if way < 0.25:
            return {**held, random.choice(keys): plain(random, keys)}
        return {**held, key: changed(random, held[key], keys)}
    if isinstance(held, list) and held and random.random() < 0.8:
        at = random.randrange(len(held))
        return [*held[:at], changed(random, held[at], keys), *held[at + random.choice((0, 1, 1)) :]]
    return plain(random, keys)


def toml(random: Random, keys: Sequence[str]) -> str:
    """Lines of TOML, many of them wrong."""
    lines = []
    for _ in range(random.randrange(1, 12)):
        key = random.choice(keys)
        way = random.randrange(8)
        if way == 0:
            lines.append(f"[{key}]")
        elif way == 1:
            lines.append(f"[[{random.choice(('work', 'attachment', key))}]]")
        elif way == 2:
            lines.append(
                f"{key} = {random.choice(('true', '[', '{', '[1, 2]', '[[1]]', '1979-05-27', 'nan', '{ x = 1 }', number(random)))}"
            )
        elif way == 3:
            lines.append(f"{key}.{random.choice(keys)} = 1")
        else:
            lines.append(f'{key} = "{quantity(random)}"')
    return "\n".join(lines)

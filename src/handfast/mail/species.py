"""Trees by the names that people give them, singular, as the record takes them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from handfast.mail.letter import Letter
from handfast.quantities.tables import table

GENERA = "oak maple ash birch beech cherry elm hickory walnut locust pine spruce hemlock fir cedar poplar aspen basswood cottonwood sycamore willow tamarack larch pecan hackberry alder sweetgum mulberry boxelder chestnut redwood eucalyptus hornbeam".split()
RISKY = frozenset(
    "plane lime bass hedge gum wood hardwood softwood yellow poplar bodark juniper hedge apple".split()
) - {"poplar", "juniper"}
BEFORE = "red white black hard soft sugar silver green live post bur burr yellow rock shagbark honey eastern southern northern western swamp paper sweet pin scrub big-leaf norway loblolly ponderosa scotch scots douglas blue norway water chestnut pignut river bigtooth quaking".split()
_PLACES = re.compile(
    r"[ ]+(?:st|street|rd|road|ln|lane|ave|avenue|dr|drive|hill|ridge|grove|creek|valley|hollow|run|county|court|ct|way|farm|farms|bend|mill|trail|township|park|school|church)\b|[ ]*(?:floor|table|cabinet|post and beam|fence posts|tar|nut)"
)


_FRUIT = re.compile(
    r"\b(apple|pear|plum|peach|osage orange|hedge apple)(?= (?:trees?|wood|logs?|trunks?|limbs|brush|stumps?|tops|prunings))"
)


@lru_cache(maxsize=1)
def names() -> tuple[str, ...]:
    """Every name that is looked for, the longest first."""
    rows = {row["species"].lower() for row in table("wood.csv")} | {
        row["name"].lower() for row in table("wood_names.csv")
    }
    made = {f"{kind} {tree}" for kind in BEFORE for tree in GENERA}
    return tuple(
        sorted(
            {*rows, *GENERA, *made, "box elder", "sweet gum", "tulip tree", "black gum", "balsam fir"} - RISKY,
            key=lambda name: (-len(name), name),
        )
    )


@lru_cache(maxsize=1)
def _pattern() -> re.Pattern[str]:
    spelt = "|".join(re.escape(name).replace(r"\ ", "[ -]").replace(r"\-", "[ -]?") for name in names())
    return re.compile(rf"\b({spelt})(?:e?s)?\b")


@lru_cache(maxsize=4)
def trees(letter: Letter) -> tuple[tuple[int, int, str, bool], ...]:
    """Each tree named: start, end, the name in the singular, whether it was said in the plural."""
    return tuple(_trees(letter))


def _trees(letter: Letter) -> Iterator[tuple[int, int, str, bool]]:
    for match in _pattern().finditer(letter.low):
        if _PLACES.match(letter.low, match.end()) and letter.raw[match.start()].isupper():
            continue
        if re.search(r"\b(?:mr|mrs|ms|miss)\.? $", letter.low[max(0, match.start() - 5) : match.start()]):
            continue
        name = re.sub(r"[ -]+", " ", match[1])
        yield match.start(), match.end(), name, match.group() != match[1]
    for match in _FRUIT.finditer(letter.low):
        yield match.start(), match.end(), match[1], False

"""What one version of an offer says that another does not: added, gone, changed from what to what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Said = dict[tuple[str, str], str]
Way = Mapping[str, Any]


@dataclass(frozen=True)
class Difference:
    """One difference: where it stands, what it is about, what stood there and what stands there now."""

    kind: str  # added, gone, changed
    where: str
    what: str
    before: str
    after: str


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Difference]:
    """Every difference between two offers as `offer_values` gives them, in the order in which an offer is read.

    >>> differences({"ways": [], "said": "Ring us"}, {"ways": [], "said": "Ring me"})
    [Difference(kind='changed', where='Told', what='In our words', before='Ring us', after='Ring me')]
    """
    pairs = _paired(before["ways"], after["ways"])
    both = [(was, now) if was is not None and now is not None else (None, None) for was, now in pairs]
    old, new = _said(before, [was for was, _ in both]), _said(after, [now for _, now in both])
    found = [_whole(place, was, now) for place, (was, now) in enumerate(pairs, 1) if was is None or now is None]
    for key in dict.fromkeys((*new, *old)):
        was, now = old.get(key), new.get(key)
        if was != now:
            kind = "added" if was is None else "gone" if now is None else "changed"
            found.append(Difference(kind, *key, was or "", now or ""))
    return found


def _whole(place: int, was: Way | None, now: Way | None) -> Difference:
    """A way that is new or gone, in one line."""
    way, kind = (now, "added") if was is None else (was, "gone")
    assert way is not None
    text = f"{way['title']}: {way['total']}, not more than {way['ceiling']}"
    before, after = ("", text) if kind == "added" else (text, "")
    return Difference(kind, f"Way {place}", way["name"] or "outfit", before, after)


def _paired(before: Sequence[Way], after: Sequence[Way]) -> list[tuple[Way | None, Way | None]]:
    """Ways that are held against each other: of the same outfit, then what is left in its order."""
    left = list(before)
    found: list[tuple[Way | None, Way | None]] = []
    for way in after:
        same = next((one for one in left if one["id"] == way["id"]), None)
        found.append((same, way))
        if same is not None:
            left.remove(same)
    found = [(left.pop(0), way) if was is None and left else (was, way) for was, way in found]
    return [*found, *((one, None) for one in left)]


def _said(offer: Mapping[str, Any], ways: Sequence[Way | None]) -> Said:
    """An offer as texts by what they are about; a text that is its own matter stands as itself."""
    said: Said = {("Terms", label): text for label, text in offer.get("pairs", ()) if label != "Made"}
    if offer.get("said"):
        said["Told", "In our words"] = offer["said"]
    for place, way in enumerate(ways, 1):
        head = f"Way {place}, " if len(ways) > 1 else ""
        for where, what, text in _way(way) if way is not None else ():
            said[f"{head}{where}" if head else where[:1].upper() + where[1:], what] = text
    for name, where in (("facts", "Facts"), ("cautions", "Cautions"), ("open", "Not promised")):
        for one in offer.get(name, ()):
            key, text = (one[0], ", ".join(one[1:])) if isinstance(one, list | tuple) else (one, "")
            said[where, key] = text
    said |= {("Terms", label): text for label, text in offer.get("terms", ())}
    return said


def _way(way: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    yield "outfit", "Outfit", way["title"]
    if way["name"]:
        yield "outfit", "Name", way["name"]
    yield from (("price", label, amount) for label, amount in way["bill"])
    yield from (("price", row[0], row[1]) for row in way["sums"])
    for one in way["options"]:
        yield "options", one["what"], f"{one['price']}, {'taken' if one['chosen'] else 'left'}"
    yield from (("not included", text, "") for text in way["not-included"])
    yield "fit statement", "Fit statement", way["fit"]["lead"]
    yield from (("fit statement", row[0], ", ".join(filter(None, row[1:]))) for row in way["fit"]["rows"])
    yield from (("it holds if", text, "") for text in way["fit"]["conditions"])
    ballast = way["ballast"]
    yield "weight behind", "Weight behind", " ".join(text for text in (ballast["said"], ballast["means"]) if text)
    if ballast["ask"]:
        yield "weight behind", "Answer", " ".join(text for text in (ballast["answer"], ballast["by"]) if text)

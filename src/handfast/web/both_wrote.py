"""Two people in one inquiry: what the second is shown, theirs beside yours, and what either takes over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from handfast.counter.seen import StaleInquiryError, change_seen, inquiry_seen, inquiry_then
from handfast.counter.verbs import Workspace
from handfast.machines.shelf import Shelf
from handfast.web.fields import field_at
from handfast.web.form import data_of, shown

THEIRS = "theirs:"  # before a place: of the two, theirs is to stand


@dataclass(frozen=True)
class Wrote:
    """A place that somebody else has changed: what stood there, what they wrote, what you sent."""

    place: str
    label: str
    was: str
    theirs: str
    yours: str
    asked: bool  # whether both wrote something else, so that one has to give way


class BothWroteError(Exception):
    """Somebody has changed the inquiry since the form was drawn; nothing was stored."""

    def __init__(self, now: str, version: int, wrote: list[Wrote]) -> None:
        super().__init__(f"version {version}")
        self.now, self.version, self.wrote = now, version, wrote


def version_in(given: Mapping[str, str]) -> int | None:
    """The version that a form was drawn at; None where it carries none."""
    told = given.get("version", "")
    return int(told) if told.isascii() and told.isdigit() and len(told) < 18 else None


def text_seen(workspace: Workspace, number: int, version: int | None) -> tuple[int, str]:
    """The version and the text that a form was drawn from; the newest where it does not say. KeyError: no inquiry."""
    now, row = inquiry_seen(workspace, number)
    then = None if version is None or version == now else inquiry_then(workspace, number, version)
    return (now, row.text) if then is None or version is None else (version, then)


def keep_seen(workspace: Workspace, number: int, text: str, version: int) -> None:
    """Store a text written over one that was seen at a version; BothWroteError where its facts have changed since."""
    base = text_seen(workspace, number, version)[1]
    while True:
        try:
            change_seen(workspace, number, text, version, "inquiry")
            return
        except StaleInquiryError as stale:
            if stale.now.text not in (base, text):
                wrote = differences(base, stale.now.text, text)
                raise BothWroteError(stale.now.text, stale.version, wrote) from None
            version = stale.version  # it was only moved to another state


def differences(base: str, theirs: str, yours: str) -> list[Wrote]:
    """What they changed, beside what you sent there.

    >>> found = differences('title = "a"', 'title = "b"', 'title = "c"')
    >>> [(one.place, one.was, one.theirs, one.yours) for one in found]
    [('title', 'a', 'b', 'c')]
    """
    was, now, mine = (dict(_flat(data_of(text))) for text in (base, theirs, yours))
    found = []
    for place in dict.fromkeys((*was, *now)):
        before, after, sent = (one.get(place, "") for one in (was, now, mine))
        if before != after:
            found.append(Wrote(place, _label(place), before, after, sent, asked=sent not in (before, after)))
    return found


def own_changes(base: str, given: Mapping[str, str], shelf: Shelf) -> dict[str, str]:
    """Of a form's fields only those that were changed in it: what may be laid over somebody else's text."""
    before = data_of(base)
    fields = {place: field_at(place) for place in given}
    return {
        place: given[place]
        for place, field in fields.items()
        if field is not None and given[place].strip() != shown(before, field, shelf).strip()
    }


def changed_by_others(base: str, now: str, entries: Mapping[str, str], shelf: Shelf) -> dict[str, tuple[str, str]]:
    """Of what is to be put in, the places where somebody else has put something else since: what stood, what stands."""
    before, after = data_of(base), data_of(now)
    found = {}
    for place, text in entries.items():
        field = field_at(place)
        if field is None:
            continue
        was, stands = shown(before, field, shelf), shown(after, field, shelf)
        if was != stands and text.strip() != stands.strip():
            found[place] = (was, stands)
    return found


def _flat(data: Any, at: str = "") -> Iterator[tuple[str, str]]:
    """Every place of plain data with what it says; a figure with an origin is one place."""
    if isinstance(data, Mapping) and "value" in data:
        yield at, f"{data['value']}" + (f" ({data['origin']})" if data.get("origin") else "")
    elif isinstance(data, Mapping):
        for name, value in data.items():
            yield from _flat(value, f"{at}.{name}" if at else str(name))
    elif isinstance(data, list) and any(isinstance(one, Mapping) for one in data):
        for place, value in enumerate(data):
            yield from _flat(value, f"{at}[{place}]")
    elif isinstance(data, bool):
        yield at, "yes" if data else "no"
    else:
        yield at, ", ".join(map(str, data)) if isinstance(data, list) else str(data)


def _label(place: str) -> str:
    field = field_at(place)
    return field.label if field is not None else place.replace("_", " ")

"""The history of an inquiry in words: who, when, what it was and what it is now."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from handfast.machines.shelf import Shelf
from handfast.store.change_rows import Change
from handfast.web.fields import field_at

HEADS = {"calls": "Call", "promises": "Promise", "inquiries": "State"}


@dataclass(frozen=True)
class Told:
    """One entry of the history."""

    at: str
    who: str
    how: str  # "", "undone" or "done again"
    lines: tuple[tuple[str, str, str], ...]  # what, before, after


def local(stamp: str) -> datetime:
    """A stamp of the log by the clock of the house."""
    return datetime.fromisoformat(stamp).astimezone()


def clock(stamp: str) -> str:
    """Hours, minutes and seconds by the clock of the house."""
    return f"{local(stamp):%H:%M:%S}"


def told(log: list[Change], shelf: Shelf) -> list[Told]:
    """The history, newest first."""
    how = {"undo": "undone", "redo": "done again"}
    entries = []
    for change in reversed(log):
        at = local(change.at)
        when = f"{at.day} {at:%b %Y, %H:%M:%S}"
        entries.append(Told(when, change.who, how.get(change.step or "", ""), tuple(_lines(change, shelf))))
    return entries


def _lines(change: Change, shelf: Shelf) -> Iterator[tuple[str, str, str]]:
    before, after = change.before or "", change.after or ""
    if change.table != "inquiries" or before.startswith("state: "):
        yield HEADS.get(change.table, change.table), _plain(before), _plain(after)
        return
    if change.before is None:
        yield "Inquiry", "", "taken"
    was, now = _entries(before), _entries(after)
    for place in dict.fromkeys((*was, *now)):
        if was.get(place) != now.get(place):
            yield _label(place), _value(place, was, shelf), _value(place, now, shelf)


STAMP = re.compile(r"\b\d{4}-\d\d-\d\d(?:T\d\d:\d\d)?\b")


def _plain(said: str) -> str:
    """A line of the log with its days as the counter writes them."""

    def day(found: re.Match[str]) -> str:
        at = datetime.fromisoformat(found[0])
        return f"{at.day} {at:%b %Y, %H:%M}" if "T" in found[0] else f"{at.day} {at:%b %Y}"

    return STAMP.sub(day, said.removeprefix("state: "))


def _entries(text: str) -> dict[str, Any]:
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return {}
    return {place: value for place, value in _flat(data, "") if value != ""}


def _flat(data: Any, at: str) -> Iterator[tuple[str, Any]]:
    if isinstance(data, Mapping) and not {"value", "low"} & set(data):
        for key, value in data.items():
            yield from _flat(value, f"{at}.{key}" if at else str(key))
    elif isinstance(data, list) and any(isinstance(one, Mapping) for one in data):
        for i, value in enumerate(data):
            yield from _flat(value, f"{at}[{i}]")
    else:
        yield at, data


def _label(place: str) -> str:
    field = field_at(place)
    return field.label if field else place


def _value(place: str, entries: Mapping[str, Any], shelf: Shelf) -> str:
    value = entries.get(place)
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return str(value.get("value", value))
    if place == "machine.record" and str(value) in shelf.machines:
        return shelf.machines[str(value)].name
    if place.endswith("].record") and str(value) in shelf.attachments:
        return shelf.attachments[str(value)].name
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def headline(title: str, text: str, shelf: Shelf) -> str:
    """What an inquiry is called: its title, else what is known of it, else nothing.

    >>> headline("", '[machine]\\nengine_power = "24 hp"\\n[[work]]\\nkind = "logs"', Shelf())
    'logs, 24 hp'
    """
    if title:
        return title
    entries = _entries(text)
    places = (
        "caller.name",
        "work[0].species",
        "work[0].kind",
        "machine.record",
        "machine.name",
        "machine.engine_power",
    )
    known = [(place, _value(place, entries, shelf)) for place in places]
    words = {place: value.replace("_", " ") for place, value in known if value}
    if "machine.record" in words or "machine.name" in words:
        words.pop("machine.engine_power", None)
    species = words.pop("work[0].species", "")
    if species and "work[0].kind" in words:
        words["work[0].kind"] = f"{species} {words['work[0].kind']}"
    return ", ".join(words.values())

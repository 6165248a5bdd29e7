"""Taking facts in: from the typing line, an answer or a field, as many as hold; the rest is said and stays."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from handfast.counter import calls
from handfast.counter import verbs as counter
from handfast.counter.seen import StaleInquiryError, change_seen, inquiry_seen
from handfast.counter.verbs import Workspace
from handfast.machines.faults import Fault, Faults
from handfast.machines.shelf import Shelf
from handfast.web.asking import Asked
from handfast.web.both_wrote import changed_by_others, text_seen, version_in
from handfast.web.fields import ALSO, Field, field_at
from handfast.web.form import at_fields, checked, data_of, shown, text_of_form
from handfast.web.promised import read_promise
from handfast.web.typed import Typed, read_line, unknown

ABOUT = re.compile(r"^(?:about|around|roughly|approximately|~)\s*", re.I)


@dataclass(frozen=True)
class Refusal:
    """What was not taken: the pieces of the line, the fields to mend with what was typed, the faults; what was."""

    line: str = ""
    unread: tuple[str, ...] = ()
    mend: tuple[tuple[Field, str], ...] = ()
    faults: Mapping[str, list[str]] = field(default_factory=dict)
    rest: tuple[Fault, ...] = ()
    fresh: tuple[str, ...] = ()

    @property
    def none(self) -> bool:
        """Whether everything was taken."""
        return not (self.line or self.unread or self.faults or self.rest)

    @property
    def count(self) -> int:
        """How many things are to be put right."""
        return len(self.rest) + len(self.faults)


NO_REFUSAL = Refusal()


def digit(given: Mapping[str, str], question: Callable[[], Asked | None]) -> dict[str, str]:
    """A lone digit in the line answers the question: its entries, and an emptied line."""
    line = given.get("line", "").strip()
    if not re.fullmatch(r"[1-9]", line):
        return {}
    ask = question()
    replies = ask.replies if ask else ()
    return {"line": "", **replies[int(line) - 1].entries} if int(line) <= len(replies) else {}


def take_in(workspace: Workspace, number: int, given: Mapping[str, str]) -> Refusal:
    """Put facts into an inquiry.

    Args:
        workspace: the open workspace.
        number: of the inquiry.
        given: texts by place; `line` is the typing line, `certainty` makes what else is given about, sure or unknown.

    Returns:
        what was not taken, and what was.
    """
    while True:
        try:
            return _take_in(workspace, number, given)
        except StaleInquiryError:
            continue  # somebody was quicker: what is given goes over what stands now


def _take_in(workspace: Workspace, number: int, given: Mapping[str, str]) -> Refusal:
    shelf, (version, row) = counter.shelf(workspace), inquiry_seen(workspace, number)
    before = row.text
    entries = {place: text for place, text in given.items() if field_at(place) is not None}
    entries = _certain(entries, given.get("certainty", ""))
    typed = read_line(given.get("line", ""), shelf, data_of(before))
    entries |= typed.facts
    others = changed_by_others(text_seen(workspace, number, version_in(given))[1], before, entries, shelf)
    fresh = {place: text for place, text in entries.items() if place not in others}
    faults, refused = _stored(workspace, Seen(number, version, before), fresh, shelf)
    faults += [_theirs(place, *both, entries[place]) for place, both in others.items()]
    refused |= {place: entries[place] for place in others}
    for promise in typed.promises:
        calls.promise(workspace, number, *read_promise(promise, datetime.now()))
    return _refusal(typed, entries, faults, refused, before, shelf)


def _certain(entries: Mapping[str, str], certainty: str) -> dict[str, str]:
    """Figures made about or sure; everything made unknown."""
    if certainty == "unknown":
        return {place: unknown(place) for place in entries}
    made = dict(entries)
    for place, text in entries.items():
        bare = ABOUT.sub("", text)
        if certainty in ("about", "sure") and bare[:1].isdigit() and unknown(place):
            made[place] = f"about {bare}" if certainty == "about" else bare
    return made


@dataclass(frozen=True)
class Seen:
    """An inquiry's text as it was read, and its version."""

    number: int
    version: int
    text: str


def _theirs(place: str, was: str, stands: str, yours: str) -> Fault:
    """What somebody else put in meanwhile, said at the field."""
    found = f"“{stands or 'nothing'}”, put in meanwhile by somebody else in place of “{was or 'nothing'}”"
    return Fault("inquiry", 0, place, found, f"“{yours or 'nothing'}”, put in again, or theirs left")


def _stored(
    workspace: Workspace, seen: Seen, entries: Mapping[str, str], shelf: Shelf
) -> tuple[list[Fault], dict[str, str]]:
    """Store what holds. Where a fact does not, it alone is left out; where that does not help, nothing is stored."""
    try:
        _store(workspace, seen, entries, shelf)
    except Faults as faults:
        bad = {place: text for place, text in entries.items() if any(place == one.place for one in faults.faults)}
        good = {place: text for place, text in entries.items() if place not in bad}
        if not bad or not good:
            return faults.faults, dict(entries)
        try:
            _store(workspace, seen, good, shelf)
        except Faults:
            return faults.faults, dict(entries)
        return faults.faults, bad
    return [], {}


def _store(workspace: Workspace, seen: Seen, entries: Mapping[str, str], shelf: Shelf) -> None:
    text = text_of_form(seen.text, entries, shelf)
    if not data_of(text):
        text = calls.NOTHING
    if text != seen.text:
        checked(text, shelf)
        change_seen(workspace, seen.number, text, seen.version, "inquiry")


def _refusal(
    typed: Typed, entries: Mapping[str, str], faults: list[Fault], refused: Mapping[str, str], before: str, shelf: Shelf
) -> Refusal:
    places = {one.place for one in faults if field_at(one.place)} | set(refused)
    told, rest = at_fields(faults, places)
    by_place = {place: [_way_out(place, _labelled(one)) for one in said] for place, said in told.items()}
    data = data_of(before)
    mend = [(f, refused.get(f.place, shown(data, f, shelf))) for f in map(field_at, sorted(places)) if f is not None]
    again = dict.fromkeys(piece for place, piece in typed.pieces.items() if place in refused)
    left = ", ".join([*again, *(piece for piece, _ in typed.unread)])
    unread = tuple(why for _, why in typed.unread)
    fresh = tuple(place for place in entries if place not in refused)
    return Refusal(left, unread, tuple(mend) if faults else (), by_place, tuple(rest), fresh)


WAYS = {
    "machine.loader.lift_at_500": "Further out always lifts less. Swapped?",
    "machine.loader.lift_at_pin": "Further out always lifts less. Swapped?",
    "machine.front_axle_mass": "Which was weighed?",
    "machine.mass": "Which was weighed?",
    "behind.mass": "Does something hang there, or nothing?",
}
LABELS = {field.place.split(".")[-1]: field.label for field in ALSO.values()}


def _way_out(place: str, said: str) -> str:
    way = WAYS.get(place, "")
    return f"{said} {way}" if way else said


def _labelled(said: str) -> str:
    """A fault's sentence with the fields' labels in place of their names in the record."""
    return re.sub(r"\b[a-z]+(?:_[a-z0-9]+)+\b", lambda found: LABELS.get(found[0], found[0]).lower(), said)

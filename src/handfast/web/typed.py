"""The typing line of the call sheet: facts as they are said, in any order, each put where it belongs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from handfast.machines.shelf import Shelf
from handfast.physics.wood import species_names
from handfast.web.fields import field_at
from handfast.web.typed_words import BY_LENGTH, RULES, Entries, behind, class_of
from handfast.web.typed_work import plain, work_parts

UNKNOWN = ("?", "don't know", "not known", "unknown", "no idea")
APART = re.compile(r"[;\n]|,(?!(?<=\d,)\d)")  # a comma within a figure parts nothing
HELD = "\x1f"  # stands for a comma within a name
PROMISE = re.compile(r"^promised?:? +(.+)$", re.I)
TEXTS = ("caller.", "title", "notes", "said", "machine.record", "machine.name", "attachment[0].record")
ADDED = ("notes", "said")  # what is typed is put behind what stands there
LONGEST = 10_000


@dataclass
class Typed:
    """What a typed line says: entries by place, promises, and the pieces that were not understood."""

    facts: Entries = field(default_factory=dict)
    pieces: dict[str, str] = field(default_factory=dict)  # place: the piece that says it
    promises: list[str] = field(default_factory=list)
    unread: list[tuple[str, str]] = field(default_factory=list)  # the piece, and what in it is not understood

    @property
    def left(self) -> str:
        """What stays in the line."""
        return ", ".join(piece for piece, _ in self.unread)


def read_line(line: str, shelf: Shelf, data: Mapping[str, Any] | None = None) -> Typed:
    """The entries that a typed line makes; a piece with a word that says nothing is left whole, and put nowhere.

    Args:
        line: what was typed; facts stand between commas or semicolons.
        shelf: the shelf whose names may be used.
        data: the inquiry as it stands, to which lines of work are added.

    Returns:
        what was understood, and what was not.

    >>> read_line("gate 5 ft 6 in, about 24 horse", Shelf()).facts
    {'site.gate': '5 ft 6 in', 'machine.engine_power': 'about 24 hp'}
    """
    typed, now = Typed(), dict(data or {})
    for piece in _pieces(line[:LONGEST], shelf):
        promise = PROMISE.match(piece)
        if promise:
            typed.promises.append(promise[1])
            continue
        said = re.sub(r"^(?:and|he has|she has|they have|has|it has|it's|with) ", "", piece, flags=re.I)
        said = " ".join(re.sub(r"[~≈]", "about ", said).split())
        found, unread = _read(said, shelf, now, typed)
        if unread or not found:
            typed.unread.append((piece, unread or piece))
            continue
        for place, value in found.items():
            typed.facts[place] = value
            typed.pieces[place] = piece
    return typed


def _pieces(line: str, shelf: Shelf) -> Iterator[str]:
    names = [one.name for one in shelf.machines.values()] + [one.name for one in shelf.attachments.values()]
    for name in (*names, *species_names()):
        if "," in name:
            line = re.sub(re.escape(name), lambda found: found[0].replace(",", HELD), line, flags=re.I)
    for piece in APART.split(line):
        kept = " ".join(piece.replace(HELD, ",").split())
        if kept:
            yield kept


def _read(said: str, shelf: Shelf, data: Mapping[str, Any], typed: Typed) -> tuple[Entries, str]:
    """The entries of one piece, and its words that say nothing."""
    own = said.casefold().replace(" ", "_")
    if own in {machine.quick_attach for machine in shelf.machines.values()}:
        return {"machine.quick_attach": own}, ""
    for pattern, made in RULES:
        if match := pattern.match(said):
            return {place: _figure(place, value) for place, value in made(match).items()}, ""
    hangs = behind(re.sub(rf"(?: |^)(?:{'|'.join(map(re.escape, UNKNOWN))})$", " unknown", said))
    if hangs is not None:
        return {place: plain(value) for place, value in hangs.items()}, ""
    parts, unread = work_parts(said)
    if parts and not unread:
        return _work(parts, data, typed), ""
    return _by_first(said, shelf, data) or _named(said, shelf) or ({}, unread)


def _figure(place: str, value: str) -> str:
    return value if place.startswith(TEXTS) else plain(value)


def unknown(place: str) -> str:
    """How a place says that it is not known: a quantity says so, all else stays empty."""
    field = field_at(place)
    words = field is None or field.kind != "text" or field.listed or place.startswith(TEXTS)
    return "" if words else "unknown"


def _by_first(said: str, shelf: Shelf, data: Mapping[str, Any]) -> tuple[Entries, str] | None:
    """A piece whose first word says which fact it is; None where none does."""
    low = said.casefold()
    for word, place in BY_LENGTH:
        if not low.startswith((f"{word} ", f"{word}:", f"{word}=")):
            continue
        value = said[len(word) :].strip(" :=")
        if not value:
            return {}, said
        if value.casefold() in UNKNOWN:
            return {place: unknown(place)}, ""
        if place == "machine.record":
            return _named(value, shelf) or ({"machine.name": value}, "")
        if place in ADDED:
            before = str(data.get(place, ""))
            return {place: f"{before}\n{value}" if before else value}, ""
        return {place: _put(place, value, shelf)}, ""
    return None


def _put(place: str, value: str, shelf: Shelf) -> str:
    """A value as its place has it."""
    if place == "machine.class":
        return class_of(value) or value
    if place == "machine.quick_attach":
        meant = next((made(match).get(place) for pattern, made in RULES if (match := pattern.match(value))), None)
        return meant or value
    return _figure(place, value)


def _named(said: str, shelf: Shelf) -> tuple[Entries, str] | None:
    """A name of the shelf, of a town or of a quick attach, whole or what is left of it without the maker."""
    low = said.casefold()
    for place, records in (("machine.record", shelf.machines), ("attachment[0].record", shelf.attachments)):
        names = {one.name: key for key, one in records.items()}
        if exact := [name for name, key in names.items() if low in (name.casefold(), key.casefold())]:
            return {place: exact[0]}, ""
        ends = [name for name in names if re.search(rf"(?:^| ){re.escape(low)}(?:$|[ ,])", name.casefold())]
        if len(ends) == 1 and len(low) > 3:
            return {place: ends[0]}, ""
        if ends and len(low) > 3:
            return {}, f"{said}: {' or '.join(ends[:4])}"
    for town in shelf.price_book.town:
        if low == town.name.casefold():
            return {"caller.place": town.name}, ""
    return None


def _work(parts: Mapping[str, str], data: Mapping[str, Any], typed: Typed) -> Entries:
    """A line of work where it belongs: at its own kind, else on the next free line."""
    held = data.get("work")
    kinds = [str(one.get("kind", "")) for one in held if isinstance(one, dict)] if isinstance(held, list) else []
    for place, value in typed.facts.items():
        if place.startswith("work[") and place.endswith(".kind"):
            row = int(place[5])
            kinds += [""] * (row + 1 - len(kinds))
            kinds[row] = value
    kind = parts.get("kind")
    row = len(kinds) if kind else max(len(kinds) - 1, 0)
    if kind in kinds:
        row = kinds.index(str(kind))
    elif kind and kinds == ["free"]:
        row = 0
    entries = {f"work[{row}].{name}": plain(value) for name, value in parts.items()}
    return entries if kinds[row : row + 1] or kind else {f"work[{row}].kind": "free"} | entries

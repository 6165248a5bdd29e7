"""A pasted letter on the page: cleaned, read, marked up, and what is ticked put into an inquiry."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from handfast.counter import verbs as counter
from handfast.counter.seen import rewrite
from handfast.counter.verbs import Workspace
from handfast.machines.shelf import Shelf
from handfast.mail.found import Found
from handfast.mail.read import Reading, read_mail
from handfast.web.answers_back import LINE, one_answer
from handfast.web.form import checked, data_of, put_in, steps, text_of_data, value_at

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufdd0-\ufdef\ufffd-\uffff]")
TITLE_MOST = 60
SAID_MOST = 10_000  # characters, as the record takes them


@dataclass(frozen=True)
class Segment:
    """A stretch of the letter, and the numbers of the facts that it says."""

    text: str
    facts: tuple[int, ...]
    first: tuple[int, ...]  # those that begin here


def cleaned(text: str) -> str:
    """A pasted text that can be shown and stored: line ends as one, what no page may hold as a mark.

    >>> cleaned("a\\r\\nb\\x00")
    'a\\nb□'
    """
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    return _CONTROL.sub("□", plain.encode("utf-8", "replace").decode("utf-8"))


def read_pasted(text: str, shelf: Shelf) -> Reading:
    """A letter's facts and the answers to questions sent out. Raises TooLongError."""
    reading = read_mail(text, shelf)
    answers = [found for match in LINE.finditer(text) for found in _answered(match, shelf)]
    told = {one.place for one in answers}
    facts = [one for one in reading.facts if one.place not in told]
    return Reading(text, tuple(sorted([*facts, *answers], key=lambda one: (one.start, one.place))))


def _answered(match: re.Match[str], shelf: Shelf) -> list[Found]:
    answer = one_answer(int(match["number"]), match["fact"].lower(), match["words"], shelf)
    start, end = match.span("words")
    why = f"the answer to question {answer.number}, read like the form's field"
    return [Found(place, entry, entry, start, end, True, why) for place, entry in answer.entries.items()]


def segments(reading: Reading) -> list[Segment]:
    """The letter cut where facts begin and end; the texts together are the letter."""
    cuts = sorted({0, len(reading.text), *(one.start for one in reading.facts), *(one.end for one in reading.facts)})
    found = []
    for start, end in itertools.pairwise(cuts):
        inside = tuple(n for n, one in enumerate(reading.facts) if one.start <= start and end <= one.end)
        found.append(
            Segment(reading.text[start:end], inside, tuple(n for n in inside if reading.facts[n].start == start))
        )
    return found


def with_facts(base: Mapping[str, Any], facts: Sequence[Found], text: str) -> dict[str, Any]:
    """Data of an inquiry with facts put in; further kinds of work and things seen go behind those that stand there."""
    data = deepcopy(dict(base))
    lines = _lines_of(data, facts)
    for one in facts:
        place = _moved(one.place, lines)
        if place is None:
            continue
        if one.place == "machine.tyre_fill" and (
            one.entry == "none" or isinstance(value_at(data, "machine.tyre_fill"), dict)
        ):
            if one.entry == "none":
                put_in(data, "machine.notes", "No liquid in the tyres, by letter.")
            continue
        _store(data, place, one.entry)
    held = str(data.get("said", ""))
    if text.strip() and text.strip() not in held:
        data["said"] = _clipped(f"{held}\n\n{text.strip()}".strip())
    return data


def _clipped(text: str) -> str:
    """As much of a text as an inquiry keeps of what was said."""
    return text if len(text) <= SAID_MOST else text[: SAID_MOST - 2] + " …"


def _store(data: dict[str, Any], place: str, entry: Any) -> None:
    last = steps(place)[-1]
    whole = isinstance(entry, str) and entry.isascii() and entry.isdigit() and last in _WHOLE
    flag = {"yes": True, "no": False}.get(str(entry)) if last in _FLAGS and isinstance(entry, str) else None
    put_in(data, place, int(entry) if whole else entry if flag is None else flag)


_WHOLE = ("front_functions", "rear_remotes", "mid_outlets", "lines_at_valve", "lids")
_FLAGS = ("power_beyond", "seat_belt", "four_wheel_drive", "own_work", "residential", "shipping_included")


def _lines_of(data: Mapping[str, Any], facts: Sequence[Found]) -> dict[str, int]:
    """Where the letter's lines of work, attachments and things seen stand among those of the inquiry."""
    there = [each.get("kind") for each in data.get("work", [])]
    lines: dict[str, int] = {}
    for one in facts:
        match = re.fullmatch(r"(work\[\d+\])\.kind", one.place)
        if match and isinstance(one.entry, str):
            if one.entry not in there:
                there.append(one.entry)
            lines[match[1]] = there.index(one.entry)
    if there:
        lines.setdefault("work[0]", 0) if data.get("work") else None
    lines["seen_elsewhere[0]"] = len(data.get("seen_elsewhere", []))
    lines["attachment[0]"] = 0
    return lines


def _moved(place: str, lines: Mapping[str, int]) -> str | None:
    """A place of the letter as one of the inquiry; None for sizes of a kind of work that is not taken."""
    match = re.match(r"(work|seen_elsewhere|attachment)\[\d+\]", place)
    if match is None:
        return place
    if match.group() not in lines:
        return None
    return f"{match[1]}[{lines[match.group()]}]{place[match.end() :]}"


def title_of(text: str) -> str:
    """A title for a new inquiry: the letter's first line that says something."""
    line = next((" ".join(each.split()) for each in text.split("\n") if len(each.strip()) > 8), "Letter")
    return line if len(line) <= TITLE_MOST else line[:TITLE_MOST].rsplit(" ", 1)[0] + " …"


def inquiry_text(before: str, facts: Sequence[Found], text: str) -> str:
    """An inquiry's text with facts and the letter put in."""
    base = data_of(before) if before else {"title": title_of(text)}
    return text_of_data(before, with_facts(base, facts, text))


def store_letter(workspace: Workspace, number: int | None, facts: Sequence[Found], text: str) -> int:
    """Put facts into an inquiry, or make one of them. Raises Faults, nothing stored, where they can't all be true."""

    def put_in(before: str) -> str:
        after = inquiry_text(before, facts, text)
        checked(after, counter.shelf(workspace))
        return after

    if number is None:
        return counter.new_inquiry(workspace, put_in(""), "letter")
    rewrite(workspace, number, put_in, "letter")
    return number

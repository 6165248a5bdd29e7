"""Promises as they are said and as they are due: days and times by the clock of the house."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from handfast.store.call_rows import PromiseRow

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
DAY = r"(?P<day>today|tomorrow|(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?|\d{4}-\d\d-\d\d)"
TIME = r"(?P<time>noon|midday|(?P<hour>\d{1,2})(?::(?P<minute>\d\d))? ?(?P<half>am|pm)?)"
WHEN = re.compile(rf"^(?:{DAY})?(?:,? ?(?:at |by |before )?(?:{TIME}))?$", re.I)
ACTS = (
    ("the caller", re.compile(r"^(?:the )?(?:caller|they|he|she) (?:will |to )?", re.I)),
    ("the supplier", re.compile(r"^(?:the )?supplier (?:will |to )?", re.I)),
    ("the shop", re.compile(r"^(?:the )?(?:shop|yard) (?:will |to )?", re.I)),
    ("we", re.compile(r"^(?:we|i) (?:will |to )?", re.I)),
)


def by_when(text: str, now: datetime) -> str | None:
    """The day, or day and time, that words name; None where they name none. A bare 1 to 6 is of the afternoon.

    >>> by_when("before noon", datetime(2026, 3, 5, 9)), by_when("tomorrow 4", datetime(2026, 3, 5, 9))
    ('2026-03-05T12:00', '2026-03-06T16:00')
    """
    words = re.sub(r"^(?:by|before|at|on|until) ", "", " ".join(text.split()), flags=re.I)
    found = WHEN.match(words)
    if not words or found is None:
        return None
    try:
        return _moment(found, now)
    except ValueError:
        return None


def _moment(found: re.Match[str], now: datetime) -> str:
    clock = _clock(found)
    day, said = now, (found["day"] or "").casefold()
    if said == "tomorrow":
        day = now + timedelta(days=1)
    elif said[:1].isdigit():
        day = datetime.fromisoformat(said)
    elif said and said != "today":
        ahead = next(i for i, name in enumerate(DAYS) if name.startswith(said[:3])) - now.weekday()
        day = now + timedelta(days=ahead if ahead > 0 else ahead + 7)
    if clock is None:
        return f"{day:%Y-%m-%d}"
    at = day.replace(hour=clock[0], minute=clock[1])
    if not said and at < now:
        at += timedelta(days=1)
    return f"{at:%Y-%m-%dT%H:%M}"


def _clock(found: re.Match[str]) -> tuple[int, int] | None:
    if not found["time"]:
        return None
    if found["hour"] is None:
        return 12, 0
    hour, half = int(found["hour"]), (found["half"] or "").casefold()
    if half and not 0 < hour < 13:
        raise ValueError(found["time"])
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif hour < 7 and not found["minute"]:
        hour += 12
    return hour, int(found["minute"] or 0)


def read_promise(text: str, now: datetime) -> tuple[str, str, str]:
    """Who has to act, what, and by when; "" where no time was said.

    >>> read_promise("the caller sends a photo by 2026-03-06", datetime(2026, 3, 5, 9))
    ('the caller', 'sends a photo', '2026-03-06')
    """
    who = next((name for name, pattern in ACTS if pattern.match(text)), "we")
    what = re.sub(dict(ACTS)[who], "", text)
    words = what.split(" ")
    for start in range(1, len(words)):
        tail = " ".join(words[start:])
        by = by_when(tail, now) if len(words) - start <= 5 else None
        if by:
            head = re.sub(r"[ ,]+(?:by|before|at|on|until)$", "", " ".join(words[:start]).strip(" ,"), flags=re.I)
            return who, head, by
    return who, what, ""


@dataclass(frozen=True)
class Promised:
    """A promise as the pages tell it."""

    row: PromiseRow
    due: str
    overdue: bool

    @property
    def said(self) -> str:
        """Who does what."""
        return f"{self.row.who[:1].upper()}{self.row.who[1:]}"


def promised(rows: list[PromiseRow], now: datetime) -> list[Promised]:
    """Promises with when they are due, said by word."""
    return [Promised(row, *_due(row, now)) for row in rows]


def _due(row: PromiseRow, now: datetime) -> tuple[str, bool]:
    if row.done:
        return "kept", False
    if not row.by:
        return "no time said", False
    at = datetime.fromisoformat(row.by)
    timed = "T" in row.by
    late = at < now if timed else at.date() < now.date()
    gap = (at.date() - now.date()).days
    day = {0: "today", 1: "tomorrow", -1: "yesterday"}.get(gap, f"{at:%a} {at.day} {at:%b}")
    told = f"{day}, {at:%H:%M}" if timed else day
    return (f"overdue: was due {told}" if late else f"by {told}"), late

"""Why a verb of the API was not done: problem documents (RFC 9457) that name every fault."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from handfast.machines.checking import dotted
from handfast.machines.faults import Fault
from handfast.machines.toml_lines import Path

MEDIA = "application/problem+json"
KINDS: dict[str, tuple[int, str]] = {
    "faults": (422, "What was given has faults."),
    "stale": (409, "Somebody has changed the record since it was seen."),
    "not-now": (409, "It can't be done as things stand."),
    "not-there": (404, "There is no such thing."),
    "no-such-way": (405, "This address is not used in this way."),
    "who": (401, "A token is needed."),
    "may-not": (403, "The token's person may not do this."),
    "too-large": (413, "The body is too large."),
    "media": (415, "The body is of another kind than is read here."),
    "failed": (500, "Handfast failed. The log says what happened."),
}
MOST_DIFFERENCES = 200


class FaultTold(BaseModel):
    """One fault; line 0 where it stands in no line."""

    model_config = ConfigDict(extra="forbid")

    place: str = Field(description="The entry, such as `work[0].diameter`; empty where it is the whole.")
    line: int = Field(description="The line of the body, from 1.")
    found: str
    expected: str
    sentence: str = Field(description="All of it in one sentence.")


class DifferenceTold(BaseModel):
    """One entry that somebody has changed meanwhile."""

    model_config = ConfigDict(extra="forbid")

    place: str
    seen: Any = Field(description="As it was at the version that was named; null where there was nothing.")
    now: Any = Field(description="As it is now.")
    yours: Any = Field(description="As it would be by what was sent.")


class ProblemTold(BaseModel):
    """Why a verb was not done (RFC 9457)."""

    model_config = ConfigDict(extra="forbid")

    type: str = Field(description="The kind of problem, as /api tells it.")
    title: str
    status: int
    detail: str
    faults: list[FaultTold] | None = Field(default=None, description="Everything that is wrong with what was given.")
    version: int | None = Field(default=None, description="The version that the record has now.")
    difference: list[DifferenceTold] | None = Field(default=None, description="What was changed meanwhile.")


@dataclass(frozen=True)
class Problem(Exception):  # noqa: N818 - it is told, not fixed
    """Why a verb was not done."""

    kind: str
    detail: str
    more: Mapping[str, Any] = field(default_factory=dict)
    headers: Mapping[str, str] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """The document."""
        status, title = KINDS[self.kind]
        told = {"type": f"/api#{self.kind}", "title": title, "status": status, "detail": self.detail}
        return {**told, **self.more}

    def response(self) -> Response:
        """The document as it is sent."""
        text = json.dumps(self.plain(), ensure_ascii=False, allow_nan=False)
        return Response(text.encode("utf-8", "replace"), KINDS[self.kind][0], self.headers, MEDIA)


def of_faults(faults: list[Fault]) -> Problem:
    """The problem of everything that is wrong with what was given."""
    names = ("place", "line", "found", "expected")
    told = [{**{name: getattr(one, name) for name in names}, "sentence": str(one)} for one in faults]
    count = "One fault" if len(told) == 1 else f"{len(told)} faults"
    return Problem("faults", f"{count}; nothing was stored.", {"faults": told})


def one_fault(place: str, found: str, expected: str) -> Problem:
    """The problem of one fault outside the body."""
    return of_faults([Fault("request", 0, place, found, expected)])


def of_stale(version: int, seen: Any, now: Any, yours: Any) -> Problem:
    """The problem of a record that somebody has changed since it was seen, with all that they changed."""
    detail = "Nothing was stored. Look at the difference, and send the change again with the version that it has now."
    return Problem("stale", detail, {"version": version, "difference": differences(seen, now, yours)})


def differences(seen: Any, now: Any, yours: Any) -> list[dict[str, Any]]:
    """The entries that differ between what was seen and what is now, beside what was sent.

    >>> differences({"a": 1, "b": 2}, {"a": 1, "b": 3}, {"a": 5, "b": 2})
    [{'place': 'b', 'seen': 2, 'now': 3, 'yours': 2}]
    """
    was, is_now, ours = (dict(_leaves(one, ())) for one in (seen, now, yours))
    places = [place for place in {**was, **is_now} if was.get(place) != is_now.get(place)]
    return [
        {"place": dotted(at), "seen": was.get(at), "now": is_now.get(at), "yours": ours.get(at)}
        for at in places[:MOST_DIFFERENCES]
    ]


def _leaves(data: Any, above: Path) -> list[tuple[Path, Any]]:
    """Every entry of plain data with its path; a quantity's table is one entry."""
    if isinstance(data, dict) and not {"value", "low"} & data.keys():
        return [leaf for key, value in data.items() for leaf in _leaves(value, (*above, key))]
    if isinstance(data, list):
        return [leaf for place, value in enumerate(data) for leaf in _leaves(value, (*above, place))]
    return [(above, data)]

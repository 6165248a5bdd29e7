"""One verb of the API: its address, what it takes, what it answers, who may; told once, for routes and document."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel

from handfast.counter.verbs import Workspace
from handfast.web.api_body import JSON, Body
from handfast.web.api_problem import Problem, one_fault
from handfast.web.desk import Desk

MOST_NUMBER = 2**63 - 1
MOST_TEXT = 200


@dataclass(frozen=True)
class Param:
    """One parameter of an address or behind its question mark."""

    name: str
    says: str
    kind: str = "string"  # or integer
    least: int = 1
    most: int = MOST_NUMBER
    choices: tuple[str, ...] = ()
    needed: bool = False
    default: Any = None
    example: Any = None
    in_path: bool = False

    def read(self, text: str) -> Any:
        """Its value; a Problem where it has none."""
        if self.kind == "integer":
            value = int(text) if text.isascii() and text.isdigit() and len(text) < 20 else -1
            if self.least <= value <= self.most:
                return value
        elif self.choices:
            if text in self.choices:
                return text
        elif len(text) <= MOST_TEXT and text.isprintable() and (text or not self.in_path):
            return text
        if self.in_path:
            raise Problem("not-there", f"No {self.name} of that kind: {self.expected}.")
        raise one_fault(self.name, f'"{printable(text)}"', self.expected)

    @property
    def expected(self) -> str:
        """What is expected, in words."""
        if self.kind == "integer":
            return f"a whole number from {self.least} to {self.most}"
        return f"one of {', '.join(self.choices)}" if self.choices else f"text of at most {MOST_TEXT} characters"

    def schema(self) -> dict[str, Any]:
        """Its JSON Schema."""
        if self.kind == "integer":
            found: dict[str, Any] = {"type": "integer", "minimum": self.least, "maximum": self.most}
        else:
            found = {"type": "string", **({"enum": list(self.choices)} if self.choices else {"maxLength": MOST_TEXT})}
            if self.in_path and not self.choices:
                found["minLength"] = 1
        return {**found, **({"default": self.default} if self.default is not None else {})}


def printable(text: str) -> str:
    """A text as it can stand in a problem."""
    return "".join(sign if sign.isprintable() else "□" for sign in text[:60])


@dataclass(frozen=True)
class Given:
    """What a verb is given: the workspace in the person's name, and all that was said."""

    desk: Desk
    workspace: Workspace
    said: Mapping[str, Any]  # parameters by name
    body: Body | None = None
    record: Any = None  # the body, read by the verb's model
    costs: bool = True  # whether the person may see what things cost the house
    quotes: bool = True  # whether the person may make and send quotes

    def __getitem__(self, name: str) -> Any:
        return self.said[name]


@dataclass(frozen=True)
class Answer:
    """What a verb answers: data, or bytes of another kind than JSON."""

    data: Any
    headers: Mapping[str, str] = field(default_factory=dict)


Work = Callable[[Given], Any]


@dataclass(frozen=True)
class Verb:
    """One verb of the API."""

    method: str
    path: str
    name: str
    group: str
    says: str
    area: str
    work: Work
    answers: str  # the name of its answer's schema
    params: tuple[Param, ...] = ()
    takes: type[BaseModel] | None = None
    media: tuple[str, ...] = (JSON,)  # that the body may have
    gives: str = JSON
    status: int = 200
    refusals: tuple[int, ...] = ()
    example: Any = None  # of the body
    example_text: str = ""  # of the body as TOML
    reads_itself: bool = False  # whether its work reads the body by itself

    @property
    def located(self) -> bool:
        """Whether its answer says where the new record is read."""
        return self.status == 201 and self.answers in ("InquiryTold", "QuoteTold", "RecordTold")

    @property
    def writes(self) -> bool:
        """Whether it changes what is stored."""
        return self.method != "GET" and self.area != "read"


def number(of: str) -> Param:
    """The number in an address."""
    return Param("number", f"Number of the {of}.", "integer", in_path=True, needed=True, example=1)


VERSION = Param(
    "version",
    "The version at which the record was seen; where it has moved on since, nothing is stored (409).",
    "integer",
    least=0,
    needed=True,
    example=1,
)
UNITS = Param("units", "Units of the sentences; figures are SI always.", choices=("us", "metric"), default="us")

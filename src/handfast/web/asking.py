"""From a question's answers to the facts they put into the inquiry."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.advice.result import Question
from handfast.machines.inquiry import Inquiry
from handfast.web.fields import Field, field_at

# fact: answer as it stands in the table of questions, the entries it makes, its picture
Entries = dict[str, str]
REPLIES: dict[str, tuple[tuple[str, Entries, str], ...]] = {
    "quick_attach": (
        ("Two levers", {"machine.quick_attach": "universal_plate"}, "two_levers"),
        ("Four pins", {"machine.quick_attach": "pinned"}, "four_pins"),
        ("Hooks above, pins below", {"machine.quick_attach": "hook_and_pin"}, "hooks_above"),
    ),
    "front_functions": (
        ("None", {"machine.front_functions": "0"}, ""),
        ("One pair", {"machine.front_functions": "1"}, ""),
        ("Two pairs", {"machine.front_functions": "2"}, ""),
    ),
    "rear_remotes": (
        ("None", {"machine.rear_remotes": "0"}, ""),
        ("One pair", {"machine.rear_remotes": "1"}, ""),
        ("Two pairs or more", {"machine.rear_remotes": "2"}, ""),
    ),
    "power_beyond": (
        ("Six", {"machine.lines_at_valve": "6", "machine.power_beyond": "no"}, ""),
        ("Seven", {"machine.lines_at_valve": "7", "machine.power_beyond": "yes"}, ""),
    ),
    "centre": (
        ("Open", {"machine.centre": "open"}, ""),
        ("Closed", {"machine.centre": "closed"}, ""),
        ("Load sensing", {"machine.centre": "load_sensing"}, ""),
    ),
    "behind.mass": (("Nothing", {"behind.kind": "none", "behind.mass": "0 lb"}, ""),),
    "site.slope": (("Flat", {"site.slope": "0 %"}, ""), ("Some, under 10 %", {"site.slope": "0 to 10 %"}, "")),
    "tyre_fill.density": tuple(
        (words, {"machine.tyre_fill.fluid": words.lower()}, "")
        for words in ("Calcium chloride", "Beet juice", "Washer fluid", "Water")
    ),
}
PLACES = {
    "machine": "machine.record",
    "behind.mass": "behind.mass",
    "site.slope": "site.slope",
    "site.lift_to": "site.lift_to",
    "site.gate": "site.gate",
    "work.diameter": "work[0].diameter",
    "work.length": "work[0].length",
    "work.mass": "work[0].mass",
    "work.density": "work[0].density",
    "attachment.mass": "attachment[0].mass",
    "loader.rating_slope": "machine.loader.lift_at_500",
    "front_share": "machine.front_axle_mass",
    "tyre_fill.volume": "machine.rear_tyre.size",
}
FACT_FIELDS: dict[str, tuple[str, ...]] = {
    "caller.place": ("caller.place", "caller.name", "caller.number", "caller.freight_zone"),
    "machine": ("machine.record", "machine.name", "machine.class", "machine.engine_power"),
    "machine.tyre_fill": ("machine.tyre_fill",),
    "behind.mass": ("behind.kind", "behind.mass"),
    "work": tuple(f"work[0].{name}" for name in ("kind", "species", "diameter", "length", "mass", "volume", "count")),
}


@dataclass(frozen=True)
class Reply:
    """One answer that can be pressed."""

    words: str
    entries: Entries
    picture: str


@dataclass(frozen=True)
class Asked:
    """A question with what can be pressed and what can be typed."""

    question: str
    why: str
    how: str
    replies: tuple[Reply, ...]
    field: Field | None
    kind_too: Field | None
    also: Entries


def asked(question: Question, inquiry: Inquiry) -> Asked:
    """A question as the page asks it."""
    replies = tuple(Reply(*one) for one in REPLIES.get(question.fact, ()))
    place = PLACES.get(question.fact, f"machine.{question.fact}")
    chosen = field_at(place)
    if replies and question.fact not in ("behind.mass", "site.slope"):
        chosen = None
    also = {"work[0].kind": "free"} if place.startswith("work[0]") and not inquiry.work else {}
    kind = field_at("behind.kind") if question.fact == "behind.mass" else None
    return Asked(question.question, question.why, question.how, replies, chosen, kind, also)


def fields_of_fact(path: str) -> tuple[Field, ...]:
    """The fields by which a fact of the call sheet is changed."""
    return tuple(f for f in map(field_at, FACT_FIELDS.get(path, (path,))) if f is not None)

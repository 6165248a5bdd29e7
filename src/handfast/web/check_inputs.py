"""What a check rests on: its formula, and each input with its figure and where that came from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from handfast.machines.attachment import Attachment
from handfast.machines.fields import Quantity, Record
from handfast.machines.inquiry import Inquiry
from handfast.outfits.checks import check
from handfast.outfits.class_tables import typical
from handfast.quantities.estimate import Estimate
from handfast.quantities.tables import table
from handfast.web.record_fields import words_of
from handfast.web.record_view import said
from handfast.web.words import ORIGINS

LABELS = {
    "loader.rating_slope": "Lift lost with each distance ahead",
    "loader.linkage": "Linkage",
    "front_axle_assembly_mass": "Mass of the swinging front axle",
    "front_tyre.load_each": "A front tyre carries",
    "rear_tyre.load_each": "A rear tyre carries",
    "hitch_lift_610": "Hitch lift, 610 mm behind the ends",
    "loader.lift_at_500": "Lift 500 mm ahead, full height",
    "quick_attach": "What the bucket hangs on",
    "behind.mass": "Mass of what hangs behind",
    "work0.diameter": "Thickness of the piece",
    "attachment.hydraulics": "The attachment's cylinders",
    "attachment.electrics": "The attachment's actuator",
    "attachment.jaw": "Faces of the jaw",
}


@dataclass(frozen=True)
class Input:
    """One input of a check."""

    label: str
    text: str
    origin: str


def formula_of(check_id: str) -> str:
    """A check's formula in words.

    >>> formula_of("cost.budget")
    'likely total, at most the budget'
    """
    return _formulas()[check_id]


@cache
def _formulas() -> dict[str, str]:
    return {row["check"]: row["formula"] for row in table("check_formulas.csv")}


def inputs_of(
    check_id: str, inquiry: Inquiry, attachment: Attachment | None, machine_class: str | None, system: str
) -> list[Input]:
    """The facts that a check rests on, each with its figure and origin.

    Args:
        check_id: as the checks are named.
        inquiry: with its machine filled in from the shelf.
        attachment: the outfit's own; None where there is no record of it.
        machine_class: whose typical figures stand in for what is not known.
        system: us or metric.

    Returns:
        Its inputs in the order of the check.
    """
    records: dict[str, Record | None] = {
        "attachment": attachment,
        "site": inquiry.site,
        "behind": inquiry.behind,
        "wishes": inquiry.wishes,
        "work0": inquiry.work[0] if inquiry.work else None,
    }
    found = []
    for path in check(check_id).rests_on:
        head, _, tail = path.partition(".")
        record, way = (records[head], tail) if head in records else (inquiry.machine, path)
        usual, _ = typical(machine_class, path)
        found.append(_input(path, record, way, usual, inquiry.currency, system))
    return found


def _input(path: str, record: Record | None, way: str, usual: Estimate, currency: str, system: str) -> Input:
    *steps, last = way.split(".")
    for step in steps:
        record = getattr(record, step, None)
    value = getattr(record, last, None)
    label = LABELS.get(path) or (words_of(type(record), last).label if record is not None else last.replace("_", " "))
    if isinstance(value, Estimate) and value.is_unknown:
        value = usual if not usual.is_unknown else None
    if value is None or value == "" or value == ():
        return Input(label, "not known", ORIGINS["missing"])
    if isinstance(value, Estimate) and record is not None:
        dimension = _dimension(type(record), last)
        return Input(label, said(value, dimension, system, currency), ORIGINS.get(value.origin, value.origin))
    return Input(label, _plain(value), "from the record")


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value).replace("_", " ") if isinstance(value, str | int) else "as its record has it"


def _dimension(model: type[Record], name: str) -> str:
    """What a field of a record measures."""
    info = model.model_fields[name]
    return next((mark.dimension for mark in info.metadata if isinstance(mark, Quantity)), "length")

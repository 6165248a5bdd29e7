"""What a thing costs the house is left out for whoever may not see it, and kept when they change the rest."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from handfast.machines.fields import Record
from handfast.machines.reading import read_data
from handfast.store.change_rows import Change
from handfast.web.record_fields import Block

COSTS = ("cost", "list_price", "prices")  # of attachments and parts; dated prices hold the cost of each time
R = TypeVar("R", bound=Record)


def without_costs(data: Mapping[str, Any]) -> dict[str, Any]:
    """A record's plain data without what it costs the house.

    >>> without_costs({"id": "x", "price": 9, "cost": 5, "prices": [{"cost": 4}]})
    {'id': 'x', 'price': 9}
    """
    return {name: value for name, value in data.items() if name not in COSTS}


def changes_without_costs(changes: Iterable[Change]) -> list[Change]:
    """The history of a record without what it cost; a change of nothing else is told as a change of nothing."""
    return [replace(one, before=_text(one.before), after=_text(one.after)) for one in changes]


def _text(record: str | None) -> str | None:
    return None if record is None else json.dumps(without_costs(json.loads(record)), ensure_ascii=False)


def costs_kept(record: R, before: Mapping[str, Any]) -> R:
    """A record as somebody wrote it who may not see costs, with the costs that it had before; raises Faults."""
    if "cost" not in type(record).model_fields:
        return record
    had = {name: before[name] for name in COSTS if name in before}
    return read_data(type(record), {**without_costs(record.plain()), **had})


def blocks_without_costs(drawn: Iterable[Block]) -> list[Block]:
    """A form's groups without the fields of costs."""
    kept = [replace(one, slots=tuple(slot for slot in one.slots if not is_cost(slot.place))) for one in drawn]
    return [one for one in kept if one.slots]


def is_cost(place: str) -> bool:
    """Whether a place of a record is of its costs.

    >>> [is_cost(place) for place in ("cost", "prices[2].cost", "price", "shipping.mass")]
    [True, True, False, False]
    """
    return place.split(".")[0].split("[")[0].removesuffix("?") in COSTS

"""When every fact is known nothing is left to chance; one outfit or one sample alone says what it says among many.

Held against logic, not figures: a probability over facts that are all known is 0 or 1, and an elementwise reckoning
does not know what stands beside it.
"""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from pydantic import BaseModel

from handfast.advice.advise import advise
from handfast.advice.as_json import to_json
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import assess
from handfast.outfits.bench import Bench
from handfast.outfits.checks import CHECKS
from handfast.outfits.frame import frame_of
from handfast.outfits.lay import Laid, lay
from handfast.outfits.loads import WorkLoad
from handfast.quantities.estimate import Estimate

KNOWN = (
    "2-hammer-means-pins",
    "3-nothing-spare-little-money",
    "4-long-wet-logs",
    "5-brush-pile",
    "6-sideways-on-the-bank",
    "8-forks-are-the-answer",
)
OPEN = ("1-heavy-grapple-on-line", "4-long-wet-logs", "7-dads-tractor")
GIVEN = {"density": 900.0, "packing": 0.15}  # what the callers of the demonstration leave to the tables


def settled(value: Any) -> Any:
    """The same records with the middle of every spread as the only value."""
    if isinstance(value, Estimate):
        return value if value.is_unknown else Estimate.known(value.value, value.origin)
    if isinstance(value, BaseModel):
        return value.model_copy(update={name: settled(getattr(value, name)) for name in type(value).model_fields})
    if isinstance(value, tuple):
        return tuple(settled(item) for item in value)
    if isinstance(value, dict):
        return {key: settled(item) for key, item in value.items()}
    return value


@cache
def known_shelf() -> Shelf:
    shelf = settled(demo_shelf())
    bites = {
        key: one.model_copy(update={"bite_area": Estimate.known(0.3)}) if one.bite_area.is_unknown else one
        for key, one in shelf.attachments.items()
    }
    return Shelf.model_construct(
        machines=shelf.machines, attachments=bites, parts=shelf.parts, price_book=shelf.price_book
    )


@cache
def known_inquiry(name: str) -> Inquiry:
    inquiry = settled(demo_inquiries()[name].resolve(demo_shelf()))
    works = tuple(
        one.model_copy(update={k: Estimate.known(v) for k, v in GIVEN.items() if getattr(one, k).is_unknown})
        for one in inquiry.work
    )
    return inquiry.model_copy(update={"work": works})


@cache
def known_bench(name: str) -> Bench:
    return lay(known_inquiry(name), known_shelf(), 1).benches[0]


@cache
def open_laid(name: str) -> Laid:
    return lay(demo_inquiries()[name].resolve(demo_shelf()), demo_shelf(), 1)


@pytest.mark.parametrize("name", KNOWN)
def test_known_facts_leave_nothing_to_chance(name: str) -> None:
    advice = advise(known_inquiry(name), known_shelf())
    assert advice.samples == 1
    assert advice.outfits
    for outfit in advice.outfits:
        assert outfit.held in (0.0, 1.0)
        assert outfit.error == 0.0
        for check in outfit.checks:
            assert check.held in (0.0, 1.0, None), check.id
            if check.id == "cost.budget":
                continue  # labour and a set of hoses are bands whatever the price list says
            for band in (check.demand, check.capacity, check.margin):
                assert band is None or band.p10 == band.p50 == band.p90


def test_known_facts_know_no_seed() -> None:
    name = "4-long-wet-logs"
    first, second = (to_json(advise(known_inquiry(name), known_shelf(), seed)) for seed in (1, 99))
    assert first.pop("seed") != second.pop("seed")
    assert json.dumps(first) == json.dumps(second)


def test_open_facts_know_their_seed() -> None:
    """The weight of a log of an uncertain density is drawn, so another seed draws another."""
    first, second = (lay(demo_inquiries()["4-long-wet-logs"].resolve(demo_shelf()), demo_shelf(), s) for s in (1, 2))
    weights = [np.asarray(laid.benches[0].load.mass) for laid in (first, second)]
    assert weights[0].shape == weights[1].shape
    assert not np.array_equal(*weights)
    assert np.median(weights[0]) == pytest.approx(np.median(weights[1]), rel=0.01)


def everything(bench: Bench) -> dict[str, tuple[list[Any], list[Any]]]:
    """Demand and capacity of every check, one row of samples an outfit."""
    rows = range(len(bench.outfits))
    return {
        f.check.id: ([f.row("demand", row) for row in rows], [f.row("capacity", row) for row in rows])
        for f in assess(bench, CHECKS).findings
    }


def same(one: Any, other: Any) -> None:
    a, b = np.broadcast_arrays(np.asarray(one, dtype=float), np.asarray(other, dtype=float))
    np.testing.assert_allclose(a, b, rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize("name", ["4-long-wet-logs", "8-forks-are-the-answer", "3-nothing-spare-little-money"])
def test_one_attachment_alone_equals_itself_among_many(name: str) -> None:
    """Laid out by itself from the start, an attachment's outfits have the margins they have beside all others."""
    many = known_bench(name)
    whole = everything(many)
    for chosen in dict.fromkeys(outfit.attachment.id for outfit in many.outfits):
        rows = [k for k, outfit in enumerate(many.outfits) if outfit.attachment.id == chosen]
        inquiry = known_inquiry(name).model_copy(update={"attachment": (many.outfits[rows[0]].attachment,)})
        alone = lay(inquiry, known_shelf(), 1).benches[0]
        assert [outfit.id for outfit in alone.outfits] == [many.outfits[k].id for k in rows]
        for check_id, pair in everything(alone).items():
            for part, values in enumerate(pair):
                for k, row in enumerate(rows):
                    same(values[k], whole[check_id][part][row])


@pytest.mark.parametrize("name", OPEN)
def test_one_outfit_alone_equals_itself_among_many(name: str) -> None:
    """With half the facts open: the same samples, outfit by outfit."""
    many = open_laid(name).benches[0]
    whole = everything(many)
    for row in range(0, len(many.outfits), max(1, len(many.outfits) // 12)):
        for check_id, pair in everything(many.some([row])).items():
            for part, values in enumerate(pair):
                same(values[0], whole[check_id][part][row])


def at_sample(bench: Bench, k: int) -> Bench:
    """The bench in one of its samples, as if that were known."""

    def cut(values: np.ndarray) -> np.ndarray:
        return values[..., k : k + 1] if values.shape[-1] > 1 else values

    draws = replace(
        bench.draws,
        values={path: cut(np.asarray(v)) for path, v in bench.draws.values.items()},
        uniforms=bench.draws.uniforms[k : k + 1],
        size=1,
    )
    tools = {path: cut(np.asarray(v)) for path, v in bench.tools.items()}
    load = WorkLoad(*(cut(v) for v in (bench.load.mass, bench.load.x, bench.load.z, bench.load.diameter)))
    return replace(bench, draws=draws, tools=tools, load=load, frame=frame_of(bench.inquiry, draws))


@pytest.mark.parametrize("name", OPEN)
@pytest.mark.parametrize("k", [0, 63, 500])
def test_one_sample_alone_equals_itself_among_many(name: str, k: int) -> None:
    many = open_laid(name).benches[0]
    whole, single = everything(many), everything(at_sample(many, k))
    for check_id, pair in single.items():
        for part, values in enumerate(pair):
            for row, value in enumerate(values):
                among = whole[check_id][part][row]
                if len(among) not in (1, many.draws.size):
                    continue  # circuit figures are reckoned on the first few samples only
                same(value, among[min(k, len(among) - 1)])

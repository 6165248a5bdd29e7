"""One pair and many: every check of a screen is that of `advise`'s own bench, machine by machine.

The other side is `handfast.outfits.lay` and `assess`, one machine and one bench at a time, as `advise` walks.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from handfast.bulk.catalogue import Catalogue
from handfast.bulk.hang import HUNG
from handfast.bulk.screen import FITS, NO_WAY, NOT, WEIGHTED, Screen
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.added import Added
from handfast.outfits.assess import Assessment, assess
from handfast.outfits.bench import Bench
from handfast.outfits.checks import CHECKS
from handfast.outfits.lay import lay

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from territory import territory

WORKS = (
    {
        "work": ({"kind": "logs", "diameter": "14 in", "length": "8 ft", "mass": "700 lb"},),
        "site": {"slope": "10 %", "lift_to": "1.2 m", "gate": "7 ft"},
    },
    {
        "work": ({"kind": "rock", "diameter": "16 in", "mass": "300 lb"},),
        "behind": {"kind": "box_blade", "mass": "400 lb"},
    },
    {"work": ({"kind": "pallets", "mass": "900 lb"},)},
)
CLOSE = 1e-12


def alone(inquiry: Inquiry, machine: object, shelf: Shelf) -> Bench | None:
    """One machine's bench as `advise` lays it, nothing left out for weight."""
    given = inquiry.model_copy(update={"machine": machine, "attachment": tuple(shelf.attachments.values())})
    laid = lay(given, shelf, 1)
    return laid.benches[0] if laid.benches else None


def compare(machines: int, tools: int, asked: dict[str, object], seed: int) -> int:
    """Compare every pair; returns how many there were."""
    many, shelf = territory(machines, tools, seed)
    inquiry = Inquiry.model_validate(asked)
    catalogue = Catalogue(inquiry, shelf)
    screen = Screen(many, catalogue, pairs=64)
    answers = {}
    for block in screen.blocks():
        for c, m in enumerate(block.machines):
            for r, a in enumerate(block.attachments):
                answers[int(m), int(a)] = tuple(
                    getattr(block, name)[r, c] for name in ("verdict", "governs", "ratio", "payload", "counterweight")
                )
    few = shelf.model_copy(update={"attachments": {one.id: one for one in catalogue.attachments}})
    for m, machine in enumerate(many):
        bench = alone(inquiry, machine, few)
        _compare_machine(bench, catalogue, {a: answers.get((m, a)) for a in range(len(catalogue.attachments))})
    return len(many) * len(catalogue.attachments)


def _compare_machine(bench: Bench | None, catalogue: Catalogue, answers: dict[int, tuple[float, ...] | None]) -> None:
    names = [] if bench is None else [o.attachment.id for o in bench.outfits]
    bare = None if bench is None else assess(bench, CHECKS, tuple(catalogue.hard))
    heavier = None if bench is None or bare is None else _weighed(bench, bare)
    for a, tool in enumerate(catalogue.attachments):
        rows = [k for k, name in enumerate(names) if name == tool.id]
        found = answers[a]
        if not rows or bare is None or bench is None or heavier is None:
            assert found is None or found[0] == NO_WAY, tool.id
            continue
        assert found is not None
        expected = [_verdict(bench, bare, heavier, k) for k in rows]
        assert found[0] == max(expected), (tool.id, found, expected)
        payload = np.atleast_2d(bench.hung_once.payload_at(bench.frame.height_max))[:, 0][bench.hanging[rows]]
        assert np.isclose(payload, found[3], rtol=CLOSE, atol=0).any()
        if found[0] in (FITS, NOT) and found[4] == 0.0:
            ratios = [_governs(bare, k) for k in rows]
            assert any(abs(one[1] - found[2]) <= CLOSE * abs(one[1]) or one[1] == found[2] for one in ratios), (
                tool.id,
                found,
                ratios,
            )


def _governs(bare: Assessment, row: int) -> tuple[str, float]:
    one = bare.governs(row)
    return ("", np.inf) if one is None else (one.check.id, one.ratio(row))


def _verdict(bench: Bench, bare: Assessment, heavier: Assessment, row: int) -> int:
    """What one outfit comes to, from the assessments of one machine."""
    holds = bool(bare.together[row].all())
    caution = bare.of("balance.rear_share_caution").held(row)
    if holds and caution != 0.0:
        return FITS
    if not _asked(bench, row):
        return NOT
    return WEIGHTED if bool(heavier.together[row].all()) else NOT


def _weighed(bench: Bench, bare: Assessment) -> Assessment:
    """Every outfit of one machine with its own counterweight."""
    rows, far = np.arange(len(bench.outfits)), bench.frame.hitch_x
    weight = np.array([[_asked(bench, int(row))] for row in rows])
    added = Added(weight, -far[None], np.full((1, 1), 0.45), weight, far[None], rows)
    return assess(replace(bench, added=(added,), lids={}), CHECKS, bare.also_hard)


def _asked(bench: Bench, row: int) -> float:
    """Counterweight by moments: share·(W + m) = R + m·(b + f)/b, at 25 %, else at 20 % where the hitch lifts less."""
    hung = bench.hanging[row]
    front, rear = (
        float(np.atleast_2d(one)[hung % len(np.atleast_2d(one)), 0]) for one in bench.hung_once.axles("loaded_furthest")
    )
    b, f = float(bench.frame.wheelbase[0]), float(bench.frame.hitch_x[0])
    each = [(share * (front + rear) - rear) * b / (b + f - share * b) for share in (0.25, 0.20)]
    most = float(bench.draws["hitch_lift_610"][0])
    mass = each[1] if each[0] > most else each[0]
    return mass if np.isfinite(mass) and mass > 0.0 else 0.0


@pytest.mark.parametrize("work", range(len(WORKS)))
def test_a_pair_alone_and_among_many(work: int) -> None:
    assert compare(8, 70, WORKS[work], seed=work) > 60


@pytest.mark.slow
def test_ten_thousand_pairs() -> None:
    assert compare(130, 120, WORKS[0], seed=7) >= 10_000


@pytest.mark.parametrize("work", range(len(WORKS)))
def test_every_margin_of_every_check(work: int) -> None:
    """Demand and capacity of each check, each mount on each machine."""
    many, shelf = territory(30, 64, 20 + work)
    catalogue = Catalogue(Inquiry.model_validate(WORKS[work]), shelf)
    few = shelf.model_copy(update={"attachments": {one.id: one for one in catalogue.attachments}})
    decided = 0
    for kin in Screen(many, catalogue).kins:
        side = kin.rows.on(kin.draws, 0, len(kin.machines))
        for column, m in enumerate(kin.machines):
            bench = alone(catalogue.inquiry, many[m], few)
            if bench is not None:
                decided += _compare_checks(side, bench.hung_once, column)
    assert decided > 1000


def _compare_checks(side: Bench, one: Bench, column: int) -> int:
    place = {(o.attachment.id, o.mount.id, o.mount.interface): k for k, o in enumerate(side.outfits)}
    rows = [place[o.attachment.id, o.mount.id, o.mount.interface] for o in one.outfits]
    decided = 0
    for check in HUNG:
        with np.errstate(all="ignore"):
            many, alike = check.pair(side), check.pair(one)
        for wide, narrow in zip(many, alike, strict=True):
            here = np.broadcast_to(np.atleast_2d(wide), side.shape)[rows, column]
            there = np.broadcast_to(np.atleast_2d(narrow), one.shape)[:, 0]
            np.testing.assert_allclose(here, there, rtol=CLOSE, atol=0, err_msg=check.id)
        decided += int(np.isfinite(np.broadcast_to(np.atleast_2d(many[1]), side.shape)[rows, column]).sum())
    return decided

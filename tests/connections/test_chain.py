"""The chain search against exhaustive search and chains worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from handfast.connections.chain import Chain, ChainAsk, ChainIndex, ChainPart, find_chain, line_pair
from handfast.connections.chain_search import END, Search, _top
from handfast.connections.mating import Connection, End, interface, is_coupler, mates, read_interface
from handfast.connections.nearest import nearest_miss


def exhaustive(parts: list[ChainPart], ask: ChainAsk) -> tuple[float, int] | None:
    """Least total and joints over every row of parts that comes to no place twice, by plain recursion."""
    spans = ask.spans or (0.0,) * (len(ask.breaks) + 1)
    breaks = [read_interface(b) for b in ask.breaks]
    best: list[tuple[float, int]] = []

    def joint(open_end: Connection, other: Connection, passed: int, filled: bool) -> tuple[int, bool] | None:
        if not mates(open_end, other):
            return None
        if not is_coupler(open_end):
            return passed, filled
        if passed == len(breaks) or not filled or interface(open_end.family, open_end.size) != breaks[passed]:
            return None
        if passed < len(ask.near) and ask.near[passed] not in ("", open_end.gender):
            return None
        return passed + 1, spans[passed + 1] <= 0

    def walk(open_end: Connection, passed: int, filled: bool, price: float, joints: int, drop: float, seen: frozenset):
        last = joint(open_end, ask.goal, passed, filled)
        if last is not None and last[0] == len(breaks) and last[1]:
            best.append((round(price + (joints + 1) * ask.joint_cost, 6), joints + 1))
        if best and round(price + joints * ask.joint_cost, 6) > min(best)[0]:
            return
        for part in parts:
            if part.pressure_max < ask.pressure or part.bore < ask.bore or drop + part.drop > ask.drop_budget:
                continue
            for near, far in (part.ends, part.ends[::-1]):
                met = joint(open_end, near, passed, filled)
                if met is None:
                    continue
                full = met[1] or (part.length >= spans[met[0]])
                place = (interface(far.family, far.size), far.gender, met[0], full)
                if place not in seen:
                    walk(far, met[0], full, price + part.price, joints + 1, drop + part.drop, seen | {place})

    first = (interface(ask.start.family, ask.start.size), ask.start.gender, 0, spans[0] <= 0)
    walk(ask.start, 0, spans[0] <= 0, 0.0, 0, 0.0, frozenset({first}))
    return min(best, default=None)


def shelf_and_question(rng: np.random.Generator, budgeted: bool) -> tuple[list[ChainPart], ChainAsk]:
    """A small random shelf and a question to it; about half of the questions have a chain."""
    threads = [End(f, "-8", g) for f in ("flare37", "orb") for g in ("male", "female")]
    halves = [End(f, s, g) for f, s in (("coupler_ag", "1/2"), ("coupler_a", "12.5")) for g in ("male", "female")]

    def pick(ends: list[End]) -> End:
        return ends[rng.integers(len(ends))]

    parts = []
    for n in range(int(rng.integers(9, 15))):
        kind = rng.random()
        ends = (pick(threads), pick(halves)) if kind < 0.45 else (pick(threads), pick(threads))
        length = float(rng.choice([0.5, 1.0, 2.0])) if kind > 0.65 else 0.0
        parts.append(
            ChainPart(f"p{n}", ends, float(rng.integers(1, 8)), float(rng.choice([1.6e7, 2.1e7, 2.8e7])),
                      float(rng.choice([0.0095, 0.0127])), length, float(rng.integers(1, 9)) * 1e5)
        )  # fmt: skip
    breaks = tuple(rng.choice(["coupler_flat 1/2", *["coupler_a 1/2"] * 6], size=int(rng.integers(0, 3))))
    spans = (
        tuple(float(x) for x in rng.choice([0.0, 0.0, 0.8, 1.5], size=len(breaks) + 1)) if rng.random() < 0.4 else ()
    )
    start = pick(threads) if rng.random() < 0.8 else pick(halves)
    near = ("female",) if breaks and rng.random() < 0.2 else ()
    budget = float(rng.integers(5, 25)) * 1e5 if budgeted else math.inf
    limits = float(rng.choice([0.0, 0.0, 2e7])), float(rng.choice([0.0, 0.0, 0.01]))
    return parts, ChainAsk(
        start, pick(threads), breaks, *limits, float(rng.choice([0.0, 0.5, 2.0])), spans, budget, near
    )


def holds(parts: list[ChainPart], ask: ChainAsk, chain: Chain) -> bool:
    """Whether a chain is what it says: the very parts, one after the other, meet and keep the limits."""
    only = [replace(p, price=p.price) for p in parts if p.id in chain.parts]
    picked = [next(p for p in parts if p.id == i) for i in chain.parts]
    price = sum(p.price for p in picked)
    return (
        exhaustive(only, ask) is not None
        and chain.price == pytest.approx(price)
        and chain.joints == len(picked) + 1
        and chain.total == pytest.approx(price + chain.joints * ask.joint_cost)
        and chain.drop == pytest.approx(sum(p.drop for p in picked))
        and chain.drop <= ask.drop_budget
    )


@pytest.mark.parametrize("budgeted", [False, True])
def test_three_hundred_small_shelves_agree_with_exhaustive_search(budgeted: bool):
    rng = np.random.default_rng(300 + budgeted)
    joined = bound = 0
    for _ in range(300):
        parts, ask = shelf_and_question(rng, budgeted)
        truth, chain = exhaustive(parts, ask), find_chain(ChainIndex.of(parts), ask)
        if truth is None:
            assert chain is None
            continue
        joined += 1
        assert chain is not None
        assert (round(chain.total, 6), chain.joints) == truth
        assert holds(parts, ask, chain)
        free = find_chain(ChainIndex.of(parts), replace(ask, drop_budget=math.inf))
        bound += free is not None and free.total < chain.total
    assert 60 < joined < 260, "both answers are drawn"
    assert bound > 4 or not budgeted, "the budget decides some of them"


def hose(ident: str, length: float, price: float, **more: float) -> ChainPart:
    return ChainPart(
        ident, (End("flare37", "-8", "female"), End("flare37", "-8", "female")), price, length=length, **more
    )


SHELF = [
    ChainPart("port", (End("orb", "-8", "male"), End("flare37", "-8", "male")), 5.0, 3e7, 0.011),
    hose("short", 1.0, 20.0, pressure_max=2.75e7, bore=0.0127),
    hose("long", 3.0, 45.0, pressure_max=2.75e7, bore=0.0127),
    ChainPart("nipple", (End("flare37", "-8", "male"), End("orb", "-8", "male")), 4.5, 3e7, 0.011),
    ChainPart("half-f", (End("orb", "-8", "female"), End("coupler_flat", "1/2", "female")), 30.0, 2.5e7, 0.0115),
    ChainPart("half-m", (End("orb", "-8", "female"), End("coupler_flat", "1/2", "male")), 25.0, 2.5e7, 0.0115),
]
ASK = ChainAsk(
    End("orb", "-8", "female"), End("orb", "-8", "female"), ("coupler_flat 1/2",), 1.7e7, 0.01, 2.0, (2.5, 0.5)
)


def test_a_grapple_line_worked_by_hand():
    """By hand: port, long hose, nipple, half | half, nipple, short hose, port: 8 parts, 9 joints."""
    chain = find_chain(ChainIndex.of(SHELF), ASK)
    assert chain is not None
    assert sorted(chain.parts) == sorted(["nipple"] * 4 + ["long", "short", "half-f", "half-m"])
    assert chain.parts.index("long") < 4 < chain.parts.index("short")
    assert (chain.price, chain.joints, chain.total) == (138.0, 9, 156.0)


def test_the_tractor_side_half_can_be_asked_for():
    """The farm convention: female on the tractor. Crossing the other line asks the other half."""
    for near, half in (("female", "half-f"), ("male", "half-m")):
        chain = find_chain(ChainIndex.of(SHELF), replace(ASK, near=(near,)))
        assert chain is not None
        assert next(p for p in chain.parts if p.startswith("half")) == half


def test_two_lines_can_be_crossed_so_that_they_cannot_be_swapped():
    """Crossed, the tractor carries one female and one male half; uncrossed two female ones."""
    index = ChainIndex.of(SHELF)
    for crossed, halves in ((True, ["half-f", "half-m"]), (False, ["half-f", "half-f"])):
        pair = line_pair(index, ASK, ASK, crossed)
        assert [next(p for p in chain.parts if p.startswith("half")) for chain in pair if chain] == halves


def test_ports_that_mate_need_no_part():
    chain = find_chain(
        ChainIndex.of([]), ChainAsk(End("orb", "-8", "male"), End("orb", "-8", "female"), joint_cost=3.0)
    )
    assert chain == Chain((), 0.0, 1, 3.0, 0.0)


@pytest.mark.parametrize(
    ("change", "short", "met", "at"),
    [
        ({"pressure": 2.6e7}, "pressure", 2.5 / 2.6, {"half-f", "half-m"}),
        ({"bore": 0.012}, "bore", 11 / 12, {"nipple", "half-f", "half-m"}),
        ({"spans": (4.0, 0.5)}, "length", 0.75, {"long"}),
    ],
)
def test_nearest_miss_names_what_is_short(change: dict, short: str, met: float, at: set[str]):
    """By hand from the shelf: the couplers bear 250 bar, the adapters are 11 mm wide, the long hose is 3 m."""
    ask = replace(ASK, **change)
    assert find_chain(ChainIndex.of(SHELF), ask) is None
    miss = nearest_miss(SHELF, ask)
    assert miss.short == short
    assert miss.met == pytest.approx(met)
    assert at <= set(miss.at)
    assert miss.nearest is not None


def test_nearest_miss_of_a_drop_budget():
    """One way only, two parts of 1 and 2 bar: 3 bar is the least."""
    parts = [replace(SHELF[0], drop=1e5), replace(SHELF[1], drop=2e5)]
    ask = ChainAsk(End("orb", "-8", "female"), End("flare37", "-8", "male"), drop_budget=2.4e5)
    miss = nearest_miss(parts, ask)
    assert (miss.short, miss.met) == ("drop", pytest.approx(0.8))
    assert miss.nearest is not None
    assert miss.nearest.parts == ("port", "short")


def test_nearest_miss_names_the_missing_part():
    """Without the male half nothing joins the break to the grapple's line."""
    miss = nearest_miss([p for p in SHELF if p.id != "half-m"], ASK)
    assert miss.short == "part"
    assert miss.nearest is None
    assert "no part joins" in miss.why
    assert "flush-face coupler" in miss.why


def test_two_missing_parts_are_said_as_such():
    ask = ChainAsk(End("orb", "-8", "female"), End("orb", "-8", "female"), ("coupler_flat 1/2",) * 3)
    assert "more than one part" in nearest_miss([SHELF[0]], ask).why


def test_spans_must_match_breaks():
    with pytest.raises(ValueError, match="2 spans"):
        find_chain(ChainIndex.of(SHELF), replace(ASK, spans=(1.0,)))


@pytest.mark.parametrize("budgeted", [False, True])
def test_the_bounds_are_true_and_spare_work(budgeted: bool):
    """A* (Hart, Nilsson, Raphael 1968): a bound never above the truth keeps the answer; the exact one walks straight.

    Without a budget the bound at the start is the very cost; where no way leads on, nothing is looked at. No place is
    entered again by a way that is no better in money or drop.
    """
    rng = np.random.default_rng(700 + budgeted)
    looked = {True: 0, False: 0}
    for _ in range(120):
        parts, ask = shelf_and_question(rng, budgeted)
        index = ChainIndex.of(parts)
        both = {guided: Search(index, ask, guided=guided) for guided in (True, False)}
        found = {guided: search.run() for guided, search in both.items()}
        for guided, search in both.items():
            looked[guided] += len(search.labels)
            for place in {label.place for label in search.labels}:
                here = [(label.key, label.drop) for label in search.labels if label.place == place]
                for n, (key, drop) in enumerate(here):
                    assert not any(k <= key and d <= drop for k, d in here[:n])
            if found[guided] is not None:
                last = search.labels[-1]
                assert last.place == END
                assert all(label.least <= last.key * (1.0 + 1e-12) for label in search.labels)
        assert len(both[True].labels) <= len(both[False].labels)
        if found[True] is None:
            assert found[False] is None
            assert budgeted or both[True].labels == []
        elif not budgeted:
            assert both[True].labels[0].least == both[True].labels[-1].key
            assert both[True].labels[0].least == both[True].to_come(1.0, 0.0)[both[True].first]
        else:
            assert both[True].labels[0].least >= both[True].to_come(1.0, 0.0)[both[True].first] - 1.0
    assert looked[True] < 0.6 * looked[False], looked


def test_the_top_of_a_curve_is_found():
    """A parabola's top is its vertex; golden section narrows 10 wide by 0.618 a step: 25 steps are within 1e-4."""
    for top in (-3.0, 0.5, 2.2):
        assert _top(lambda x, t=top: -((x - t) ** 2), -5.0, 5.0, 25) == pytest.approx(top, abs=1e-4)
    looks: list[float] = []

    def curve(x: float) -> float:
        looks.append(x)
        return -abs(x - 1.0)

    assert _top(curve, -5.0, 4.0, 4) == pytest.approx(1.0, abs=9.0 * 0.618034**5)
    assert len(looks) == 6  # two to begin with and one a step
    assert all(-5.0 < x < 4.0 for x in looks)

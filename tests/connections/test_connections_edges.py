"""Edges of the connections: each figure of a table by its own row, any type of number, the words of a miss."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import numpy as np
import pytest

from handfast.connections import hose_run, threads
from handfast.connections.assembly import BulkHose, CrimpEnd, assemble, assemblies
from handfast.connections.chain import ChainAsk, ChainPart, find_chain
from handfast.connections.chain_index import ChainIndex
from handfast.connections.mating import End, families, show_connection
from handfast.connections.nearest import nearest_miss
from handfast.connections.ratings import coupler_rated_point, hose_ratings
from handfast.connections.rules import CircuitFacts, check_circuit, circuit_rules
from handfast.quantities.tables import table

CALLS: list[tuple[Callable[..., Any], tuple[Any, ...]]] = [
    (hose_run.carried_point, (1.0, 0.5, 0.75, 0.25, 0.125)),
    (lambda *a: hose_run.arm_point(0.5, 1.0, *a), (2.0, 0.25, 0.5, 0.125)),
    (hose_run.reach, (0.25, 0.5, [3.0, 1.0], [4.0, 0.125])),
    (hose_run.turn_allowance, (0.1875, 2.0)),
    (hose_run.length_needed, (0.75, 0.125, 0.0625)),
    (hose_run.rough_longest, ([[1.0, 1.375, np.nan], [0.5, 0.25, 0.125]],)),
    (hose_run.sold_length, (1.375,)),
    (hose_run.bow_radius, (1.5, 1.0)),
    (hose_run.plan_hose, (1.25, 1.0, 0.125, 0.1875, 2.0)),
    (lambda *a: tuple(threads.npt_dimensions(*a).values()), (2**-6, 2**-9, 2**-7)),
]
ARM = ((0.5, 1.0), (2.0, 0.25))


@pytest.mark.parametrize("kind", [np.float32, object, Decimal], ids=["single", "object", "decimal"])
@pytest.mark.parametrize("call", CALLS, ids=[str(n) for n in range(len(CALLS))])
def test_any_type_reckons_like_doubles(call: tuple[Callable[..., Any], tuple[Any, ...]], kind: Any) -> None:
    """Figures that single precision holds exactly give in any type of column what doubles give."""
    function, arguments = call
    plain = [np.atleast_1d(np.asarray(v, dtype=np.float64)) for v in arguments]
    other = [np.vectorize(Decimal, otypes=[object])(v) if kind is Decimal else v.astype(kind) for v in plain]
    first, second = (got if isinstance(got, tuple) else (got,) for got in (function(*plain), function(*other)))
    for want, got in zip(first, second, strict=True):
        assert np.asarray(got).dtype.kind == np.asarray(want).dtype.kind
        assert np.asarray(got).dtype != np.float32
        assert np.asarray(got) == pytest.approx(np.asarray(want), rel=1e-12)


def test_arm_point_moves_with_its_arm() -> None:
    """Plane geometry: along 0 and 1 the pins themselves; square to the line at the distance said; shifts carry over."""
    (px, pz), (tx, tz) = ARM
    for along, place in ((0.0, (px, pz)), (1.0, (tx, tz))):
        assert [float(v) for v in hose_run.arm_point(px, pz, tx, tz, along, 0.0)] == pytest.approx(place)
    x, z = (float(v) for v in hose_run.arm_point(px, pz, tx, tz, 0.4, 0.2))
    foot = (px + 0.4 * (tx - px), pz + 0.4 * (tz - pz))
    assert np.hypot(x - foot[0], z - foot[1]) == pytest.approx(0.2)
    assert (x - foot[0]) * (tx - px) + (z - foot[1]) * (tz - pz) == pytest.approx(0.0, abs=1e-12)
    assert z > foot[1]
    moved = [float(v) for v in hose_run.arm_point(px + 3.0, pz - 2.0, tx + 3.0, tz - 2.0, 0.4, 0.2)]
    assert moved == pytest.approx([x + 3.0, z - 2.0])


def test_rough_measures_row_by_row() -> None:
    """By hand: a tenth and 0.1 m on the longest of each row, what was not measured left aside."""
    got = hose_run.rough_longest([[1.0, np.nan, 1.2], [0.5, 0.4, np.nan]])
    assert got.tolist() == pytest.approx([1.42, 0.65])


def test_hose_rating_is_its_row() -> None:
    """Source: hose.csv: every row comes back by type and dash, the weakest first, every field its own."""
    for row in (row for row in table("hose.csv") if row["id_mm_nominal"]):
        plain = row["type"].split(" (")[0]
        found = hose_ratings(f" {plain.lower()} ", row["dash"])
        assert [one.pressure_max for one in found] == sorted(one.pressure_max for one in found)
        mine = [one for one in found if (one.hose_type, one.edition) == (row["type"], row["edition"])]
        wanted = (float(row["id_mm_nominal"]) * 1e-3, float(row["min_bend_radius_mm"]) * 1e-3)
        assert any(
            (one.bore, one.bend_radius) == pytest.approx(wanted)
            and one.pressure_max == pytest.approx(float(row["max_working_bar"]) * 1e5)
            and (one.size, one.status) == (row["dash"], row["seen_or_memory"])
            for one in mine
        ), row


def test_coupler_without_a_row_is_told_by_its_size() -> None:
    with pytest.raises(KeyError, match="9 9/16"):
        coupler_rated_point("9 9/16")


def test_rules_have_the_weight_and_the_stage_of_their_row() -> None:
    """Source: circuit_rules.csv, read anew."""
    circuit_rules.cache_clear()
    made = circuit_rules()
    rows = table("circuit_rules.csv")
    assert list(made) == [row["rule"] for row in rows]
    for row in rows:
        rule = made[row["rule"]]
        assert (rule.severity, rule.stage) == (row["severity"], row["stage"])
        assert (rule.sentence, rule.remedy) == (row["sentence"], row["remedy"])
    assert {rule.severity for rule in made.values()} == {"breaks", "mind"}
    assert {rule.stage for rule in made.values()} == {"choice", "fitting", "use"}


SERIES = CircuitFacts("third_function", centre="open", kit_centre=("open",), needs=frozenset(("power_beyond",)))


def spoken(facts: CircuitFacts) -> dict[str, str]:
    return {one.rule.id: one.sentence() for one in check_circuit(facts)}


def test_figures_stand_in_the_sentences() -> None:
    """Centre in words, the count of lines, both pressures; nothing is left in braces."""
    assert "load-sensing" in spoken(replace(SERIES, centre="load_sensing"))["centre_open_on_closed"]
    assert "closed" in spoken(replace(SERIES, centre="closed"))["centre_open_on_closed"]
    assert "6" in spoken(replace(SERIES, lines_at_valve=6))["power_beyond_lines"]
    assert "5" in spoken(replace(SERIES, lines_at_valve=5, power_beyond=True))["power_beyond_doubt"]
    weak = next(
        one for one in check_circuit(replace(SERIES, tank_port=100e5, relief=170e5)) if one.rule.id == "tank_port"
    )
    assert "100" in weak.sentence("metric") and "170" in weak.sentence("metric")
    assert weak.sentence() == weak.sentence("us") != weak.sentence("metric")
    assert weak.in_full() == f"{weak.sentence('us')}: {weak.rule.remedy}"
    for text in spoken(replace(SERIES, blocked=300e5)).values():
        assert "{" not in text


def test_rules_at_their_edges() -> None:
    """Seven lines are enough; flow at the rating is not above it; a sense port matters on a load-sensing pump alone."""
    for lines, power in ((7, None), (7, True), (None, None), (None, True)):
        said = spoken(replace(SERIES, lines_at_valve=lines, power_beyond=power))
        assert not {"power_beyond_lines", "power_beyond_doubt"} & set(said)
    bare = CircuitFacts("diverter", lines_at_valve=3)
    assert not {"power_beyond_lines", "power_beyond_doubt", "tank_port"} & set(spoken(bare))
    assert "flow_above_kit" not in spoken(replace(SERIES, flow=1e-3, kit_flow=1e-3))
    assert "flow_above_kit" not in spoken(replace(SERIES, flow=1e-3 * (1 + 5e-10), kit_flow=1e-3))
    assert "flow_above_kit" in spoken(replace(SERIES, flow=1.001e-3, kit_flow=1e-3))
    for facts in (replace(SERIES, centre="load_sensing"), replace(SERIES, needs=frozenset(("sense_port",)))):
        assert "sense_line" not in spoken(facts)
    assert "coupler_not_home" not in spoken(SERIES) and "coupler_not_home_plain" in spoken(SERIES)


HOSE = BulkHose("2sn", "-8", 0.0127, 275e5, 0.18, 20.0)
WEAK = CrimpEnd("swivel", "-8", End("flare37", "-8", "female"), 0.0105, 250e5, 16.0)
STRONG = CrimpEnd("port", "1/2", End("orb", "-8", "male"), 0.011, 400e5, 12.0)
THIN = CrimpEnd("thin", "-6", End("orb", "-6", "male"), 0.008, 400e5, 9.0)


def test_made_up_hose_by_hand() -> None:
    """Cut is overall less two ends of 50 mm; price by the metre cut and the pieces; weakest by pressure."""
    made = assemble(HOSE, WEAK, STRONG, 1.41, 6.0)
    assert made.hose is HOSE and made.ends == (WEAK, STRONG)
    assert (made.overall, made.cut) == pytest.approx((1.425, 1.325))
    assert made.price == pytest.approx(20.0 * 1.325 + 16.0 + 12.0 + 2 * 6.0)
    assert (made.bore, made.pressure_max, made.weakest) == (0.0105, 250e5, "swivel")
    assert assemble(HOSE, WEAK, STRONG, 1.41).price == pytest.approx(20.0 * 1.325 + 28.0)
    with pytest.raises(ValueError, match="thin is for a hose of -6, 2sn is -8"):
        assemble(HOSE, WEAK, THIN, 1.0)


def test_every_pair_of_ends_once_for_every_hose() -> None:
    """Pairs with repetition: 3 of two ends on one hose, 1 of the one end on the other; sizes in any writing."""
    other = BulkHose("1sn", "3/8", 0.0095, 180e5, 0.13, 12.0)
    for free in (0.0, 5.0):
        made = assemblies([HOSE, other], [WEAK, STRONG, THIN], 1.0, free)
        assert [(one.hose.id, *(end.id for end in one.ends)) for one in made] == [
            ("2sn", "swivel", "swivel"), ("2sn", "swivel", "port"), ("2sn", "port", "port"), ("1sn", "thin", "thin"),
        ]  # fmt: skip
        assert all(one.overall == pytest.approx(1.0) for one in made)
        assert made[-1].price == pytest.approx(12.0 * 0.9 + 18.0 + 2 * free)
    assert [one.price for one in assemblies([HOSE], [WEAK], 1.0)] == [assemble(HOSE, WEAK, WEAK, 1.0).price]


@pytest.mark.parametrize(
    "words, kind",
    [
        ("37°", "cone 37"), ("37 degrees", "cone 37"), ("37DEG", "cone 37"), ("24 deg cone", "cone 24"),
        ("30° cone", "cone 30"), ("  Cone  30 ", "cone 30"), ("24 degrees cone", "cone 24"), ("37 deg cone", "cone 37"),
        ("", ""), ("cone", ""),
    ],
)  # fmt: skip
def test_seat_in_any_writing(words: str, kind: str) -> None:
    assert threads.seat_of(words) == kind


def test_connection_in_words_of_its_standard_or_plain() -> None:
    row = families()["flare37"]
    assert show_connection(End("flare37", "-8", "male")) == f"{row['name']} ({row['standard']}) -8 male"
    assert show_connection(End("glue", "3", "")) == "glue 3"


PORT, TOOL = End("orb", "-8", "female"), End("flare37", "-8", "female")


def part(name: str, price: float, **given: Any) -> ChainPart:
    return ChainPart(name, (End("orb", "-8", "male"), End("flare37", "-8", "male")), price, **given)


def test_miss_says_what_is_short_and_by_how_much() -> None:
    """Pressure and bore of the weakest part over what was asked; the best of several; both parts named."""
    shelf = [part("weak", 4.0, pressure_max=1e7, bore=0.02), part("weaker", 1.0, pressure_max=5e6, bore=0.02)]
    miss = nearest_miss(shelf, ChainAsk(PORT, TOOL, pressure=2e7))
    assert (miss.short, miss.at, miss.met) == ("pressure", ("weak",), pytest.approx(0.5))
    assert miss.why == "weak: pressure 100 bar, asked for 200 bar"
    assert miss.nearest is not None and miss.nearest.parts == ("weak",)
    narrow = [part("narrow", 4.0, pressure_max=1e8, bore=0.008)]
    miss = nearest_miss(narrow, ChainAsk(PORT, TOOL, pressure=2e7, bore=0.01))
    assert (miss.short, miss.at, miss.met) == ("bore", ("narrow",), pytest.approx(0.8))
    assert miss.why == "narrow: bore 8 mm, asked for 10 mm"
    both = nearest_miss(
        [part("poor", 4.0, pressure_max=1e7, bore=0.008)], ChainAsk(PORT, TOOL, pressure=2e7, bore=0.01)
    )
    assert (both.short, both.met, both.at) == ("limits", 0.0, ("poor",))
    assert both.why == "only with several limits lowered at once: poor"


def test_miss_by_coupler_halves() -> None:
    """The only chain has its halves the other way round than asked: that is said, with the chain."""
    body = ChainPart("body", (End("orb", "-8", "male"), End("coupler_flat", "1/2", "female")), 20.0)
    tip = ChainPart("tip", (End("coupler_flat", "1/2", "male"), End("flare37", "-8", "male")), 20.0)
    ask = ChainAsk(PORT, TOOL, breaks=("coupler_flat 1/2",))
    index = ChainIndex.of([body, tip])
    assert find_chain(index, ask) is not None
    for gender in ("male", "female"):
        asked = replace(ask, near=(gender,))
        if find_chain(index, asked) is None:
            miss = nearest_miss([body, tip], asked)
            assert (miss.short, miss.met, miss.at) == ("halves", 0.5, ())
            assert miss.why == "only with the coupler halves the other way round"
            assert miss.nearest is not None and set(miss.nearest.parts) == {"body", "tip"}
            break
    else:
        pytest.fail("one of the two genders must be the wrong one")


def test_miss_by_a_part_that_is_not_there() -> None:
    """Two half chains that one more part would join name the two ends; nothing at all names nothing."""
    body = ChainPart("body", (End("orb", "-8", "male"), End("orfs", "-8", "male")), 20.0)
    tip = ChainPart("tip", (End("npt", "1/2", "male"), End("flare37", "-8", "male")), 20.0)
    miss = nearest_miss([body, tip], ChainAsk(PORT, TOOL))
    assert miss.short == "part" and miss.nearest is None and miss.met == 0.0
    assert miss.why.startswith("no part joins ") and set(miss.at) <= {"body", "tip"}
    broken = ChainAsk(PORT, TOOL, breaks=("coupler_flat 1/2", "coupler_flat 1/2"))
    gone = nearest_miss([], broken)
    assert (gone.short, gone.met, gone.nearest, gone.at) == ("part", 0.0, None, ())
    assert gone.why == "more than one part is missing between the ports"

"""Hoses made up at the bench and parts that are in stock, by bills added by hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import pytest

from handfast.connections.chain import ChainAsk
from handfast.connections.mating import End
from handfast.machines.attachment import Attachment, Hydraulics
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook, PriceLine
from handfast.machines.reading import demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.joining import joins
from handfast.outfits.line_shelf import AWAY, LINE_PARTS, LineAsk, line_shelf
from handfast.outfits.made_up import bulk_hoses, crimp_ends, crimp_price, made_up
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute

FRONT = "coupler_flat 1/2 female"
NUT, CONE = End("flare37", "-8", "female"), End("flare37", "-8", "male")
FOOT = 0.3048
HOSE: dict[str, Any] = {
    "kind": "hose", "name": "Hose 1/2 in, by the foot", "hose_size": "-8", "bore": "12.7 mm", "length": "1 ft",
    "pressure_max": "275 bar", "price": "8", "stock": 50,
}  # fmt: skip
END: dict[str, Any] = {
    "kind": "hose_end", "name": "Crimp end, swivel", "hose_size": "-8", "ends": ["flare37 -8 female"],
    "bore": "10.7 mm", "pressure_max": "276 bar", "price": "16", "stock": 9,
}  # fmt: skip


def bench(book: PriceBook | None = None, **parts: Part) -> Shelf:
    return Shelf(parts=parts, price_book=book or PriceBook())


def asked(span: float, start: End = CONE, goal: End = CONE) -> LineAsk:
    return LineAsk(ChainAsk(start, goal, (), 200e5, 0.008, spans=(span,)), frozenset())


def test_a_hose_is_made_where_none_is_long_enough() -> None:
    """5 m: 4.9 m off the drum at 8 a foot, two ends at 16, two crimps at 6."""
    book = PriceBook(line=(PriceLine(id="crimp", price="6"),))
    lines = line_shelf(bench(book, foot=Part(**HOSE), swivel=Part(**END)), None)
    side = lines.side(asked(5.0))
    assert side.chain is not None
    (made,) = (lines.parts[name] for name in side.chain.parts)
    assert lines.price(side.chain, frozenset()) == pytest.approx(4.9 / FOOT * 8 + 2 * 16 + 2 * 6, abs=0.005)
    assert (made.length.value, made.bore.value) == (5.0, pytest.approx(0.0107))
    assert "16.4 ft made up" in made.name


def test_no_made_up_hose_bears_more_than_its_weakest_part() -> None:
    weak = Part(**{**END, "ends": ["npt -8 male"], "pressure_max": "150 bar"})
    lines = line_shelf(bench(foot=Part(**HOSE), weak=weak), None)
    nut = End("npt", "-8", "female")
    side = lines.side(asked(1.0, nut, nut))
    assert side.chain is None
    assert side.miss is not None
    assert side.miss.short == "pressure"
    assert side.miss.met == pytest.approx(150 / 200)


def test_lengths_of_other_lines_are_not_offered() -> None:
    lines = line_shelf(bench(foot=Part(**HOSE), swivel=Part(**END)), None)
    short, long = lines.side(asked(1.0)), lines.side(asked(3.0))
    again = lines.side(asked(1.01))
    assert short.chain is not None
    assert long.chain is not None
    assert again.chain is not None
    lengths = [lines.parts[c.parts[0]].length.value for c in (short.chain, long.chain, again.chain)]
    assert lengths == pytest.approx([1.0, 3.0, 1.025])


def test_a_hose_without_length_price_or_size_is_no_drum() -> None:
    for name in ("length", "price", "hose_size", "bore", "pressure_max"):
        assert bulk_hoses({"x": Part(**{k: v for k, v in HOSE.items() if k != name})}) == ()
    for name in ("price", "hose_size", "bore", "pressure_max"):
        assert crimp_ends({"x": Part(**{k: v for k, v in END.items() if k != name})}) == ()
    assert len(bulk_hoses({"x": Part(**HOSE)})) == len(crimp_ends({"x": Part(**END)})) == 1


def test_crimping_is_priced_by_the_book_or_by_the_hour() -> None:
    assert crimp_price(PriceBook(line=(PriceLine(id="crimp", price="6"),), labour_rate="100")) == 6.0
    assert crimp_price(PriceBook(labour_rate="100")) == pytest.approx(5.0)
    assert crimp_price(PriceBook()) == 0.0


def ready(price: str, stock: int) -> Part:
    says: dict[str, Any] = {"ends": ["flare37 -8 female"] * 2, "length": "4 ft", "bore": "12 mm"}
    return Part(kind="hose", name="Hose", pressure_max="275 bar", price=price, stock=stock, **says)


@pytest.mark.parametrize(("near", "far", "taken"), [(50, 50, "near"), (54, 50, "near"), (56, 50, "far")])
def test_what_is_in_stock_goes_first_up_to_a_tenth(near: int, far: int, taken: str) -> None:
    """54 is within a tenth of 50, 56 is not; the bill carries the part's own price."""
    assert AWAY == 0.10
    lines = line_shelf(bench(near=ready(str(near), 3), far=ready(str(far), 0)), None)
    side = lines.side(asked(1.0))
    assert side.chain is not None
    assert side.chain.parts == (taken,)
    assert lines.price(side.chain, frozenset()) == (near if taken == "near" else far)


def test_two_cylinders_with_ports_of_their_own_take_a_tee_in_each_line() -> None:
    """Ports close, open, close, open: each line ends in a tee and two 4 ft hoses; tees cost 14 and 17."""
    shelf = demo_shelf()
    machine = Machine(**{"class": "compact_small", "relief_pressure": "170 bar", "ports": {"front": FRONT}})
    tool = Attachment(kind="root_grapple", lids=2, hydraulics=Hydraulics(ports=["flare37 -8 male"] * 4))
    outfit = Outfit(tool, MountRoute("direct", "universal_plate", "universal_plate"), PowerRoute("front_outlets"))
    bare = Shelf(parts={k: p for k, p in shelf.parts.items() if p.kind in LINE_PARTS and p.ends})
    (found,) = joins([outfit], Inquiry(machine=machine), bare)
    assert found is not None
    assert found.complete
    said = Counter({name.split(" × ")[1]: int(name[0]) for name in found.parts})
    assert sum(n for name, n in said.items() if "tee" in name) == 2, said
    assert sum(n for name, n in said.items() if "4 ft" in name) == 4
    one = joins([replace(outfit, attachment=two_ports(tool))], Inquiry(machine=machine), bare)[0]
    assert one is not None
    assert found.price > one.price + 2 * 17


def two_ports(tool: Attachment) -> Attachment:
    oil = tool.hydraulics
    assert oil is not None
    return tool.model_copy(update={"hydraulics": oil.model_copy(update={"ports": oil.ports[:2]})})


def test_the_demonstration_has_a_drum_for_every_end() -> None:
    shelf = demo_shelf()
    sizes = {hose.size for hose in bulk_hoses(shelf.parts)}
    ends = crimp_ends(shelf.parts)
    assert len(ends) == len(shelf.parts_of("hose_end"))
    assert {end.size for end in ends} <= sizes
    made = made_up(bulk_hoses(shelf.parts), ends, 2.0, 6.0, shelf)
    assert all(part.pressure_max.value <= 330e5 and part.stock for part in made.values())

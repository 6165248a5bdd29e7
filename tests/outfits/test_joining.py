"""Lines of a lid from tractor to attachment, against a shortest path of scipy and bills added by hand."""

from __future__ import annotations

import itertools
from functools import cache
from math import inf, isnan

import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from handfast.connections.mating import End, interface, is_coupler
from handfast.machines.attachment import Attachment, Hydraulics
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.bench import Join
from handfast.outfits.joining import joins
from handfast.outfits.lay import lay
from handfast.outfits.line_shelf import LINE_PARTS
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import HYDRAULIC, PowerRoute

DIRECT = MountRoute("direct", "universal_plate", "universal_plate")
FLAT = ("coupler_flat", "-8")
MACHINE = {"class": "compact_small", "relief_pressure": "170 bar"}


@cache
def shelf() -> Shelf:
    return demo_shelf()


def bare_shelf(**changes: Part) -> Shelf:
    """The demonstration's line parts at their prices, joints at no cost; no hose by length."""
    parts = {k: p for k, p in shelf().parts.items() if p.kind in LINE_PARTS and p.ends}
    return Shelf(parts={**parts, **changes})


def joined(route: PowerRoute, oil: dict[str, object], machine: dict[str, object], stock: Shelf) -> Join | None:
    tool = Attachment(kind="root_grapple", lids=1, hydraulics=Hydraulics(**oil))
    inquiry = Inquiry(machine=Machine(**{**MACHINE, **machine}))
    return joins([Outfit(tool, DIRECT, route)], inquiry, stock)[0]


def kit(**says: object) -> Part:
    return Part(id="kit", kind="valve_kit", **says)


def cheapest(stock: Shelf, start: End, goal: End, halves: tuple[str, ...], spans: tuple[float, ...]) -> float:
    """Price of the cheapest row of parts through the flat-face breaks: Dijkstra over (end, breaks, span filled)."""
    parts = [p for p in stock.parts.values() if len(p.ends) == 2 and not p.price.is_unknown]
    parts = [p for p in parts if p.pressure_max.value >= 170e5 and p.bore.value >= 0.008]
    number: dict[tuple[object, ...], int] = {}
    edges: list[tuple[int, int, float]] = []

    def place(end: End, passed: int, filled: bool) -> int:
        key = (interface(end.family, end.size), end.gender, passed, filled)
        return number.setdefault(key, len(number))

    def through(end: End, passed: int, filled: bool) -> tuple[int, bool] | None:
        """Breaks passed and span filled once another end is joined to this one."""
        if not is_coupler(end):
            return passed, filled
        good = filled and passed < len(halves) and tuple(interface(end.family, end.size)) == FLAT
        return (passed + 1, spans[passed + 1] <= 0) if good and end.gender == halves[passed] else None

    def far(part: Part, k: int) -> tuple[End, End]:
        return tuple(End(e.family, e.size, e.gender) for e in (part.ends[k], part.ends[1 - k]))  # type: ignore

    opens = {start} | {far(p, k)[1] for p in parts for k in (0, 1)}
    sink = place(End("end", "", ""), 0, False)
    for end, passed, filled in itertools.product(opens, range(len(halves) + 1), (False, True)):
        met = through(end, passed, filled)
        if met is None:
            continue
        for part, k in itertools.product(parts, (0, 1)):
            near, other = far(part, k)
            if interface(near.family, near.size) == interface(end.family, end.size) and near.gender != end.gender:
                length = part.length.value if part.kind == "hose" else 0.0
                full = met[1] or length >= spans[met[0]]
                edges.append((place(end, passed, filled), place(other, met[0], full), part.price.value))
        home = interface(goal.family, goal.size) == interface(end.family, end.size) and goal.gender != end.gender
        if home and met == (len(halves), True):
            edges.append((place(end, passed, filled), sink, 1e-9))
    rows, columns, prices = zip(*edges, strict=True)
    least: dict[tuple[int, int], float] = {}
    for row, column, price in zip(rows, columns, prices, strict=True):
        least[row, column] = min(price, least.get((row, column), inf))
    at = tuple(zip(*least, strict=True))
    graph = coo_matrix((list(least.values()), at), shape=(len(number), len(number))).tocsr()
    return float(dijkstra(graph, indices=place(start, 0, spans[0] <= 0))[sink])


@pytest.mark.parametrize("outlet", ["orb -8 female", "m_port M18 female", "bspp -6 female", "npt -8 female"])
@pytest.mark.parametrize("port", ["flare37 -6 male", "flare37 -8 male", "orb -8 female", "orb -6 female"])
def test_price_is_that_of_the_shortest_path(outlet: str, port: str) -> None:
    route = PowerRoute("third_function", (kit(power_route="third_function", ends=[outlet, outlet]),))
    found = joined(route, {"ports": port}, {}, bare_shelf())
    assert found is not None
    assert found.complete
    start, goal = (End(*text.split()) for text in (outlet, port))
    spans = (route.words.line, 1.2)  # a hose from the arms to the tool needs 1.0 to 1.2 m: every 4 ft hose reaches
    sides = [cheapest(bare_shelf(), start, goal, (half,), spans) for half in ("female", "male")]
    assert found.price == pytest.approx(sum(sides), abs=1e-6)
    assert found.needed <= found.bought


def test_hoses_of_a_diverter_by_hand() -> None:
    """The kit brings couplers and adapters, the grapple its hoses: two 6 ft hoses at 54 remain (hoses.toml)."""
    route = PowerRoute("diverter", (shelf().parts["diverter-electric"],))
    oil = {"ports": "flare37 -6 male", "hoses_supplied": True, "fittings_supplied": True}
    found = joined(route, oil, {}, shelf())
    assert found is not None
    assert found.parts == ("2 × hose 3/8 in, two-wire braid, 6 ft, swivels both ends",)
    assert found.price == pytest.approx(2 * 54.0)
    assert (found.needed, found.bought) == (1.4, pytest.approx(6 * 0.3048))
    assert "crossed" in found.why


def test_front_outlet_takes_the_mate_of_its_own_half() -> None:
    """Two male halves with flare -6 at 38 mate a 3/8 in outlet; boss -6 halves at 34 and an adapter at 7 cost more."""
    oil = {"ports": "flare37 -6 male", "hoses_supplied": True, "fittings_supplied": False}
    machine = {"ports": {"front": "coupler_flat 3/8 female"}}
    found = joined(PowerRoute("front_outlets"), oil, machine, shelf())
    assert found is not None
    assert found.parts == ("2 × flat-face coupler 3/8, flare -6, male half",)
    assert found.price == pytest.approx(2 * 38.0)
    assert "crossed" not in found.why
    assert isnan(found.bought)


def test_one_hose_that_comes_with_it_is_one_less_to_buy() -> None:
    machine = {"ports": {"front": "coupler_flat 1/2 female"}}
    price = [
        joined(PowerRoute("front_outlets"), {"ports": "flare37 -8 male", "hoses_supplied": n}, machine, bare_shelf())
        for n in (0, 1, 2)
    ]
    assert all(one is not None and one.complete for one in price)
    none, one, both = (p.price for p in price if p is not None)
    assert none - one == pytest.approx(one - both)
    assert none - one > 0


def test_rear_remote_passes_two_breaks() -> None:
    """A farm coupler at the rear and a flat-face one in front; the hose between is the 16 ft one, 4.6 m are needed."""
    route = PowerRoute("rear_remote_forward", (kit(power_route="rear_remote_forward", needs=["rear_remote"]),))
    oil = {"ports": "flare37 -6 male", "hoses_supplied": True, "fittings_supplied": True}
    found = joined(route, oil, {"ports": {"rear": "coupler_ag 1/2 female"}}, shelf())
    assert found is not None
    assert found.complete
    assert sum("farm coupler" in part for part in found.parts) == 1
    assert "2 × farm coupler 1/2, pipe 1/2, male half" in found.parts
    assert any("16 ft" in part for part in found.parts)
    assert found.needed == pytest.approx(4.6)
    assert found.bought == pytest.approx(16 * 0.3048)


def test_no_chain_names_what_is_short() -> None:
    """Every coupler on the shelf stands 250 bar: at 300 bar none does, and the sentence says so."""
    machine = {"relief_pressure": "300 bar", "ports": {"front": "coupler_flat 1/2 female"}}
    found = joined(PowerRoute("front_outlets"), {"ports": "flare37 -8 male"}, machine, shelf())
    assert found is not None
    assert not found.complete
    assert found.price == 0.0
    assert "250 bar" in found.why
    assert "300 bar" in found.why
    strange = joined(PowerRoute("front_outlets"), {"ports": "m_port M27 male"}, {**machine, **MACHINE}, shelf())
    assert strange is not None
    assert "M27" in strange.why


def test_a_part_without_a_price_or_a_rating_is_never_used() -> None:
    port, half = "flare37 -8 male", "coupler_flat 1/2 male"
    says = {"kind": "hose", "ends": ["flare37 -8 female", half], "length": "9 ft", "bore": "12 mm"}
    unpriced = Part(id="x", name="X", pressure_max="400 bar", **says)
    unrated = Part(id="y", name="Y", price="1", **says)
    machine = {"ports": {"front": "coupler_flat 1/2 female"}}
    found = joined(PowerRoute("front_outlets"), {"ports": port}, machine, bare_shelf(x=unpriced, y=unrated))
    usual = joined(PowerRoute("front_outlets"), {"ports": port}, machine, bare_shelf())
    assert found is not None
    assert found == usual


@pytest.mark.parametrize(
    ("route", "oil", "machine"),
    [
        ("front_outlets", {"ports": "orb -8 female"}, {}),
        ("rear_remote_forward", {"ports": "orb -8 female"}, {}),
        ("front_outlets", {}, {"ports": {"front": "coupler_flat 1/2 female"}}),
        ("electric", {"ports": "orb -8 female"}, {"ports": {"front": "coupler_flat 1/2 female"}}),
    ],
)
def test_nothing_is_said_where_a_port_is_not_known(
    route: str, oil: dict[str, object], machine: dict[str, object]
) -> None:
    assert joined(PowerRoute(route), oil, machine, shelf()) is None


def test_every_oil_route_of_the_demonstration_has_its_chain() -> None:
    missing, seen = [], 0
    for inquiry in demo_inquiries().values():
        laid = lay(inquiry.resolve(shelf()), shelf(), 1)
        for outfit, join in zip(laid.benches[0].outfits, laid.benches[0].joins, strict=True):
            oil = outfit.attachment.hydraulics
            named = outfit.power.route in HYDRAULIC and oil is not None and bool(oil.ports)
            if not named or outfit.power.presumes is not None:
                continue
            seen += 1
            if join is None or not join.complete or join.needed > join.bought:
                missing.append((inquiry.title, outfit.id, join))
    assert not missing
    assert seen > 300

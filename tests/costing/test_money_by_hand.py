"""Ten invented quotes reckoned by hand in decimals, line by line, from an invented price book.

Source: hand arithmetic, written out. The rule of rounding: each line to the cent, half a cent up; the discount is a
share of the sum of the printed goods, to the cent; tax is a share of what is left of them, to the cent, once; the
total is the sum of what is printed; the deposit is a share of the total, to the cent. Goods are the attachment, mount,
kit, hoses and small parts, ballast; carriage and labour are neither discounted nor taxed. Fuel is a share of the
freight's base and of nothing else. Freight classes: NMFTA, Docket 2025-1, 13-step density scale (lb/ft³, the lower
bound belongs to the step), typed in apart from the program's table.
"""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

import pytest

from handfast.advice.example import outfit as any_outfit
from handfast.advice.result import Cost, CostLine, OutfitAdvice
from handfast.cli.outfit_page import outfit_page
from handfast.costing.freight import freight_class
from handfast.costing.price_lines import discount_share, price_lines, tax_share
from handfast.costing.total import Total, total
from handfast.documents.bill import Bill, bill_of, deposit_of, restocking_of
from handfast.machines.attachment import Attachment, Shipping
from handfast.machines.inquiry import Caller, Inquiry, Wishes
from handfast.machines.part import Part
from handfast.machines.price_book import FreightRate, PriceBook, PriceLine, Town
from handfast.machines.shelf import Shelf
from handfast.outfits.ballast import BallastSet, Piece
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute
from handfast.quantities.estimate import Estimate
from handfast.web.words import cost_rows

D = Decimal
LB, INCH = 0.45359237, 0.0254
known, band = Estimate.known, Estimate.triangular
TAX_BOOK, TAX_FERRY = D("0.0625"), D("0.07375")


def cent(value: Decimal) -> Decimal:
    return value.quantize(D("0.01"), rounding=ROUND_HALF_UP)


EARS = Part(id="ears", name="Pin ears", kind="quick_attach_kit", price=known(214.35), shop_hours=known(0.5))
KIT = Part(id="kit", name="Third function", kind="valve_kit", price=known(1149.99), shop_hours=known(4.5))
DRUM = Part(id="drum", name="Drum", kind="ballast", at="hitch", price=known(163.45), shop_hours=known(0.2))
PLATE = Part(id="plate", name="Adapter plate", kind="adapter_plate", price=known(389.5), shop_hours=known(0.3))

BOOK = PriceBook(
    labour_rate=known(136), field_rate=known(152.5), travel_per_km=known(1.4), set_up_hours=known(0.7),
    freight=(
        FreightRate(zone="A", up_to=known(500 * LB), base=known(161.3)),
        FreightRate(zone="A", up_to=known(1000 * LB), base=known(233.15)),
        FreightRate(zone="B", freight_class="85", up_to=known(500 * LB), base=known(205.05)),
        FreightRate(zone="B", freight_class="85", up_to=known(1000 * LB), base=known(318.4)),
        FreightRate(zone="B", freight_class="125", up_to=known(500 * LB), base=known(262.75)),
        FreightRate(zone="B", freight_class="125", up_to=known(1000 * LB), base=known(401.2)),
        FreightRate(zone="C", base=band(270, 320, 415)),
    ),
    town=(
        Town(name="Quern Ferry", zone="A", tax=known(0.07375), distance=known(6_000)),
        Town(name="Sawpit Bend", zone="B", distance=known(24_000)),
        Town(name="Lathe Hill", zone="C", tax=known(0.0)),
    ),
    fuel_share=known(0.185), lift_gate=known(87.25), residential=known(96.4), limited_access=known(118.75),
    by_hand=known(45), tax=known(0.0625), deposit=known(0.3), restocking=known(0.15),
    line=(PriceLine(id="hitch-pins", name="Hitch pins", price=known(27.95)),),
)  # fmt: skip


def crate(pounds: float, density: float) -> Shipping:
    """A crate 48 by 40 inches, as high as makes it so dense [lb/ft³]."""
    height = pounds / density * 1728 / (48 * 40)
    return Shipping(
        mass=known(pounds * LB), length=known(48 * INCH), width=known(40 * INCH), height=known(height * INCH)
    )


def tool(price: float | Estimate, pounds: float = 400, **more: object) -> Attachment:
    shipping = more.pop("shipping", Shipping(mass=known(pounds * LB)))
    priced = price if isinstance(price, Estimate) else known(price)
    return Attachment(
        id="t", kind="pallet_forks", name="Tool", price=priced, mass=known(pounds * LB), shipping=shipping
    )


def plain(attachment: Attachment, *mount: Part, kit: tuple[Part, ...] = ()) -> Outfit:
    return Outfit(attachment, MountRoute("m", "latch", "latch", mount), PowerRoute("none", kit))


def reckoned(outfit: Outfit, inquiry: Inquiry, book: PriceBook = BOOK, ballast: BallastSet | None = None) -> Total:
    shelf = Shelf(parts={part.id: part for part in (EARS, KIT, DRUM, PLATE)}, price_book=book)
    return total(price_lines(outfit, ballast, None, inquiry, shelf), tax_share(inquiry, shelf), discount_share(shelf))


def shown(done: Total) -> OutfitAdvice:
    """The total as an outfit of an answer carries it."""
    lines = tuple(
        CostLine(x.what, x.group, x.hidden, x.price.low, x.price.likely, x.price.high, x.price.origin)
        for x in done.lines
    )
    quantiles = [done.quantile(q) for q in (0.1, 0.5, 0.9)]
    return replace(any_outfit(), cost=Cost(lines, *quantiles, done.ceiling, done.hidden, "USD"))


def bill(done: Total) -> Bill:
    """The exact bill; and whatever shows it shows lines that add up to its total: terminal and page."""
    one = shown(done)
    exact = bill_of(one)
    lines = [*(line.amount for line in exact.lines), *([exact.tax] if exact.tax_words else [])]
    assert sum(lines) == exact.total == exact.before_tax + exact.tax
    terminal = outfit_page(one, "USD", "us").split("Fitted and delivered")[1].split("\n\n")[0]
    printed = [money_in(row) for row in terminal.splitlines() if re.search(r"\$[\d,]+\.\d\d", row)]
    assert printed == [*lines, exact.total]
    assert [money_in(row.likely) for row in cost_rows(one)] == lines
    return exact


def money_in(text: str) -> Decimal:
    """The one amount with cents in a row."""
    (found,) = re.findall(r"-?\$[\d,]+\.\d\d", text)
    return D(found.replace("$", "").replace(",", ""))


def line(exact: Bill, *groups: str) -> list[Decimal]:
    return [one.amount for one in exact.lines if one.group in groups]


OWN = Wishes(own_work=True)


def test_quote_1_tax_of_the_town_and_half_a_cent_up() -> None:
    """Forks 1,040.40; zone A, 400 lb; Quern Ferry taxes 7.375 %."""
    exact = bill(reckoned(plain(tool(1040.40)), Inquiry(caller=Caller(place="Quern Ferry"), wishes=OWN)))
    goods = D("1040.40")
    tax = cent(goods * TAX_FERRY)  # 76.7295
    assert tax == D("76.73")
    freight = cent(D("161.30") * D("1.185"))  # 191.1405
    assert freight == D("191.14")
    assert line(exact, "attachment") == [goods]
    assert line(exact, "freight") == [freight]
    assert exact.tax == tax
    assert exact.total == goods + freight + tax == D("1308.27")


def test_quote_2_tax_of_the_book_where_the_town_has_none() -> None:
    """Forks 999.99 to Sawpit Bend, zone B, crate of class 85: 13 lb/ft³; the book taxes 6.25 %."""
    sent = tool(999.99, 480, shipping=crate(480, 13))
    exact = bill(reckoned(plain(sent), Inquiry(caller=Caller(place="Sawpit Bend"), wishes=OWN)))
    tax = cent(D("999.99") * TAX_BOOK)  # 62.499375
    freight = cent(D("205.05") * D("1.185"))  # 242.98425
    assert (tax, freight) == (D("62.50"), D("242.98"))
    assert exact.tax == tax
    assert exact.total == D("999.99") + freight + tax == D("1305.47")


def test_quote_3_discount_before_tax_deposit_and_restocking() -> None:
    """Tool 2,190.00 and ears 214.35, 4 % off: 96.174; tax on what is left; 30 % with the order."""
    book = BOOK.model_copy(update={"discount": known(0.04)})
    exact = bill(reckoned(plain(tool(2190), EARS), Inquiry(caller=Caller(place="Quern Ferry"), wishes=OWN), book))
    goods = D("2190.00") + D("214.35")
    off = cent(goods * D("0.04"))  # 96.174
    assert off == D("96.17")
    tax = cent((goods - off) * TAX_FERRY)  # 2308.18 × 0.07375 = 170.228275
    assert tax == D("170.23")
    freight = D("191.14")
    assert line(exact, "discount") == [-off]
    assert exact.before_tax == goods - off + freight == D("2499.32")
    assert exact.tax == tax
    assert exact.total == D("2669.55")
    assert deposit_of(exact, D("0.3")) == D("800.87")  # 800.865
    kept_back = (goods - off) * D("0.15")  # all of it can go back on the shelf: 346.227
    assert restocking_of(exact, D("0.15")) == cent(kept_back) == D("346.23")


def test_quote_4_lift_gate_residential_and_limited_access() -> None:
    """Zone B, class 85, 760 lb: the second break. What the place asks for carries no fuel share."""
    caller = Caller(place="Sawpit Bend", unloading="lift_gate", residential=True, limited_access=True)
    sent = tool(1875.25, 760, shipping=crate(760, 12.5))
    exact = bill(reckoned(plain(sent), Inquiry(caller=caller, wishes=OWN)))
    carriage = [cent(D("318.40") * D("1.185")), D("87.25"), D("96.40"), D("118.75")]
    assert carriage[0] == D("377.30")  # 377.304
    assert line(exact, "freight") == carriage
    tax = cent(D("1875.25") * TAX_BOOK)  # 117.203125
    assert exact.total == D("1875.25") + sum(carriage) + tax == D("2672.15")


def test_quote_5_the_class_named_on_the_sheet_counts() -> None:
    """Class 125 stands on the sheet, whatever the crate's size says; unloaded by hand."""
    sent = tool(640, 300, shipping=Shipping(mass=known(300 * LB), freight_class="125"))
    caller = Caller(place="Sawpit Bend", unloading="by_hand")
    exact = bill(reckoned(plain(sent), Inquiry(caller=caller, wishes=OWN)))
    freight = cent(D("262.75") * D("1.185"))  # 311.35875
    assert line(exact, "freight") == [freight, D("45.00")] == [D("311.36"), D("45.00")]
    assert exact.total == D("640.00") + freight + D("45.00") + D("40.00") == D("1036.36")


def test_quote_6_fitted_in_the_shop() -> None:
    """Kit 4.5 h, ears 0.5 h, set-up 0.7 h: 5.7 h at 136 = 775.20. Labour is not taxed."""
    outfit = plain(tool(2190), EARS, kit=(KIT,))
    exact = bill(reckoned(outfit, Inquiry(caller=Caller(place="Quern Ferry"))))
    goods = D("2190.00") + D("214.35") + D("1149.99")
    labour = (D("4.5") + D("0.5") + D("0.7")) * D("136")
    assert line(exact, "labour") == [labour] == [D("775.20")]
    tax = cent(goods * TAX_FERRY)  # 3554.34 × 0.07375 = 262.132575
    assert tax == D("262.13")
    assert exact.total == goods + D("191.14") + labour + tax == D("4782.81")


def test_quote_7_fitted_at_the_customers_with_travel() -> None:
    """5.7 h at 152.50 = 869.25; 24 km there and 24 back at 1.40 = 67.20; class 85."""
    outfit = plain(tool(2190, 450, shipping=crate(450, 12)), EARS, kit=(KIT,))
    wishes = Wishes(fitted_at="field")
    exact = bill(reckoned(outfit, Inquiry(caller=Caller(place="Sawpit Bend"), wishes=wishes)))
    labour, travel = D("5.7") * D("152.5"), 2 * D("24") * D("1.4")
    assert line(exact, "labour") == [labour, travel] == [D("869.25"), D("67.20")]
    goods = D("3554.34")
    tax = cent(goods * TAX_BOOK)  # 222.14625
    freight = D("242.98")
    assert exact.total == goods + freight + labour + travel + tax == D("4955.92")


def test_quote_8_ballast_is_goods_and_has_its_pins() -> None:
    """Forks 1,040.40, plate 389.50, two drums at 163.45 and a set of pins 27.95; Lathe Hill has no tax."""
    drums = BallastSet((Piece("drum", "Drum", "hitch", 200.0, float("nan"), 0.45, 326.9, 2),))
    outfit, caller = plain(tool(1040.40), PLATE), Caller(place="Lathe Hill")
    exact = bill(reckoned(outfit, Inquiry(caller=caller, wishes=OWN), ballast=drums))
    assert line(exact, "ballast") == [2 * D("163.45"), D("27.95")]
    freight = D("320") * D("1.185")
    assert exact.tax == 0
    assert exact.total == D("1040.40") + D("389.50") + D("326.90") + D("27.95") + freight == D("2163.95")


def test_quote_9_low_likely_high() -> None:
    """Every band goes through: goods × discount × tax, freight × fuel, each at its own low, likely and high."""
    book = BOOK.model_copy(update={"discount": known(0.05), "fuel_share": band(0.16, 0.2, 0.28)})
    inquiry = Inquiry(caller=Caller(freight_zone="C"), wishes=OWN)
    done = reckoned(plain(tool(band(2100, 2190, 2400))), inquiry, book)
    found = {one.group: (one.price.low, one.price.likely, one.price.high) for one in done.lines}
    assert found["attachment"] == (2100, 2190, 2400)
    assert found["discount"] == pytest.approx((-120, -109.5, -105))  # 5 % of 2400, 2190, 2100
    assert found["freight"] == pytest.approx((270 * 1.16, 320 * 1.2, 415 * 1.28))
    assert found["tax"] == pytest.approx((0.0625 * 1995, 0.0625 * 2080.5, 0.0625 * 2280))
    least = D("2100") * D("0.95") * D("1.0625") + D("270") * D("1.16")
    most = D("2400") * D("0.95") * D("1.0625") + D("415") * D("1.28")
    assert done.quantile(0.0) >= float(least)
    assert done.quantile(1.0) <= float(most)
    exact = bill(done)
    tax = cent(D("2080.50") * D("0.0625"))  # 130.03125
    assert exact.total == D("2190.00") - D("109.50") + D("384.00") + tax == D("2594.53")
    assert exact.ceiling >= exact.total
    assert exact.ceiling % 50 == 0


def test_quote_10_beyond_the_last_weight_break_the_price_a_kilogram_goes_on() -> None:
    """1,250 lb in zone A, whose last break is 1,000 lb at 233.15: a quarter more. Never carried for nothing."""
    exact = bill(reckoned(plain(tool(3300, 1250)), Inquiry(caller=Caller(place="Quern Ferry"), wishes=OWN)))
    freight = cent(D("233.15") * D("1.25") * D("1.185"))  # 345.3534375
    assert line(exact, "freight") == [freight] == [D("345.35")]
    tax = cent(D("3300") * TAX_FERRY)  # 243.375
    assert tax == D("243.38")
    assert exact.total == D("3300.00") + freight + tax == D("3888.73")


@pytest.mark.parametrize(
    ("pounds", "base"),
    [(499.99, "161.30"), (500.0, "161.30"), (500.01, "233.15"), (1000.0, "233.15")],
    ids=["below", "at", "above", "at the last"],
)
def test_a_weight_break_holds_its_last_pound(pounds: float, base: str) -> None:
    inquiry = Inquiry(caller=Caller(freight_zone="A"), wishes=OWN)
    assert line(bill(reckoned(plain(tool(500, pounds)), inquiry)), "freight") == [cent(D(base) * D("1.185"))]


STEPS = "1 2 4 6 8 10 12 15 22.5 30 35 50"
CLASSES = "400 300 250 175 125 100 92.5 85 70 65 60 55 50"


@pytest.mark.parametrize("step", range(12))
def test_each_boundary_of_the_class_scale(step: int) -> None:
    """Just below, at and just above each bound, in a crate of 48 × 40 × 36 in = 40 ft³, weighed to the hundredth."""
    bound, classes = float(STEPS.split()[step]), [float(c) for c in CLASSES.split()]
    sizes = (48 * INCH, 40 * INCH, 36 * INCH)
    pounds = [40 * bound - 0.01, 40 * bound, 40 * bound + 0.01]
    found = [float(freight_class(one * LB, *sizes)) for one in pounds]
    assert found == [classes[step], classes[step + 1], classes[step + 1]]


def test_the_next_dearer_class_where_ours_has_no_rate() -> None:
    """Zone B has rates of classes 85 and 125: a shipment of class 100 goes at 125, one of class 250 at 125 too."""
    inquiry = Inquiry(caller=Caller(place="Sawpit Bend"), wishes=OWN)
    for density, base in ((9, "262.75"), (3, "262.75"), (40, "205.05")):
        sent = tool(500, 300, shipping=crate(300, density))
        assert line(bill(reckoned(plain(sent), inquiry)), "freight") == [cent(D(base) * D("1.185"))], density


def test_halves_lost_in_floats_are_still_halves() -> None:
    """1.15 × 4.5 is 5.175; in floats it is a hair less, and would round down."""
    assert cent(D(1.15 * 4.5)) == D("5.17")
    book = BOOK.model_copy(update={"labour_rate": known(1.15), "set_up_hours": known(4.5)})
    exact = bill(reckoned(plain(tool(1)), Inquiry(caller=Caller(place="Lathe Hill")), book))
    assert line(exact, "labour") == [D("5.18")]

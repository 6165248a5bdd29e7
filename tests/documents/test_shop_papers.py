"""Pick list, purchase order, receiving checklist, hand-over record, seat card: read back with poppler.

What must stand on each is trade practice (no source): a bin or a line to write one in and never a made-up one, what
is short marked, a purchase order that says nothing of the caller, cautions each with a box of its own.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from handfast.advice.advise import advise
from handfast.advice.order import order_for
from handfast.advice.result import Advice
from handfast.documents.buying import purchases, short_by
from handfast.documents.papers import PAPERS, paper_of
from handfast.documents.purchase_order import packed_words
from handfast.documents.work_paper import Options
from handfast.machines.attachment import Attachment, Shipping
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.outfits.fitting import Fitting, fitting_of
from handfast.quantities.estimate import Estimate

NEW = ["pick-list", "purchase-order", "receiving", "hand-over"]
CALLS = ["1-heavy-grapple-on-line", "3-nothing-spare-little-money", "4-long-wet-logs"]
PRICE = re.compile(r"[$€£]|\bUSD\b")


@cache
def shelf() -> Shelf:
    return demo_shelf()


@cache
def asked(name: str) -> tuple[Inquiry, Advice]:
    given = demo_inquiries()[name]
    return given, advise(given, shelf())


def press(name: str, kind: str, on: Shelf | None = None, **how: Any) -> bytes:
    given, advice = asked(name)
    options = Options(**{"made": "2026-03-04", "number": "0417", **how})
    return paper_of(kind, advice, advice.outfits[0].id, given, on or shelf(), options)


def fitting(name: str, on: Shelf | None = None) -> Fitting:
    given, advice = asked(name)
    return fitting_of(advice.outfits[0].id, given, on or shelf())


def bare(on: Shelf, stock: int | None = 0) -> Shelf:
    """A shelf on which nothing has a place and there is so much of each."""
    parts = {k: p.model_copy(update={"place": "", "stock": stock}) for k, p in on.parts.items()}
    tools = {k: a.model_copy(update={"place": "", "stock": stock}) for k, a in on.attachments.items()}
    return on.model_copy(update={"parts": parts, "attachments": tools})


@pytest.mark.parametrize("name", CALLS)
@pytest.mark.parametrize("kind", NEW)
def test_both_papers_both_units_and_equal_bytes(words: Any, name: str, kind: str) -> None:
    for paper, system, size in (("us-letter", "us", "612 x 792"), ("a4", "metric", r"595\.2\d+ x 841\.8\d+")):
        pdf = press(name, kind, paper=paper, system=system)
        told = words(pdf, "pdfinfo")
        assert re.search(r"^Tagged: +yes$", told, re.M) and re.search(rf"^Page size: +{size} pts", told, re.M)
        assert len(re.findall(r"^\s*H1\b", words(pdf, "pdfinfo", "-struct"), re.M)) == 1
        assert press(name, kind, paper=paper, system=system) == pdf


@pytest.mark.parametrize("name", CALLS)
@pytest.mark.parametrize("kind", ["pick-list", "receiving", "hand-over", "seat-card"])
def test_no_money_where_nobody_has_to_see_it(flat: Any, name: str, kind: str) -> None:
    assert not PRICE.search(flat(press(name, kind)))


@pytest.mark.parametrize("name", CALLS)
def test_everything_is_on_the_pick_list_and_what_waits_stays_on_the_shelf(words: Any, flat: Any, name: str) -> None:
    one = asked(name)[1].outfits[0]
    order = order_for(one, fitting(name))
    text = words(press(name, "pick-list"), "pdftotext", "-layout")
    for line in order.lines:
        assert line.line.what.split(",")[0] in text, line.line.what
    for question, _ in order.waiting:
        assert question.question in flat(press(name, "pick-list"))


def test_what_is_short_is_marked_and_a_place_is_never_made_up(words: Any) -> None:
    """One of two on the shelf: "SHORT", and "1 of 2" to be sent for (by hand: 2 wanted, 1 there, 1 missing)."""
    name = "4-long-wet-logs"
    one_each = bare(shelf(), 1)
    pairs = [
        o for o in order_for(asked(name)[1].outfits[0], fitting(name, one_each)).now if o.line.quantity == 2 and o.part
    ]
    assert pairs and all(short_by(one) == 1 for one in pairs)
    text = words(press(name, "pick-list", one_each), "pdftotext", "-layout")
    assert text.count("SHORT") == len(pairs)
    assert len(re.findall(r"1 of 2(?: set)? +[A-Z]", text)) == len(pairs)
    assert "Quern Ferry" not in text
    nobody_counted = words(press(name, "pick-list", bare(shelf(), None)), "pdftotext", "-layout")
    assert "SHORT" not in nobody_counted and "count" in nobody_counted


def test_heavier_than_one_person_lifts_is_said(flat: Any) -> None:
    """NIOSH 94-110: load constant 51 lb; the Forkjaw weighs 330 lb on its record, a gallon of oil about 7."""
    text = flat(press("4-long-wet-logs", "pick-list"))
    assert "each above 51 lb" in text and "Stookwright Forkjaw 42, 330 lb" in text
    assert "oil, a gallon, 7" not in text


@pytest.mark.parametrize("name", CALLS)
def test_an_order_says_nothing_of_the_caller(words: Any, flat: Any, name: str) -> None:
    given, advice = asked(name)
    empty = bare(shelf())
    pdf = press(name, "purchase-order", empty, number="0417")
    text = flat(pdf) + words(pdf, "pdfinfo")
    mine = [given.title, given.caller.name, given.caller.place, given.caller.number, advice.machine]
    mine += [given.machine.serial, advice.outfits[0].mount.title]
    for secret in mine:
        assert not secret or secret not in text, secret


def test_one_sheet_for_each_supplier_and_one_alone(words: Any, flat: Any) -> None:
    name, empty = "4-long-wet-logs", bare(shelf())
    found = purchases(asked(name)[1].outfits[0], fitting(name, empty))
    assert len(found) >= 2 and [p.place for p in found] == list(range(1, len(found) + 1))
    whole = flat(press(name, "purchase-order", empty))
    pages = int(re.search(r"^Pages: +(\d+)$", words(press(name, "purchase-order", empty), "pdfinfo"), re.M).group(1))  # type: ignore[union-attr]
    assert pages >= len(found)
    for purchase in found:
        assert f"To: {purchase.supplier}" in whole and f"0417-{purchase.place}" in whole
    first, second = found[:2]
    alone = flat(press(name, "purchase-order", empty, supplier=second.supplier))
    assert f"To: {second.supplier}" in alone and f"To: {first.supplier}" not in alone
    assert f"0417-{second.place}" in alone
    with pytest.raises(ValueError, match="nothing of this outfit is bought from"):
        press(name, "purchase-order", empty, supplier="Nobody & Sons")


def test_costs_only_where_known_and_added_by_hand(flat: Any) -> None:
    """Two at 4.50 are 9.00 by hand; the others stay blank and are counted; sell prices stand nowhere."""
    name, empty = "4-long-wet-logs", bare(shelf())
    purchase = next(p for p in purchases(asked(name)[1].outfits[0], fitting(name, empty)) if len(p.lines) > 1)
    line = next(o for o in purchase.lines if o.line.quantity == 2)
    assert line.part is not None and line.part.id in empty.parts
    costed = empty.parts[line.part.id].model_copy(update={"cost": Estimate.known(4.50)})
    some = empty.model_copy(update={"parts": {**empty.parts, line.part.id: costed}})
    text = flat(press(name, "purchase-order", some, supplier=purchase.supplier))
    assert "$4.50" in text and "Known of it: $9.00" in text
    assert f"{len(purchase.lines) - 1} of {len(purchase.lines)} without a price on file" in text
    assert not PRICE.search(flat(press(name, "purchase-order", empty))), "a sell price is nobody's business there"
    assert not PRICE.search(flat(press(name, "purchase-order", some, costs=False)))


def test_a_whole_order_adds_up_by_hand(flat: Any) -> None:
    """Every record at 1.25: so many pieces, sets and gallons at 1.25 each."""
    name, empty = "4-long-wet-logs", bare(shelf())
    one = Estimate.known(1.25)
    parts = {k: p.model_copy(update={"cost": one}) for k, p in empty.parts.items()}
    tools = {k: a.model_copy(update={"cost": one}) for k, a in empty.attachments.items()}
    whole = empty.model_copy(update={"parts": parts, "attachments": tools})
    for purchase in purchases(asked(name)[1].outfits[0], fitting(name, whole)):
        count = sum(o.line.quantity for o in purchase.lines)
        assert f"In all: ${1.25 * count:,.2f}" in flat(press(name, "purchase-order", whole, supplier=purchase.supplier))


def test_only_what_is_missing_is_bought() -> None:
    """Two wanted, one on the shelf: one is bought; enough on the shelf: nothing."""
    name = "4-long-wet-logs"
    one = asked(name)[1].outfits[0]
    some = purchases(one, fitting(name, bare(shelf(), 1)))
    assert some and {short_by(o) for p in some for o in p.lines} <= {1, None}
    assert not [o for p in purchases(one, fitting(name, bare(shelf(), 50))) for o in p.lines if o.part is not None]


def test_crate_by_hand() -> None:
    """400 lb in 48 x 60 x 40 in: 400 / (48*60*40/1728) = 6.0 lb/ft3, class 125 on the density scale (6 to 8)."""
    inch, pound = 0.0254, 0.45359237
    box = Shipping(
        length=Estimate.known(48 * inch), width=Estimate.known(60 * inch), height=Estimate.known(40 * inch),
        mass=Estimate.known(400.01 * pound),
    )  # fmt: skip
    tool = Attachment(name="x", shipping=box)
    assert packed_words(tool, "us") == ["400 lb", "48 in × 60 in × 40 in", "125, by its density"]
    told = tool.model_copy(update={"shipping": box.model_copy(update={"freight_class": "85"})})
    assert packed_words(told, "us")[2] == "85"
    assert packed_words(Attachment(mass=Estimate.known(100.0)), "metric")[1:] == ["____", "____"]


def test_by_hand_is_answered_with_the_crates_weight(flat: Any) -> None:
    name = "4-long-wet-logs"
    given, advice = asked(name)
    for means, said in {
        "by_hand": "by hand. The crate weighs",
        "dock": "there is a dock",
        "lift_gate": "by lift gate",
    }.items():
        caller = given.caller.model_copy(update={"unloading": means})
        told = given.model_copy(update={"caller": caller})
        text = flat(paper_of("receiving", advice, advice.outfits[0].id, told, shelf(), Options()))
        assert said in text
    nothing = given.model_copy(update={"caller": given.caller.model_copy(update={"unloading": None})})
    assert "was not said: ask" in flat(paper_of("receiving", advice, advice.outfits[0].id, nothing, shelf(), Options()))


@pytest.mark.parametrize("name", CALLS)
def test_the_receiver_looks_before_signing(flat: Any, name: str) -> None:
    text = flat(press(name, "receiving"))
    places = [
        text.index(words) for words in ("Unloading", "Before the driver's paper is signed", "Photographs", "Counted")
    ]
    assert places == sorted(places)


@pytest.mark.parametrize("name", CALLS)
def test_every_caution_has_a_box_of_its_own(words: Any, flat: Any, name: str) -> None:
    one = asked(name)[1].outfits[0]
    pdf = press(name, "hand-over")
    text = flat(pdf)
    for caution in one.cautions:
        assert caution in text
    assert "operator's manuals of tractor, loader and attachment come before this record" in text
    rows = [r for r in words(pdf, "pdfinfo", "-struct").splitlines() if re.match(r"^\s*TR\b", r)]
    assert len(rows) >= len(one.cautions) + len(fitting(name).numbers) / 9


def test_the_answer_about_the_weight_is_printed(flat: Any) -> None:
    how = {"ballast": "declined", "ballast_by": "A. Rowan", "ballast_on": "2026-03-02", "least_share": 0.25}
    text = flat(press("3-nothing-spare-little-money", "hand-over", **how))
    assert re.search(r"answered on the offer answered by date declined A\. Rowan 2026-03-02", text)
    assert "less than 25 % on the rear axle this is parts only" in text


def test_seat_cards_two_on_a_sheet(words: Any, flat: Any) -> None:
    for paper in ("us-letter", "a4"):
        pdf = press("3-nothing-spare-little-money", "seat-card", paper=paper)
        assert re.search(r"^Pages: +1$", words(pdf, "pdfinfo"), re.M)
        text = flat(pdf)
        assert text.count("BEHIND:") == 2 and text.count("Void if tyres, ballast or attachment change.") == 2
        assert "For the seat: cut along the marks" in text


@pytest.mark.parametrize("name", CALLS)
def test_no_angle_stands_on_the_card(flat: Any, name: str) -> None:
    """The card is for somebody on a slope: a computed angle there would be read as a permission."""
    text = flat(press(name, "seat-card"))
    assert not re.search(r"\d\s*(°|deg|%)", text)


def test_no_card_for_what_does_not_hold() -> None:
    given, advice = asked("1-heavy-grapple-on-line")
    bad = replace(advice.outfits[0], verdict="does not fit")
    with pytest.raises(ValueError, match="holds"):
        paper_of("seat-card", replace(advice, outfits=(bad,)), bad.id, given, shelf(), Options())


def test_a_name_of_any_kind_is_text() -> None:
    for odd in ("#x $y$ *z* @a <b> \\c", "שלום", "q" * 5_000):
        for kind in PAPERS:
            assert press(CALLS[1], kind, number=odd[:100], dealer=odd, reached=odd)[:5] == b"%PDF-"

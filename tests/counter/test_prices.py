"""Prices with dates, costs by rule, and what new prices change in offers that are open.

Sums are reckoned by hand beside each check; the shelf and the calls are the invented ones.
"""

from __future__ import annotations

import subprocess
from decimal import Decimal
from pathlib import Path

import pytest

from handfast.counter import lists, prices
from handfast.counter import verbs as counter
from handfast.counter.terms import printed, terms_of
from handfast.counter.verbs import Workspace
from handfast.documents.bill import bill_of
from handfast.machines.in_force import in_force
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.prices import DatedPrice, DatedRates, MarginRule, sold_at
from handfast.machines.shelf import Shelf
from handfast.quantities.estimate import UNKNOWN, Estimate
from handfast.store.database import writing
from handfast.store.quote_rows import change_quote_state

known, D = Estimate.known, Decimal
CALLS = (1, 2, 3)


@pytest.fixture(scope="module")
def offers(tmp_path_factory: pytest.TempPathFactory) -> Workspace:
    """The demonstration with the best outfit of three calls offered; nothing in it is changed by a test."""
    workspace = counter.open_workspace(Path(tmp_path_factory.mktemp("offers")))
    counter.fill_demo(workspace)
    for number in CALLS:
        best = next(one for one in counter.answer(workspace, number).outfits if one.cost.whole)
        counter.quote(workspace, number, best.id)
    return workspace


def one_of(workspace: Workspace, inquiry: int):
    (row,) = counter.quotes(workspace, inquiry)
    return row, counter.offered(row).outfits[0]


def dearer(shelf: Shelf, key: str, by: float) -> Shelf:
    """The shelf with one attachment dearer by an amount, its band moved along."""
    old = shelf.attachments[key]
    price = Estimate.triangular(old.price.low + by, old.price.likely + by, old.price.high + by)
    return shelf.model_copy(update={"attachments": {**shelf.attachments, key: old.model_copy(update={"price": price})}})


def test_reckoned_again_at_the_same_prices_an_offer_says_the_same(offers) -> None:
    """Only the bill is reckoned again, from what the offer kept: to the cent what was offered."""
    told = prices.quotes_today(offers)
    assert len(told) == len(CALLS)
    assert [one.after for one in told] == [one.offered for one in told]
    assert all(one.more == 0 for one in told)


def test_a_dearer_attachment_changes_the_offers_that_hold_it_by_its_price_and_tax(offers) -> None:
    """100 more for goods and 6 to 7 % tax on them: hand reckoning from the tax that the bill names."""
    before = counter.shelf(offers)
    row, one = one_of(offers, 1)
    told = prices.quotes_touched(offers, before, dearer(before, one.attachment, 100.0))
    holding = [r.number for r in counter.quotes(offers) if counter.offered(r).outfits[0].attachment == one.attachment]
    assert [each.number for each in told] == holding
    mine = next(each for each in told if each.number == row.number)
    share = D(bill_of(one).tax_words.split()[1]) / 100
    assert mine.before == mine.offered == bill_of(one).total
    assert abs(mine.more - D("100") * (1 + share)) <= D("0.01")


def test_what_no_offer_holds_touches_none(offers) -> None:
    before = counter.shelf(offers)
    held = {counter.offered(row).outfits[0].attachment for row in counter.quotes(offers)}
    other = next(key for key in before.attachments if key not in held)
    assert prices.quotes_touched(offers, before, dearer(before, other, 100.0)) == []
    assert prices.quotes_touched(offers, before, before) == []


def test_the_hourly_rate_touches_the_offers_with_fitting(offers) -> None:
    before = counter.shelf(offers)
    rate = before.price_book.labour_rate
    book = before.price_book.model_copy(update={"labour_rate": rate.scaled(1.1)})
    told = {
        one.number: one for one in prices.quotes_touched(offers, before, before.model_copy(update={"price_book": book}))
    }
    for row in counter.quotes(offers):
        labour = [c.likely for c in counter.offered(row).outfits[0].cost.lines if c.group == "labour"]
        assert (row.number in told) == bool(labour)
        if labour:
            assert abs(told[row.number].more - D(str(0.1 * sum(labour)))) <= D("0.01")


def test_an_old_offer_keeps_its_prices_and_its_paper(tmp_path) -> None:
    """Everything on the shelf becomes dearer by half; the offer says what it said, to the byte of its paper."""
    workspace = counter.open_workspace(tmp_path)
    counter.fill_demo(workspace)
    best = next(one for one in counter.answer(workspace, 1).outfits if one.cost.whole)
    row = counter.quote(workspace, 1, best.id)
    paper, bill = printed(row, "us"), bill_of(counter.offered(row).outfits[0])
    shelf = counter.shelf(workspace)
    up = {
        name: {
            key: one.model_copy(update={"price": one.price.scaled(1.5)}) for key, one in getattr(shelf, name).items()
        }
        for name in ("attachments", "parts")
    }
    book = shelf.price_book.model_copy(update={"tax": known(0.1), "labour_rate": known(999), "deposit": known(0.9)})
    counter.put_on_shelf(workspace, Shelf(**up, price_book=book))
    (again,) = counter.quotes(workspace, 1)
    assert bill_of(counter.offered(again).outfits[0]) == bill
    assert printed(again, "us") == paper
    (told,) = prices.quotes_today(workspace)
    assert told.offered == bill.total < told.after


def test_a_list_tells_which_offers_it_would_change(tmp_path) -> None:
    workspace = counter.open_workspace(tmp_path)
    counter.fill_demo(workspace)
    best = next(one for one in counter.answer(workspace, 1).outfits if one.cost.whole)
    row = counter.quote(workspace, 1, best.id)
    text = f"Item,Type,Price\n{best.attachment},{counter.shelf(workspace).attachments[best.attachment].kind},9999\n"
    number = lists.bring_list(workspace, "new.csv", text.encode())
    (told,) = prices.touched_by_list(workspace, lists.look_at_list(workspace, number).proposal)
    assert told.number == row.number
    assert told.after > 9999
    with writing(workspace.engine) as connection:
        change_quote_state(connection, row.number, "withdrawn", "test")
    assert prices.touched_by_list(workspace, lists.look_at_list(workspace, number).proposal) == []


def test_a_price_begins_and_ends_on_its_day(tmp_path, monkeypatch) -> None:
    later = (DatedPrice(valid_from="2027-01-01", valid_to="2027-06-30", price=known(120)),)
    part = Part(id="oil", kind="oil", price=known(100), prices=later)
    workspace = counter.open_workspace(tmp_path)
    counter.put_on_shelf(workspace, Shelf(parts={"oil": part}))
    days = {"2026-12-31": 100.0, "2027-01-01": 120.0, "2027-06-30": 120.0, "2027-07-01": 100.0}
    for day, price in days.items():
        monkeypatch.setattr(counter, "price_day", lambda day=day: day)
        assert counter.shelf(workspace).parts["oil"].price.value == price, day


def test_rates_of_another_time() -> None:
    rates = (
        DatedRates(valid_from="2027-01-01", labour_rate=known(150)),
        DatedRates(valid_from="2027-03-01", valid_to="2027-03-31", labour_rate=known(120), tax=known(0.08)),
    )
    shelf = Shelf(price_book=PriceBook(labour_rate=known(136), tax=known(0.06), rates=rates))
    wanted = {
        "2026-12-31": (136, 0.06),
        "2027-02-28": (150, 0.06),
        "2027-03-31": (120, 0.08),
        "2027-04-01": (150, 0.06),
    }
    for day, (rate, tax) in wanted.items():
        book = in_force(shelf, day).price_book
        assert (book.labour_rate.value, book.tax.value) == (rate, tax), day


def test_a_shelf_without_dates_and_rules_is_handed_on_as_it_is(offers) -> None:
    shelf = counter.shelf(offers)
    assert in_force(shelf, "2030-01-01") is shelf


@pytest.mark.parametrize(
    ("cost", "listed", "rule", "price"),
    [
        (100, None, MarginRule(markup=known(0.4)), 140.0),  # 100 × 1.40
        (100, None, MarginRule(markup=known(0.2), least_margin=known(0.25)), 133.3333),  # 100 / 0.75 beats 120
        (100, 180, MarginRule(off_list=known(0.1)), 162.0),  # 180 × 0.90
        (150, 180, MarginRule(off_list=known(0.1), least_margin=known(0.2)), 187.5),  # 150 / 0.80 beats 162
        (101.3, None, MarginRule(markup=known(0.5), round_to=known(5)), 155.0),  # 151.95, up to the next five
        (100, None, MarginRule(markup=known(0.5), round_to=known(5)), 150.0),  # already a multiple
    ],
)
def test_a_cost_becomes_a_price(cost, listed, rule, price) -> None:
    found = sold_at(known(cost), UNKNOWN if listed is None else known(listed), rule)
    assert found.value == pytest.approx(price, abs=1e-4)
    assert found.origin == "computed"


def test_no_rule_makes_a_price_of_nothing() -> None:
    assert sold_at(UNKNOWN, UNKNOWN, MarginRule(markup=known(0.4))).is_unknown
    assert sold_at(UNKNOWN, known(100), MarginRule(markup=known(0.4))).is_unknown
    assert sold_at(known(100), UNKNOWN, MarginRule()).is_unknown


def test_a_part_with_a_cost_alone_is_priced_and_a_stated_price_stays(tmp_path) -> None:
    book = PriceBook(margin=(MarginRule(markup=known(0.5)), MarginRule(kind="hose", markup=known(1.0))))
    parts = {
        "hose": Part(id="hose", kind="hose", cost=known(20)),
        "oil": Part(id="oil", kind="oil", cost=known(20)),
        "cap": Part(id="cap", kind="guard", cost=known(20), price=known(21)),
    }
    workspace = counter.open_workspace(tmp_path)
    counter.put_on_shelf(workspace, Shelf(parts=parts, price_book=book))
    found = {key: part.price.value for key, part in counter.shelf(workspace).parts.items()}
    assert found == {"hose": 40.0, "oil": 30.0, "cap": 21.0}


def test_how_prices_stand() -> None:
    rule = (MarginRule(markup=known(0.3), least_margin=known(0.2)),)
    parts = {
        "old": Part(id="old", kind="oil", price=known(10), valid_to="2026-12-31"),
        "soon": Part(id="soon", kind="oil", price=known(10), valid_to="2027-01-20"),
        "next": Part(id="next", kind="oil", price=known(10), prices=(DatedPrice(valid_from="2027-01-10", price=12),)),
        "thin": Part(id="thin", kind="oil", price=known(10), cost=known(8.5)),
        "rule": Part(id="rule", kind="oil", cost=known(10)),
        "none": Part(id="none", kind="oil"),
        "good": Part(id="good", kind="oil", price=known(10), cost=known(8)),
    }
    told = {
        one.id: one.remarks
        for one in prices.standings(Shelf(parts=parts, price_book=PriceBook(margin=rule)), "2027-01-01")
    }
    assert told == {
        "old": (prices.RAN_OUT,), "soon": (prices.RUNS_OUT,), "next": (prices.COMES,), "thin": (prices.THIN,),
        "rule": (prices.RULED,), "none": (prices.NONE,), "good": (),
    }  # fmt: skip
    assert list(told)[-1] == "good"


def test_an_offer_keeps_its_restocking_share_and_prints_it(tmp_path) -> None:
    """15 % at the making; the book asks a quarter later on, and the paper still says what it said."""
    workspace = counter.open_workspace(tmp_path)
    counter.fill_demo(workspace)
    best = next(one for one in counter.answer(workspace, 1).outfits if one.cost.whole)
    row = counter.quote(workspace, 1, best.id)
    book = counter.shelf(workspace).price_book
    assert terms_of(row).restocking == D("0.15") == D(str(book.restocking.value))
    counter.put_on_shelf(workspace, Shelf(price_book=book.model_copy(update={"restocking": known(0.25)})))
    paper = printed(counter.quotes(workspace, 1)[0], "us")
    told = subprocess.run(["pdftotext", "-", "-"], input=paper, capture_output=True, check=True).stdout.decode()
    assert "15 % of what unused goods cost is kept back." in " ".join(told.split())

"""The owner's numbers against small histories that are counted by hand beside each test.

Wilson's limits: Wilson (1927), reckoned by hand in `test_limits_by_hand`, and held against scipy's.
"""

from __future__ import annotations

import json
from math import isnan, sqrt
from pathlib import Path

import pytest
from scipy.stats import binomtest
from sqlalchemy import update

from handfast.counter import aftercare, verbs
from handfast.counter.calls import keep_promise, promise
from handfast.counter.number_counts import Count, Share, Span, SpanError, middle, span_of
from handfast.counter.number_words import margin_words, misfit_words, quote_words, share_words, told
from handfast.counter.numbers import asks_weight, kept_how, numbers, stopped_by
from handfast.counter.verbs import Workspace
from handfast.machines.outcome import Outcome
from handfast.machines.reading import demo_shelf
from handfast.quantities.estimate import Estimate
from handfast.store import quote_rows, tables
from handfast.store.call_rows import PromiseRow
from handfast.store.database import writing
from handfast.store.inquiry_rows import keep_advice

MARCH = Span("2026-03-01", "2026-03-31")
BEHIND = {"chosen": [{"part": "box-500"}], "needed": 200.0}
NONE = {"chosen": [], "needed": 0.0}


def came(workspace: Workspace, day: str, state: str = "asked") -> int:
    """An inquiry that came in at ten on a day and stands in a state."""
    number = verbs.new_inquiry(workspace, 'title = "x"\n')
    if state != "asked":
        verbs.change_state(workspace, number, state)
    with writing(workspace.engine) as connection:
        at = f"{day}T10:00:00.000+00:00"
        connection.execute(update(tables.inquiries).where(tables.inquiries.c.number == number).values(created=at))
    return number


def offer(
    workspace: Workspace,
    inquiry: int,
    at: str,
    *states: str,
    ballast: dict | None = None,
    answer: str = "",
    until: str = "",
) -> int:
    """A quote that was made at a time and then went through states."""
    kept = {
        "outfit": {"ballast": ballast or NONE}, "text": "", "currency": "USD", "terms": {"valid_until": until},
        "offer": {"ballast": {"answer": answer}},
    }  # fmt: skip
    with writing(workspace.engine) as connection:
        row = quote_rows.add_quote(connection, inquiry, "none~none~none", json.dumps(kept), "test")
        for state in states:
            quote_rows.change_quote_state(connection, row.number, state, "test")
        for table, key in (
            (tables.quotes, tables.quotes.c.number),
            (tables.quote_versions, tables.quote_versions.c.quote),
        ):
            connection.execute(update(table).where(key == row.number).values(created=at))
    return row.number


def rows(count: Count) -> dict[str, int]:
    return {row.name: row.count for row in count.rows if row.count}


@pytest.fixture
def workspace(tmp_path: Path) -> Workspace:
    return verbs.open_workspace(tmp_path / "home", "test")


def test_stages_counted_by_hand(workspace: Workspace) -> None:
    """Five in March: two asked, one quoted, one closed that was ordered first, one fitted; one more is of April."""
    for day, state in (
        ("2026-03-01", "asked"),
        ("2026-03-31", "asked"),
        ("2026-03-10", "quoted"),
        ("2026-03-11", "fitted"),
    ):
        came(workspace, day, state)
    closed = came(workspace, "2026-03-12", "ordered")
    verbs.change_state(workspace, closed, "closed")
    came(workspace, "2026-04-01", "ordered")
    found = numbers(workspace, MARCH, "2026-05-01")
    assert found.inquiries == 5 and found.stages.of == 5
    assert rows(found.stages) == {"asked": 2, "quoted": 1, "fitted": 1, "closed": 1}
    assert rows(found.reached) == {"asked": 5, "quoted": 1, "ordered": 1, "fitted": 1, "closed": 1}
    assert next(row.numbers for row in found.stages.rows if row.name == "closed") == (closed,)


def test_quotes_that_became_orders(workspace: Workspace) -> None:
    """Eight in March: ordered, delivered, returned = 3 orders; declined, withdrawn after an order, expired = 3 not.

    Two are open, so 3 of 6 settled; one of February is left out, one of April too.
    """
    at = "2026-03-05T12:00:00.000+00:00"
    one = came(workspace, "2026-03-01")
    for states in (
        ("sent", "accepted", "ordered"),
        ("sent", "ordered", "delivered"),
        ("sent", "delivered", "returned"),
    ):
        offer(workspace, one, at, *states)
    offer(workspace, one, at, "sent", "declined")
    offer(workspace, one, at, "sent", "ordered", "withdrawn")
    offer(workspace, one, at, "sent", until="2026-03-20")
    offer(workspace, one, at, "sent", until="2026-05-20")
    offer(workspace, one, at)
    offer(workspace, one, "2026-02-28T23:59:59.000+00:00", "ordered")
    offer(workspace, one, "2026-04-01T00:00:00.000+00:00", "ordered")
    quotes = numbers(workspace, MARCH, "2026-05-01").quotes
    assert rows(quotes) == {"ordered": 3, "declined": 1, "expired": 1, "withdrawn": 1, "open": 2}
    assert (quotes.of, quotes.share, quotes.beside) == (8, Share(3, 6), 2)


def test_accepted_is_not_an_order_yet(workspace: Workspace) -> None:
    quotes = (came(workspace, "2026-03-01"), "2026-03-02T09:00:00.000+00:00")
    offer(workspace, *quotes, "sent", "accepted")
    found = numbers(workspace, MARCH, "2026-03-03").quotes
    assert rows(found) == {"accepted": 1} and found.share == Share(0, 0) and found.beside == 1
    assert quote_words(found) == "No quote is settled yet."


def test_an_inquirys_own_state_counts_where_nobody_moved_a_quote(workspace: Workspace) -> None:
    """Two drafts of an inquiry that was moved to ordered: the newer one was ordered; 1 of 2."""
    one = came(workspace, "2026-03-01")
    offer(workspace, one, "2026-03-02T09:00:00.000+00:00")
    newer = offer(workspace, one, "2026-03-03T09:00:00.000+00:00")
    verbs.change_state(workspace, one, "ordered")
    verbs.change_state(workspace, one, "closed")
    ordered = next(row for row in numbers(workspace, MARCH, "2026-03-30").quotes.rows if row.name == "ordered")
    assert ordered.numbers == (newer,)
    other = came(workspace, "2026-03-01", "ordered")
    mine = offer(workspace, other, "2026-03-02T09:00:00.000+00:00", "sent", "declined")
    offer(workspace, other, "2026-03-03T09:00:00.000+00:00")
    found = numbers(workspace, MARCH, "2026-03-30").quotes
    assert rows(found) == {"ordered": 1, "declined": 1, "open": 2}
    assert mine in next(row.numbers for row in found.rows if row.name == "declined")


def test_an_outcome_means_that_it_was_ordered(workspace: Workspace) -> None:
    made = offer(workspace, came(workspace, "2026-03-01"), "2026-03-02T09:00:00.000+00:00")
    aftercare.say_outcome(workspace, made, Outcome(became="returned", why="price"))
    assert rows(numbers(workspace, MARCH, "2026-03-30").quotes) == {"ordered": 1}


def test_promises_by_hand(workspace: Workspace) -> None:
    """Due in March, ours: kept in time, kept late, overdue, not due yet; the caller's own is not ours; two undated."""
    one = came(workspace, "2026-03-01")
    early, late = (promise(workspace, one, "we", "ring", day) for day in ("2026-03-10", "2026-03-11"))
    promise(workspace, one, "the shop", "measure", "2026-03-12")
    promise(workspace, one, "we", "quote", "2026-03-30T12:00")
    promise(workspace, one, "the caller", "send a photo", "2026-03-10")
    promise(workspace, one, "we", "ring", "2026-04-02")
    kept_undated, _ = promise(workspace, one, "we", "look"), promise(workspace, one, "we", "ask")
    keep_promise(workspace, kept_undated)
    with writing(workspace.engine) as connection:
        table = tables.promises
        for number, at in ((early, "2026-03-10T12:00:00.000+00:00"), (late, "2026-03-13T12:00:00.000+00:00")):
            connection.execute(update(table).where(table.c.number == number).values(done=at))
        connection.execute(update(table).where(table.c.by == "").values(created="2026-03-04T12:00:00.000+00:00"))
    found = numbers(workspace, MARCH, "2026-03-20")
    assert rows(found.promises) == {"kept in time": 1, "kept late": 1, "overdue": 1, "not due yet": 1}
    assert (found.promises.share, found.promises.beside) == (Share(1, 3), 1)
    assert rows(found.undated) == {"kept": 1, "open": 1} and found.undated.of == 2


@pytest.mark.parametrize(
    ("by", "done", "said"),
    [
        ("2026-03-10", None, "overdue"), ("2026-03-20", None, "not due yet"),
        ("2026-03-10", "2026-03-08T09:00", "kept in time"), ("2026-03-10T12:00", "2026-03-12T12:00", "kept late"),
    ],
)  # fmt: skip
def test_kept_how(by: str, done: str | None, said: str) -> None:
    at = None if done is None else f"{done}:00.000+00:00"
    assert kept_how(PromiseRow(1, 1, "we", "ring", by, at, "2026-03-01T09:00:00.000+00:00"), "2026-03-15") == said


def test_weight_declined_out_of_those_that_answered(workspace: Workspace) -> None:
    """Five quotes, four ask for weight: two declined, one accepted, one unanswered: 2 of 3."""
    one, at = came(workspace, "2026-03-01"), "2026-03-05T12:00:00.000+00:00"
    for answer in ("declined", "declined", "accepted", ""):
        offer(workspace, one, at, ballast=BEHIND, answer=answer)
    offer(workspace, one, at)
    found = numbers(workspace, MARCH, "2026-03-20").ballast
    assert rows(found) == {"declined": 2, "accepted": 1, "not answered": 1}
    assert (found.of, found.share, found.beside) == (4, Share(2, 3), 1)
    assert asks_weight({"outfit": {"ballast": {"chosen": [], "needed": 12.0}}})
    assert not asks_weight({"outfit": {"ballast": NONE}})


def verdict(word: str, governs: str = "lift.full") -> dict:
    checks = [{"id": "lift.full", "title": "Lift to full height"}, {"id": "mount", "title": "Hangs on the loader"}]
    return {"verdict": word, "governs": governs, "checks": checks}


def test_misfits_grouped_by_what_stops_the_nearest(workspace: Workspace) -> None:
    """Six came, five reckoned: two stopped by lift, one by its mount, one fits, one finds no outfit at all: 4 of 5."""
    answers = [
        [verdict("does not fit"), verdict("does not fit", "mount")], [verdict("does not fit")],
        [verdict("does not fit", "mount")], [verdict("does not fit"), verdict("fits with conditions")], [],
    ]  # fmt: skip
    for outfits in answers:
        number = came(workspace, "2026-03-02")
        with writing(workspace.engine) as connection:
            keep_advice(connection, number, "old", 1, "0", json.dumps({"outfits": [verdict("fits")]}))
            keep_advice(connection, number, "new", 1, "0", json.dumps({"outfits": outfits}))
    came(workspace, "2026-03-03")
    found = numbers(workspace, MARCH, "2026-03-20").misfits
    assert [(row.name, row.count) for row in found.rows] == [
        ("Lift to full height", 2),
        ("Hangs on the loader", 1),
        ("nothing on the shelf hangs on it or does the work", 1),
    ]
    assert (found.of, found.share, found.beside) == (5, Share(4, 5), 1)
    assert "1 was never reckoned" in misfit_words(found)
    assert stopped_by({"outfits": [verdict("not enough known")]}) == "not enough was known to say"


def test_times_to_the_first_quote(workspace: Workspace) -> None:
    """Half an hour, three hours, two days, none: the middle of 0.5, 3 and 48 h is 3 h; 2 of 4 within a day."""
    waits = ("2026-03-02T10:30", "2026-03-02T13:00", "2026-03-04T10:00")
    for at in waits:
        number = came(workspace, "2026-03-02")
        offer(workspace, number, "2026-03-20T10:00:00.000+00:00")
        offer(workspace, number, f"{at}:00.000+00:00")
    came(workspace, "2026-03-02")
    times = numbers(workspace, MARCH, "2026-03-30").times
    assert times.middle == pytest.approx(3.0) and times.count.share == Share(2, 4)
    assert rows(times.count) == {"up to an hour": 1, "one to four hours": 1, "one to three days": 1, "no quote yet": 1}
    assert isnan(middle([])) and middle([4.0, 1.0, 2.0, 3.0]) == 2.5


@pytest.fixture
def sold(tmp_path: Path) -> tuple[Workspace, int]:
    """A workspace of the demonstration in which call 4's leading outfit was ordered."""
    workspace = verbs.open_workspace(tmp_path / "demo", "test")
    assert verbs.fill_demo(workspace)
    row = verbs.quote(workspace, 4, verbs.answer(workspace, 4).outfits[0].id)
    with writing(workspace.engine) as connection:
        quote_rows.change_quote_state(connection, row.number, "ordered", "test")
    return workspace, row.number


def everything() -> Span:
    return Span("2000-01-01", "2100-01-01")


def test_margin_needs_costs_and_says_for_how_many(sold: tuple[Workspace, int]) -> None:
    workspace, _ = sold
    found = numbers(workspace, everything()).margin
    assert (found.orders, found.known) == (1, 0) and isnan(found.share) and found.goods > 0
    assert margin_words(found)[0].endswith("on file for 0 of 1 orders.")


def test_margin_by_hand(sold: tuple[Workspace, int]) -> None:
    """Each record costs three fifths of its price: two fifths of what has a cost are left, 40 in 100."""
    workspace, _ = sold
    shelf = demo_shelf()

    def costed(records: dict) -> dict:
        known = {key: one for key, one in records.items() if not one.price.is_unknown}
        return {k: r.model_copy(update={"cost": Estimate.known(0.6 * r.price.value)}) for k, r in known.items()}

    cheap = {"parts": costed(shelf.parts), "attachments": costed(shelf.attachments)}
    verbs.put_on_shelf(workspace, shelf.model_copy(update=cheap))
    found = numbers(workspace, everything()).margin
    assert (found.orders, found.known, found.gone) == (1, 1, 0)
    assert found.share == pytest.approx(0.4) and 0.5 < found.covered <= 1.0
    assert found.price - found.cost == pytest.approx(0.4 * found.price)
    assert any("40 in 100" in words for words in margin_words(found))


def test_what_can_not_be_made_up_again_is_left_out_and_said(workspace: Workspace) -> None:
    offer(workspace, came(workspace, "2026-03-01"), "2026-03-02T09:00:00.000+00:00", "ordered")
    found = numbers(workspace, MARCH, "2026-03-30").margin
    assert (found.orders, found.gone, found.known) == (1, 1, 0)
    assert any("no longer on the shelf" in words for words in margin_words(found))


def test_limits_by_hand() -> None:
    """p = 3/7, z = 1.645: centre (p + z²/2n)/(1 + z²/n), half-width z·sqrt(p(1-p)/n + z²/4n²)/(1 + z²/n)."""
    z, n, p = 1.6448536269514722, 7, 3 / 7
    centre, half = (
        (p + z * z / (2 * n)) / (1 + z * z / n),
        z * sqrt(p * (1 - p) / n + z * z / (4 * n * n)) / (1 + z * z / n),
    )
    low, high = Share(3, 7).limits
    assert low == pytest.approx(centre - half, abs=1e-12) and high == pytest.approx(centre + half, abs=1e-12)
    for held, count in ((3, 7), (0, 4), (10, 100), (9, 9)):
        oracle = binomtest(held, count).proportion_ci(0.9, "wilson")
        assert Share(held, count).limits == pytest.approx((oracle.low, oracle.high), abs=1e-9)
    assert all(map(isnan, Share(0, 0).limits))
    assert share_words(Share(3, 7), "kept").startswith("3 of 7 kept; the true share lies between 19 and 71 in 100")


def test_spans() -> None:
    assert span_of("2026-03-01", "2026-03-01", "2026-05-05").days == 1
    assert span_of("", "2026-03-31", "2026-05-05", 31) == MARCH
    assert "2026-03-31T23:59:59" in MARCH and "2026-04-01T00:00:00" not in MARCH
    for first, last in (("2026-13-01", ""), ("x", ""), ("2026-03-02", "2026-03-01"), ("", "0001-01-01")):
        with pytest.raises(SpanError):
            span_of(first, last, "2026-05-05")


def test_nothing_happened_is_said_and_never_divided_by(workspace: Workspace) -> None:
    found = numbers(workspace, MARCH, "2026-03-30")
    assert all(one.says for one in told(found)) and margin_words(found.margin) == ["No quote became an order."]

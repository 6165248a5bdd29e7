"""The quotation: money by hand, ballast rules, and what the page says; read back with poppler."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from handfast.advice.result import Advice, Cost, CostLine, OutfitAdvice
from handfast.documents.bill import bill_of, deposit_of
from handfast.documents.offer_terms import Acceptance, Option, Way
from handfast.documents.quotation import Terms, parts_only, quotation
from handfast.machines.reading import demo_inquiries

NAMES = sorted(demo_inquiries())
POUND = 0.45359237  # kg, exact


def offered(advice: Advice, **more: Any) -> bytes:
    plain = {"number": "Q-0417", "made": "2025-03-04", "valid_until": "2025-03-18"}
    return quotation(advice, advice.outfits[0].id, **{**plain, **more})


def priced(one: OutfitAdvice) -> OutfitAdvice:
    """The bill that is added up by hand below; figures invented."""
    rows = [
        ("Grapple", "attachment", 1690.0, 1810.0),
        ("Ears", "mount", 95.0, 106.0),
        ("Links", "power", 180.0, 202.0),
        ("Drum", "ballast", 80.0, 90.0),
        ("Pins", "ballast", 28.0, 28.0),
        ("Freight", "freight", 192.0, 268.8),
        ("Fitting", "labour", 530.4, 816.075),
        ("Tax 6.5 % on goods", "tax", 134.745, 145.34),
    ]
    lines = tuple(CostLine(what, group, False, likely, likely, high, "sheet") for what, group, likely, high in rows)
    return replace(one, cost=Cost(lines, 2800.0, 3010.0, 3158.0, 3200.0, 0.0, "USD"))


def test_a_bill_added_up_by_hand(answers: dict[str, Advice]) -> None:
    """1690 + 95 + 180 + 80 + 28 = 2073 of goods; 2073 + 192 + 530.40 = 2795.40; 6.5 % of 2073 = 134.745, say 134.75."""
    bill = bill_of(priced(answers[NAMES[0]].outfits[0]))
    assert bill.before_tax == Decimal("2795.40")
    assert bill.tax == Decimal("134.75")
    assert bill.total == Decimal("2930.15")
    assert bill.ceiling == Decimal("3200.00")
    assert deposit_of(bill, Decimal("0.25")) == Decimal("732.54")  # 732.5375


def test_a_bill_of_parts_only_by_hand(answers: dict[str, Advice]) -> None:
    """1690 + 95 + 180 = 1965; with freight 2157; 6.5 % of 1965 = 127.725, say 127.73.

    Highest figures: 1810 + 106 + 202 + 268.80 + 145.34 of tax = 2532.14, up to the next fifty.
    """
    bill = bill_of(priced(answers[NAMES[0]].outfits[0]), parts_only=True)
    assert bill.before_tax == Decimal("2157.00")
    assert bill.tax == Decimal("127.73")
    assert bill.total == Decimal("2284.73")
    assert bill.ceiling == Decimal("2550")
    assert [line.group for line in bill.lines] == ["attachment", "mount", "power", "freight"]


@pytest.mark.parametrize("name", NAMES)
def test_lines_add_up_to_what_is_printed(answers: dict[str, Advice], flat: Any, name: str) -> None:
    text = flat(offered(answers[name], terms=Terms(deposit=Decimal("0.2"))))
    amounts = re.findall(r"\$([\d,]+\.\d\d)", text)
    *lines, before, tax, total, ceiling, deposit = (Decimal(a.replace(",", "")) for a in amounts)
    assert sum(lines) == before
    assert before + tax == total <= ceiling
    assert abs(deposit - total / 5) <= Decimal("0.005")


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize("name", NAMES)
def test_two_pages_at_most_with_tags(answers: dict[str, Advice], words: Any, flat: Any, name: str, paper: str) -> None:
    pdf = offered(answers[name], paper=paper)
    told, text = words(pdf, "pdfinfo"), flat(pdf)
    pages = re.search(r"^Pages: +(\d)$", told, re.M)
    assert pages and pages[1] in "12"
    assert re.search(r"^Tagged: +yes$", told, re.M)
    for said in ("Quotation Q-0417, version 1", "2025-03-18", "buyer, name and signature", f"1 of {pages[1]}"):
        assert said in text


def test_the_fit_statement_says_what_is_reckoned(answers: dict[str, Advice], flat: Any) -> None:
    advice = answers["1-heavy-grapple-on-line"]
    one, text = advice.outfits[0], flat(offered(advice))
    assert one.payload.full_height is not None
    said = [int(x.replace(",", "")) for x in re.findall(r"In the jaws, [a-z ]+ at least ([\d,]+) lb", text)]
    assert len(said) == 3
    assert said[0] <= one.payload.full_height.p10 / POUND
    shares = {a.pose: a.rear_share for a in one.axles}
    assert f"{100 * shares['loaded_furthest_bare']:.1f} % of the weight" in text
    assert f"{100 * shares['loaded_furthest']:.1f} % of the weight" in text
    assert "initials" in text and "Accepted" in text and "Declined" in text


def test_no_fit_statement_where_it_does_not_fit(answers: dict[str, Advice], flat: Any) -> None:
    advice = answers["6-sideways-on-the-bank"]
    assert advice.outfits[0].verdict == "does not fit"
    text = flat(offered(advice))
    assert "No fit statement is made." in text
    assert "In the jaws" not in text and "no fit statement goes with it" in text


def test_ballast_declined_under_a_fifth_means_parts_only(answers: dict[str, Advice], flat: Any) -> None:
    """The written rule: a fifth of the weight stays on the rear axle."""
    advice = answers["1-heavy-grapple-on-line"]
    one, declined = advice.outfits[0], Terms(ballast="declined", ballast_by="by telephone", ballast_on="2025-03-04")
    assert next(a for a in one.axles if a.pose == "loaded_furthest_bare").rear_share < 0.2
    text = flat(offered(advice, terms=declined))
    assert "Parts only" in text and "Second person" in text and "by telephone 2025-03-04" in text
    assert "Fitting," not in text.split("Price")[1].split("Total, likely")[0]
    assert "In the jaws" not in text


def test_ballast_declined_over_a_fifth_stays_an_offer(answers: dict[str, Advice]) -> None:
    one = answers["1-heavy-grapple-on-line"].outfits[0]
    heavy = tuple(replace(a, rear_share=0.21) for a in one.axles)
    assert not parts_only(replace(one, axles=heavy), Terms(ballast="declined"))
    assert not parts_only(one, Terms(ballast="accepted"))


def test_same_bytes_again(answers: dict[str, Advice]) -> None:
    advice = answers[NAMES[2]]
    assert offered(advice) == offered(advice)
    assert offered(advice) != offered(advice, issue="2")


@pytest.mark.parametrize("text", ["#let x = 1 $y$ *b* @c <d> \\e", "שלום, مرحبا", "z" * 10_000, "long words " * 900])
def test_terms_and_names_are_text(answers: dict[str, Advice], words: Any, flat: Any, text: str) -> None:
    terms = Terms(customer=text, lead=text, returns=(text,), warranty=text, not_included=(text,), ballast_by=text)
    pdf = offered(answers[NAMES[0]], number=text, valid_until=text, dealer=text, terms=terms, by=text)
    assert re.search(r"^Tagged: +yes$", words(pdf, "pdfinfo"), re.M)
    if text.isascii() and len(text) < 100:
        assert text in flat(pdf)


def ways_of(advice: Advice, count: int) -> tuple[Way, ...]:
    names = ("Good", "Better", "Best")
    fitting = Option("fitting", "Fitting, 2.4 h", 250.0, 326.4, 500.0, "labour", chosen=False)
    return tuple(Way(one.id, names[k], (fitting,)) for k, one in enumerate(advice.outfits[:count]))


def test_three_ways_on_one_paper_each_with_its_bill(answers: dict[str, Advice], words: Any, flat: Any) -> None:
    advice = answers["5-brush-pile"]
    pdf = offered(advice, issue="2", terms=Terms(ways=ways_of(advice, 3), customer="Tobiah Fennimoor", said="Ring us."))
    text = flat(pdf)
    assert re.search(r"^Tagged: +yes$", words(pdf, "pdfinfo"), re.M)
    assert "Quotation Q-0417, version 2" in text and "Three ways to do it" in text and "Ring us." in text
    for name in ("Way 1: Good", "Way 2: Better", "Way 3: Best"):
        assert text.count(name) >= 2  # beside the others, and by itself
    assert text.count("Fit statement") == text.count("Weight behind") == 3
    assert text.count("Fitting: the owner does it.") == 3
    assert "The undersigned order the way ticked here" in text


def test_an_option_left_comes_off_the_bill_by_hand(answers: dict[str, Advice]) -> None:
    """As above without 530.40 of fitting: 2795.40 - 530.40 = 2265.00; the tax on goods stays 134.75; 2399.75.

    Highest figures: 1810 + 106 + 202 + 90 + 28 + 268.80 + 145.34 = 2650.14, up to the next fifty: 2700, under the whole
    outfit's 3200. With spare hoses for 108.00 (124.20 at most): 2073 + 108 = 2181 of goods, 6.5 % of it 141.765, say
    141.77; 2181 + 192 + 530.40 + 141.77 = 3045.17.
    """
    one = priced(answers[NAMES[0]].outfits[0])
    bill = bill_of(one, without={"labour"})
    assert (bill.before_tax, bill.tax, bill.total) == (Decimal("2265.00"), Decimal("134.75"), Decimal("2399.75"))
    assert bill.ceiling == Decimal("2700")
    spare = CostLine("Spare hoses", "spare", True, 102.6, 108.0, 124.2, "sheet")
    more = bill_of(one, more=[spare])
    assert (more.tax, more.total) == (Decimal("141.77"), Decimal("3045.17"))
    assert more.ceiling >= Decimal("3350")  # 3200 + 124.20 and its tax, up to the next fifty


def test_an_acceptance_stands_on_the_paper(answers: dict[str, Advice], flat: Any) -> None:
    kept = Acceptance("accepted", "Tobiah Fennimoor", "link", "2025-03-09 10:15", "ab12" * 16)
    text = flat(offered(answers["5-brush-pile"], terms=Terms(acceptance=kept, state="accepted")))
    assert "Accepted by Tobiah Fennimoor" in text and "2025-03-09 10:15" in text and "private link" in text
    assert "ab12" * 8 in text.replace("\u200b", "").replace(" ", "")


def test_parts_only_names_the_second_person(answers: dict[str, Advice], flat: Any) -> None:
    terms = Terms(ballast="declined", ballast_by="T. F.", second="Ben Garth", second_on="2025-03-05")
    assert "Ben Garth 2025-03-05" in flat(offered(answers["1-heavy-grapple-on-line"], terms=terms))

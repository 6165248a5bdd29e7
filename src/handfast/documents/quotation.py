"""The quotation: what is offered and what not, machine facts and their source, price, fit statement, acceptance."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from handfast.advice.carried import balanced_load, cautious_load, rating, working_height
from handfast.advice.result import Advice, Axles, OutfitAdvice
from handfast.advice.say import STEPS, down
from handfast.advice.wording import figure
from handfast.documents.bill import Bill, bill_of, deposit_of
from handfast.documents.press import press, sheet_of
from handfast.documents.words import DEALER, Stamp, listed, marks, picture, title_block, verdict_of, verdict_words
from handfast.drawings.charts_from_advice import load_chart_of
from handfast.drawings.from_advice import can_draw, scale_of, side_view_of
from handfast.drawings.letters import paragraphs, plain
from handfast.drawings.load_chart import chart_words
from handfast.drawings.marks_small import tick_box
from handfast.drawings.sheet_a import sheet_a
from handfast.drawings.side_marks import side_words
from handfast.machines.settings import ACCEPTED, DECLINED, LEAST_SHARE
from handfast.quantities.money import show_money
from handfast.quantities.showing import show

BARE, OFFERED = "loaded_furthest_bare", "loaded_furthest"
WIDTH = 870.0  # px of the drawing: 174 mm
STATED = ("fits", "fits_if")


@dataclass(frozen=True)
class Terms:
    """What a dealer sets for a quotation."""

    customer: str = ""
    state: str = "draft"
    deposit: Decimal = Decimal(0)
    """Share of the total paid with the order."""
    lead: str = "From stock within a week of the order; what is built to order as its maker confirms."
    freight: str = "Carriage to the dealer as listed; the driver brings it to the tail of the truck."
    labour: str = "Fitting in the dealer's shop at the hours listed; hours beyond the ceiling are not charged."
    returns: tuple[str, ...] = (
        "Ask before anything is sent back; what was made or cut to order, and what has been fitted, stays sold.",
        "Where the dealer picked wrong, the dealer pays carriage both ways.",
    )
    warranty: str = "As the makers give it; defects, not wear or misuse. A change to the outfit ends it."
    not_included: tuple[str, ...] = (
        "Repair of what is found worn or broken on the tractor.",
        "A roll bar or belt where the tractor has none.",
        "Concrete, sand or water for weights that are filled at home.",
        "Permits, and work on the ground or gates.",
    )
    ballast: Literal["open", "accepted", "declined"] = "open"
    ballast_by: str = ""
    ballast_on: str = ""
    seen_by: str = ""
    least_share: float = LEAST_SHARE
    """Share on the rear axle below which declined weight makes it an offer of parts only."""
    reached: str = ""
    """Where the dealer is reached, in one line."""
    accepted: str = ACCEPTED
    declined: str = DECLINED


def quotation(
    advice: Advice,
    outfit_id: str,
    *,
    number: str,
    issue: str = "1",
    made: str = "",
    valid_until: str = "",
    terms: Terms | None = None,
    paper: str = "us-letter",
    system: str = "us",
    dealer: str = DEALER,
    by: str = "",
    demo: bool = True,
) -> bytes:
    """One outfit as an offer, on one or two pages.

    Weight behind that is declined where the rear axle would carry less than the terms ask turns the offer into one of
    parts only: no fitting, no fit statement, and a second named person.

    Args:
        advice: the answer; its sentences are in the units that `advise` was asked for.
        outfit_id: which of its outfits.
        number: the quotation's number.
        issue: which issue of it.
        made: the date, best as year-month-day; never taken from a clock.
        valid_until: last day of the offer.
        terms: what the dealer sets; None takes the plain ones.
        paper: us-letter or a4.
        system: us or metric.
        dealer: whose paper it is.
        by: who made it.
        demo: print that all is invented.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    Source: trade practice for a dealer's quotation; title block fields after ISO 7200.

    >>> from handfast.advice.example import answer, outfit
    >>> quotation(answer(), outfit().id, number="1")[:5]
    b'%PDF-'
    """
    sheet, one, terms = sheet_of(paper), advice.outfit(outfit_id), terms or Terms()
    if system not in STEPS:
        raise ValueError(f"system is us or metric; found {system!r}")
    stamp = Stamp(made, number, issue, dealer, by, terms.seen_by, terms.state, demo)
    parts = parts_only(one, terms)
    drawn, scale = _drawn(advice, one, system, parts)
    values = {
        "paper": [sheet.width, sheet.height],
        "demo": demo,
        "title": plain(f"Quotation {number}: {one.title}", 200),
        "dealer": plain(dealer, 90),
        "block": title_block(advice, one, stamp, "Quotation", "", scale),
        "pics": {**marks(one), **_boxes(terms), **drawn},
        **_head(advice, one, stamp, terms, valid_until),
        **_offer(one, terms, parts),
        **_price(bill_of(one, parts), terms),
        "facts": _facts(advice),
        "fit": _fit(one, system, parts),
        "ballast": _ballast(one, terms, system, parts),
        "cautions": [plain(text, 300) for text in one.cautions],
        "open": [plain(text, 200) for text in advice.do_not_promise]
        if _stated(one, parts) and _top(advice, one)
        else [],
        "terms": _terms(terms, valid_until),
        "parts-only": parts,
    }
    return press("quotation", values, made)


def parts_only(one: OutfitAdvice, terms: Terms) -> bool:
    """Whether the weight behind was declined where the rear axle would carry less than the written rule asks."""
    bare = _pose(one, BARE)
    return terms.ballast == "declined" and bare is not None and bare.rear_share < terms.least_share


def _pose(one: OutfitAdvice, name: str) -> Axles | None:
    return next((a for a in one.axles if a.pose == name), None)


def _stated(one: OutfitAdvice, parts: bool) -> bool:
    """Whether the paper says that it fits."""
    return not parts and verdict_of(one) in STATED


def _drawn(advice: Advice, one: OutfitAdvice, system: str, parts: bool) -> tuple[dict[str, dict[str, str]], str]:
    """The drawing where a fit is stated, and what stands under scale and units."""
    units = "in and lb" if system == "us" else "mm and kg"
    if not _stated(one, parts) or not can_draw(one):
        return {}, units
    side, chart = side_view_of(advice, one, system), load_chart_of(one, system)
    words = f"{side_words(side)} Load chart: {chart_words(chart)}"
    return {"side": picture(sheet_a(side, chart, "print", WIDTH), words)}, f"1 : {scale_of(side, WIDTH):.0f}, {units}"


def _top(advice: Advice, one: OutfitAdvice) -> bool:
    return bool(advice.outfits) and advice.outfits[0].id == one.id


def _boxes(terms: Terms) -> dict[str, dict[str, str]]:
    ticked = {name: terms.ballast == name for name in ("accepted", "declined")}
    return {name: picture(tick_box(on, "print"), "ticked" if on else "box to tick") for name, on in ticked.items()}


def _facts(advice: Advice) -> list[list[str]]:
    """What was read of the machine, its work and ground: fact, reading, how sure, where from."""
    told = [f for f in advice.facts if not f.path.startswith(("caller.", "wishes."))]
    known = [(f.title, f.text or "not known", f.certainty, "" if f.origin == "missing" else f.origin) for f in told]
    return [[plain(text, 120) for text in row] for row in known]


def _head(advice: Advice, one: OutfitAdvice, stamp: Stamp, terms: Terms, valid_until: str) -> dict[str, Any]:
    place = next((f.text for f in advice.facts if f.path == "caller.place"), "")
    pairs = [
        ("For", terms.customer or place),
        ("Machine", advice.machine or next((f.text for f in advice.facts if f.path == "machine"), "")),
        ("About", advice.title),
        ("Made", stamp.made),
        ("Valid until", valid_until),
        ("Reach us", terms.reached),
    ]
    return {
        "name": plain(f"Quotation {stamp.number}, issue {stamp.issue}", 90),
        "outfit": plain(one.title, 160),
        "pairs": [[label, plain(text, 120)] for label, text in pairs if text],
    }


def _offer(one: OutfitAdvice, terms: Terms, parts: bool) -> dict[str, Any]:
    kept = [
        c
        for c in one.cost.lines
        if c.group not in ("tax", "discount") and not (parts and c.group in ("labour", "ballast"))
    ]
    without = [plain(text, 200) for text in terms.not_included]
    if parts:
        without = ["Fitting, and weight behind: declined.", *without]
    elif not any(c.group == "labour" for c in kept):
        without = ["Fitting: the owner does it.", *without]
    how = "; ".join(text for text in (one.mount.title, one.power.title, one.power.control) if text)
    return {
        "how": plain(f"{how[:1].upper()}{how[1:]}.", 240),
        "included": [plain(c.what, 160) for c in kept],
        "not-included": without,
        "lines-note": plain(one.connection.note, 240) if not one.connection.lines and one.power.stall_force else "",
    }


def _price(bill: Bill, terms: Terms) -> dict[str, Any]:
    def shown(amount: Decimal) -> str:
        return show_money(amount, bill.currency, cents=True)

    sums = [["Before tax", shown(bill.before_tax), False]]
    if bill.tax:
        sums.append([bill.tax_words or "Tax", shown(bill.tax), False])
    sums += [["Total, likely", shown(bill.total), True], ["Not more than", shown(bill.ceiling), True]]
    if terms.deposit > 0:
        sums.append(
            [f"Deposit with the order, {float(100 * terms.deposit):g} %", shown(deposit_of(bill, terms.deposit)), False]
        )
    return {"bill": [[line.what, shown(line.amount)] for line in bill.lines], "sums": sums}


def _fit(one: OutfitAdvice, system: str, parts: bool) -> dict[str, Any]:
    word, sentence = verdict_words(one)
    if parts:
        said = "Parts only: no fit statement is made, because the weight behind that it needs was declined."
        return {"stated": False, "lead": said, "rows": [], "conditions": []}
    if verdict_of(one) not in STATED:
        return {"stated": False, "lead": f"No fit statement is made. {word} {sentence}", "rows": [], "conditions": []}
    return {
        "stated": True,
        "lead": f"{word} {sentence}",
        "rows": [[label, plain(text, 200)] for label, text in _fit_rows(one, system)],
        "conditions": [plain(c.text, 200) for c in one.conditions],
    }


def _fit_rows(one: OutfitAdvice, system: str) -> list[tuple[str, str]]:
    v = one.geometry.values
    places = (("full height", working_height(one)), ("arms level", v["pivot_z"]), ("low", v["height_down"]))
    rows = []
    for name, height in places:
        load = cautious_load(one, height, system)
        if load is not None:
            rows.append(
                (
                    f"In the jaws, {name}",
                    f"at least {show(load, 'mass', system)}, pins at {show(height, 'length', system)}",
                )
            )
    if one.payload.lift_to is not None:
        least = min(one.payload.lift_to.p10, rating(one) or one.payload.lift_to.p10)
        rows.append(("In the jaws, height asked", f"at least {show(down(least, STEPS[system][0]), 'mass', system)}"))
    borne = balanced_load(one, system)
    if borne is not None:
        rows.append(
            ("Axles reckoned with", f"a load of up to {show(borne, 'mass', system)}; more asks for more behind")
        )
    for label, name in (("Rear axle, nothing behind", BARE), ("Rear axle, as offered", OFFERED)):
        pose = _pose(one, name)
        if pose is not None:
            rows.append((label, f"{figure(pose.rear_share, 'share', system)} of the weight, loaded furthest forward"))
    return [*rows, *_power_rows(one)]


def _power_rows(one: OutfitAdvice) -> list[tuple[str, str]]:
    power = one.power
    words = [power.title, power.control, power.note]
    if power.close_time is not None:
        words.append(f"lid closes in about {power.close_time:.1f} s")
    return [("Lid", "; ".join(text for text in words if text))]


def _ballast(one: OutfitAdvice, terms: Terms, system: str, parts: bool) -> dict[str, Any]:
    pieces = [f"{p.title} ({show(p.mass, 'mass', system)})" for p in one.ballast.chosen]
    needed = one.ballast.needed > 0 or bool(pieces)
    if pieces:
        said = f"{terms.accepted.rstrip()} {listed(pieces)}."
    elif one.ballast.needed > 0:
        said = f"{show(one.ballast.needed, 'mass', system)} must hang on the hitch. {one.ballast.note}"
    else:
        said = "Nothing more behind is needed, as long as what hangs there and fills the tyres now stays so."
    bare = _pose(one, BARE)
    share = f"Without it the rear axle carries {figure(bare.rear_share, 'share', system)}. " if bare is not None else ""
    low = bare is not None and bare.rear_share < terms.least_share
    by = " ".join(text for text in (terms.ballast_by, terms.ballast_on) if text)
    return {
        "said": plain(said, 400),
        "means": plain(share + (terms.declined if low else ""), 500),
        "ask": needed,
        "by": plain(by, 90),
        "second": parts,
    }


def _terms(terms: Terms, valid_until: str) -> list[list[str]]:
    rows = [
        ("Valid", f"until {valid_until}; prices of carriage and steel may change after that" if valid_until else ""),
        ("Delivery", terms.lead),
        ("Carriage", terms.freight),
        ("Fitting", terms.labour),
        ("Returns", " ".join(terms.returns)),
        ("Warranty", terms.warranty),
        ("Figures", "Likely figures; the bill never passes the ceiling unless the order is changed in writing."),
    ]
    return [[label, " ".join(paragraphs(text, 1200))] for label, text in rows if text]

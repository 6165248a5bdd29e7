"""An offer as plain words and figures: what paper, page and message show, and what an acceptance keeps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from handfast.advice.carried import balanced_load, cautious_load, rating, working_height
from handfast.advice.result import Advice, OutfitAdvice
from handfast.advice.say import STEPS, down
from handfast.advice.wording import figure
from handfast.documents.bill import Bill, deposit_of
from handfast.documents.offer_terms import (
    BARE,
    OFFERED,
    Terms,
    low_bare,
    offered_bill,
    parts_only,
    pose,
    way_of,
    without,
)
from handfast.documents.words import listed, verdict_of, verdict_words
from handfast.drawings.letters import paragraphs, plain
from handfast.quantities.money import show_money
from handfast.quantities.showing import show

STATED = ("fits", "fits_if")
NOT_LISTED = ("tax", "discount")


def offer_values(
    advice: Advice, outfits: Sequence[OutfitAdvice], terms: Terms, number: str, issue: str, made: str, until: str,
    system: str,
) -> dict[str, Any]:  # fmt: skip
    """Everything that an offer says, as plain lists and texts."""
    ways = [way_values(one, terms, system, k if len(outfits) > 1 else 0) for k, one in enumerate(outfits, 1)]
    stated = any(way["fit"]["stated"] for way in ways)
    top = bool(advice.outfits) and advice.outfits[0].id == outfits[0].id
    cautions = dict.fromkeys(plain(text, 300) for one in outfits for text in one.cautions)
    return {
        **_head(advice, outfits, terms, (number, issue, made, until)),
        "ways": ways,
        "said": plain(terms.said, 1200),
        "facts": _facts(advice),
        "cautions": list(cautions),
        "open": [plain(text, 200) for text in advice.do_not_promise] if stated and (top or len(outfits) > 1) else [],
        "terms": _terms(terms, until),
        "parts-only": any(way["parts-only"] for way in ways),
    }


def way_values(one: OutfitAdvice, terms: Terms, system: str, place: int = 0) -> dict[str, Any]:
    """One outfit as it is offered; `place` counts where there are several."""
    parts, bill, way = parts_only(one, terms), offered_bill(one, terms), way_of(terms, one)
    name = plain(way.name, 60)
    return {
        "id": one.id,
        "name": f"Way {place}: {name}" if place and name else f"Way {place}" if place else name,
        "title": plain(one.title, 160),
        "mark": verdict_of(one) if stated(one, terms) or verdict_of(one) not in STATED else "not_enough_known",
        **_offered(one, terms, parts),
        **_price(bill, terms),
        "total": show_money(bill.total, bill.currency, cents=True),
        "ceiling": show_money(bill.ceiling, bill.currency, cents=True),
        "options": [
            {"id": o.id, "what": plain(o.what, 120), "price": show_money(o.likely, bill.currency, cents=True),
             "chosen": o.chosen}
            for o in way.options
            if not (parts and o.group == "labour")
        ],
        "fit": _fit(one, terms, system, parts),
        "ballast": _ballast(one, terms, system, parts),
        "parts-only": parts,
    }  # fmt: skip


def _facts(advice: Advice) -> list[list[str]]:
    """What was read of the machine, its work and ground: fact, reading, how sure, where from."""
    told = [f for f in advice.facts if not f.path.startswith(("caller.", "wishes."))]
    known = [(f.title, f.text or "not known", f.certainty, "" if f.origin == "missing" else f.origin) for f in told]
    return [[plain(text, 120) for text in row] for row in known]


def _head(
    advice: Advice, outfits: Sequence[OutfitAdvice], terms: Terms, named: tuple[str, str, str, str]
) -> dict[str, Any]:
    number, issue, made, until = named
    place = next((f.text for f in advice.facts if f.path == "caller.place"), "")
    pairs = [
        ("For", terms.customer or place),
        ("Machine", advice.machine or next((f.text for f in advice.facts if f.path == "machine"), "")),
        ("About", advice.title),
        ("Made", made),
        ("Valid until", until),
        ("Reach us", terms.reached),
    ]
    several = f"{_COUNTED[len(outfits)]} ways to do it"
    return {
        "name": plain(f"Quotation {number}, version {issue}", 90),
        "outfit": plain(outfits[0].title, 160) if len(outfits) == 1 else several,
        "pairs": [[label, plain(text, 120)] for label, text in pairs if text],
    }


_COUNTED = ("No", "One", "Two", "Three")


def _offered(one: OutfitAdvice, terms: Terms, parts: bool) -> dict[str, Any]:
    out = {*without(one, terms), *NOT_LISTED, *(("labour", "ballast") if parts else ())}
    kept = [c for c in one.cost.lines if c.group not in out]
    more = [o for o in way_of(terms, one).options if o.chosen and o.added]
    not_in = [plain(text, 200) for text in terms.not_included]
    not_in = ["Fitting, and weight behind: declined.", *not_in] if parts else [*_left(one, terms), *not_in]
    how = "; ".join(text for text in (one.mount.title, one.power.title, one.power.control) if text)
    return {
        "how": plain(f"{how[:1].upper()}{how[1:]}.", 240),
        "included": [plain(what, 160) for what in (*(c.what for c in kept), *(o.what for o in more))],
        "not-included": not_in,
        "lines-note": plain(one.connection.note, 240) if not one.connection.lines and one.power.stall_force else "",
    }


def _left(one: OutfitAdvice, terms: Terms) -> list[str]:
    """What is left out by choice, in words."""
    left, groups = [], {c.group for c in one.cost.lines}
    out = without(one, terms)
    if "labour" not in groups or "labour" in out:
        left.append("Fitting: the owner does it.")
    if "freight" in groups and "freight" in out:
        left.append("Carriage: it is picked up.")
    if "ballast" in groups and "ballast" in out:
        left.append("Weight behind: declined.")
    return left


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


def stated(one: OutfitAdvice, terms: Terms) -> bool:
    """Whether it is said that the outfit fits: never on weight behind that was declined."""
    rests = terms.ballast == "declined" and any(c.kind == "ballast" for c in one.conditions)
    return not parts_only(one, terms) and not rests and verdict_of(one) in STATED


def _fit(one: OutfitAdvice, terms: Terms, system: str, parts: bool) -> dict[str, Any]:
    word, sentence = verdict_words(one)
    if not stated(one, terms):
        said = f"No fit statement is made. {word} {sentence}"
        if parts:
            said = "Parts only: no fit statement is made, because the weight behind that it needs was declined."
        elif verdict_of(one) in STATED:
            said = "No fit statement is made: the fit was reckoned with weight behind that was declined."
        return {"stated": False, "lead": said, "rows": [], "conditions": []}
    return {
        "stated": True,
        "lead": f"{word} {sentence}",
        "rows": [[label, plain(text, 200), _rests_on(one, label)] for label, text in _fit_rows(one, terms, system)],
        "conditions": [plain(c.text, 200) for c in one.conditions],
    }


RESTS: Mapping[str, tuple[str, ...]] = {
    "In the jaws, height asked": ("lift.needed_height", "lift.full_height"),
    "In the jaws": ("lift.full_height", "lift.needed_height"),
    "Axles": ("balance.front_axle", "balance.rear_share_loaded"),
    "Rear axle": ("balance.rear_share_loaded", "balance.rear_share_caution"),
    "Lid": ("power.time", "power.supply"),
}
"""Which check says what the figures of a line rest on, by how the line begins."""


def _rests_on(one: OutfitAdvice, label: str) -> str:
    """The weakest origin among the facts that a line of the fit statement rests on."""
    names = next((checks for start, checks in RESTS.items() if label.startswith(start)), ())
    known = {check.id: check.origin for check in one.checks if check.held is not None}
    return next((known[name] for name in names if known.get(name)), "")


def _fit_rows(one: OutfitAdvice, terms: Terms, system: str) -> list[tuple[str, str]]:
    v = one.geometry.values
    places = (("full height", working_height(one)), ("arms level", v["pivot_z"]), ("low", v["height_down"]))
    rows = []
    for name, height in places:
        load = cautious_load(one, height, system)
        if load is not None:
            borne = f"at least {show(load, 'mass', system)}, pins at {show(height, 'length', system)}"
            rows.append((f"In the jaws, {name}", borne))
    if one.payload.lift_to is not None:
        least = min(one.payload.lift_to.p10, rating(one) or one.payload.lift_to.p10)
        rows.append(("In the jaws, height asked", f"at least {show(down(least, STEPS[system][0]), 'mass', system)}"))
    load = balanced_load(one, system)
    if load is not None and terms.ballast != "declined":
        rows.append(("Axles reckoned with", f"a load of up to {show(load, 'mass', system)}; more asks for more behind"))
    return [*rows, *_axle_rows(one, terms), *_power_rows(one)]


def _axle_rows(one: OutfitAdvice, terms: Terms) -> list[tuple[str, str]]:
    poses = [("Rear axle, nothing behind", BARE)]
    if terms.ballast != "declined":
        poses.append(("Rear axle, as offered", OFFERED))
    found = [(label, pose(one, name)) for label, name in poses]
    said = "{} of the weight, loaded furthest forward"
    return [(label, said.format(figure(a.rear_share, "share", "us"))) for label, a in found if a is not None]


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
    bare = pose(one, BARE)
    share = f"Without it the rear axle carries {figure(bare.rear_share, 'share', system)}. " if bare is not None else ""
    price = sum((line.amount for line in offered_bill(one, Terms()).lines if line.group == "ballast"), Decimal(0))
    return {
        "said": plain(said, 400),
        "means": plain(share + (terms.declined if low_bare(one, terms) else ""), 500),
        "ask": needed,
        "answer": terms.ballast,
        "accepted": terms.ballast == "accepted",
        "declined": terms.ballast == "declined",
        "price": show_money(price, one.cost.currency, cents=True) if price else "",
        "by": plain(" ".join(text for text in (terms.ballast_by, terms.ballast_on) if text), 90),
        "second": parts,
        "seconded": plain(" ".join(text for text in (terms.second, terms.second_on) if text), 90),
    }


def _terms(terms: Terms, valid_until: str) -> list[list[str]]:
    rows = [
        ("Valid", f"until {valid_until}; prices of carriage and steel may change after that" if valid_until else ""),
        ("Delivery", terms.lead),
        ("Carriage", terms.freight),
        ("Fitting", terms.labour),
        ("Returns", " ".join(terms.returns)),
        (
            "Restocking",
            f"{float(100 * terms.restocking):g} % of what unused goods cost is kept back." if terms.restocking else "",
        ),
        ("Warranty", terms.warranty),
        ("Figures", "Likely figures; the bill never passes the ceiling unless the order is changed in writing."),
    ]
    return [[label, " ".join(paragraphs(text, 1200))] for label, text in rows if text]

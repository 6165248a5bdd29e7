"""One outfit in depth as a page of text."""

from __future__ import annotations

from collections.abc import Iterator

from handfast.advice.result import CheckResult, OutfitAdvice
from handfast.advice.wording import figure as said
from handfast.cli.page import (
    about_load,
    band,
    behind,
    columns,
    figure,
    heading,
    labelled,
    paragraph,
    price,
    tally,
    total,
)
from handfast.documents.bill import bill_of
from handfast.language.telling import tell
from handfast.quantities.money import show_money


def outfit_page(outfit: OutfitAdvice, currency: str, units: str) -> str:
    """Verdict, conditions, checks with what is asked and what there is, load, ballast, bill and work of one outfit."""
    return "\n".join(_lines(outfit, currency, units)) + "\n"


def _lines(outfit: OutfitAdvice, currency: str, units: str) -> Iterator[str]:
    yield f"{tell(outfit.title)}  [{outfit.id}]"
    yield from paragraph(
        f"{outfit.verdict}, {tally(outfit.held)} over {outfit.over_checks} checks. {outfit.verdict_text}"
    )
    for condition in outfit.conditions:
        yield from paragraph(f"if {condition.text}", "    ", "  - ")
    yield from _make_up(outfit, units)
    yield from heading("Checks")
    yield from _checks(outfit.checks, units, currency)
    yield from _load(outfit, units)
    yield from _behind(outfit, units)
    yield from _bill(outfit, currency)
    yield from _work(outfit, currency)
    if outfit.cautions:
        yield from heading("Say before it is sold")
        for text in outfit.cautions:
            yield from paragraph(text, "    ", "  - ")
    if outfit.say:
        yield from heading("You can say now")
        yield from paragraph(outfit.say)


def _make_up(outfit: OutfitAdvice, units: str) -> Iterator[str]:
    mount, power = outfit.mount, outfit.power
    yield from heading("Made up of")
    shift = f"{figure(mount.mass, 'kg', units)} at the loader, {figure(mount.forward, 'm', units)} further forward"
    rows = [("mount", f"{mount.title}; {shift}"), ("power", f"{power.title}; {power.control}")]
    rows += [("lid", power.note)] if power.note else []
    rows += [("lines", line) for line in outfit.connection.lines]
    rows += [("hose", hose) for hose in outfit.connection.hoses]
    yield from labelled(rows)


def _checks(checks: tuple[CheckResult, ...], units: str, currency: str) -> Iterator[str]:
    rows = [["", "check", "asks", "has", "to spare", "holds"]]
    decided = [check for check in checks if check.held is not None]
    rows += [[check.kind, check.title, *_figures(check, units, currency), tally(check.held)] for check in decided]
    yield from columns(rows, right=(2, 3, 4))
    for check in decided:
        if check.held != 1.0:
            yield from paragraph(f"{check.id}: {check.sentence} ({check.basis}; {check.origin})", "    ", "  - ")
    waiting = [check.title for check in checks if check.held is None]
    if waiting:
        yield from paragraph(f"Not asked, or not enough known: {', '.join(waiting)}.")


def _figures(check: CheckResult, units: str, currency: str) -> list[str]:
    """What it asks, what there is, what is to spare; nothing for a yes or no."""
    if check.unit == "1":
        return ["", "", ""]
    middles = [one.p50 if one else None for one in (check.demand, check.capacity, check.margin)]
    if check.unit == "money":
        return ["not known" if value is None else price(value, currency) for value in middles]
    return ["not known" if value is None else _figure(value, check.unit, units) for value in middles]


def _figure(value: float, unit: str, units: str) -> str:
    """A figure of a check: a lid's time to a tenth, oil's speed as the trade says it."""
    return said(value, unit, units) if unit in ("s", "m/s") else figure(value, unit, units)


def _load(outfit: OutfitAdvice, units: str) -> Iterator[str]:
    payload = outfit.payload
    yield from heading("In the jaws")
    yield from columns(
        [
            ["at full height", band(payload.full_height, "kg", units)],
            *([["at the height asked", band(payload.lift_to, "kg", units)]] if payload.lift_to else []),
            ["pins level with the pivot", band(payload.level, "kg", units)],
            *([["the load", about_load(outfit.load_text)]] if outfit.load_text else []),
        ]
    )
    for pick in outfit.picks_up:
        yield from paragraph(pick.text, "    ", "  - ")
    for note in outfit.work_notes:
        yield from paragraph(note, "    ", "  - ")


def _behind(outfit: OutfitAdvice, units: str) -> Iterator[str]:
    yield from heading("Behind, and on the axles")
    yield from paragraph(behind(outfit.ballast, units))
    rows = [["", "front axle", "rear axle", "rear share"]]
    for pose in outfit.axles:
        loads = [figure(load, "kg", units) for load in (pose.front, pose.rear)]
        rows.append([pose.title, *loads, figure(pose.rear_share, "share", units)])
    yield from columns(rows, right=(1, 2, 3))


def _bill(outfit: OutfitAdvice, currency: str) -> Iterator[str]:
    cost = outfit.cost
    yield from heading(f"Fitted and delivered: {total(cost)}")
    bill, rows = bill_of(outfit), [["", "least", "likely", "most"]]
    shown = [*(line.amount for line in bill.lines), bill.tax]  # tax, where there is any, is the last line of both
    for line, amount in zip(cost.lines, shown, strict=False):
        what = f"{line.what} †" if line.hidden else line.what
        rows.append(
            [what, price(line.low, currency), show_money(amount, currency, cents=True), price(line.high, currency)]
        )
    if cost.lines:
        rows.append(["All lines together", "", show_money(bill.total, currency, cents=True), ""])
    yield from columns(rows, right=(1, 2, 3))
    if cost.hidden:
        yield from paragraph(f"† not in the price people see on-line: {price(cost.hidden, currency)} in all")


def _work(outfit: OutfitAdvice, currency: str) -> Iterator[str]:
    job = outfit.job
    told = [
        f"{job.loads:.0f} loads" if job.loads is not None else "",
        f"{job.hours:.1f} hours" if job.hours is not None else "",
        f"{price(job.yearly_cost, currency)} a year" if job.yearly_cost is not None else "",
    ]
    if any(told) or job.note:
        yield from heading("The work")
        yield from paragraph("; ".join(part for part in [", ".join(part for part in told if part), job.note] if part))

"""What comes after the sale, one transaction each: kits as built, comebacks, replacement orders, lessons."""

from __future__ import annotations

import json
import re
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from math import isnan, nan
from typing import Any

from sqlalchemy import Connection

from handfast.advice.calibration import Calibration, calibration
from handfast.advice.comeback import Look, Payer, Symptom, longer, symptom_of, who_pays
from handfast.counter import verbs as counter
from handfast.counter.terms import kept_outfit
from handfast.counter.verbs import Workspace
from handfast.machines.as_built import AsBuilt, BuiltHose, Lesson, machine_key
from handfast.machines.faults import Fault, Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.outcome import Outcome
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.find import outfit_of
from handfast.outfits.kit_hoses import KitHose, kit_hoses
from handfast.outfits.lay import as_measured
from handfast.outfits.line_runs import line_runs
from handfast.outfits.numbering import HoseNumber, hose_numbers
from handfast.outfits.outfit import Outfit
from handfast.quantities.estimate import Estimate
from handfast.store import care_rows, outcome_rows
from handfast.store.care_rows import ComebackRow, OrderRow
from handfast.store.database import reading, writing
from handfast.store.quote_rows import QuoteRow, quote_row

NAMED = re.compile(
    r"\s*(?:q(?:uote)?|no\.?|#)?\s*(?P<quote>\d{1,9})(?:\s*[-/. ]?\s*(?P<tag>[a-z]{1,2}\d{1,2}))?\s*", re.I
)


@dataclass(frozen=True)
class Kit:
    """The machine and kit of a quote, as they stand now."""

    quote: QuoteRow
    inquiry: Inquiry
    outfit: Outfit
    shelf: Shelf
    numbers: tuple[HoseNumber, ...]
    hoses: tuple[KitHose, ...]
    built: AsBuilt

    def hose(self, tag: str) -> KitHose:
        """The hose of a number; KeyError if there is none."""
        for one in self.hoses:
            if one.tag == tag:
                return one
        raise KeyError(tag)

    @property
    def owner_fitted(self) -> bool:
        """Whether the caller fitted it himself."""
        return bool(self.inquiry.wishes.own_work)


def named(text: str) -> tuple[int, str]:
    """Quote number and hose of a tag or a quote number; raises Faults where it is neither.

    >>> named("12-a2"), named("quote 7")
    ((12, 'A2'), (7, ''))
    """
    found = NAMED.fullmatch(text)
    if found is None:
        raise Faults([Fault("tag", 0, "tag", f'"{text[:40]}"', "a tag such as 12-A1, or a quote number")])
    return int(found["quote"]), (found["tag"] or "").upper()


def kit_of(workspace: Workspace, number: int) -> Kit:
    """Machine, kit and hoses of a quote. KeyError: no such quote, or its outfit can't be made up any more."""
    with reading(workspace.engine) as connection:
        quote = quote_row(connection, number)
    shelf = counter.shelf(workspace)
    text = json.loads(quote.json).get("text") or counter.inquiry(workspace, quote.inquiry).text
    asked = read_inquiry(text, f"quote {number}")
    try:
        return _kit(quote, asked, shelf)
    except KeyError:  # something of it has been retired since
        return _kit(quote, asked, shelf.whole)


def _kit(quote: QuoteRow, asked: Inquiry, shelf: Shelf) -> Kit:
    inquiry = as_measured(asked.resolve(shelf))
    outfit = outfit_of(quote.outfit, inquiry, shelf)
    key, kit = machine_key(inquiry.machine), (outfit.attachment.id, outfit.power.route)
    here = (b for b in shelf.as_built if key and (b.machine, b.attachment, b.route) == (key, *kit))
    fresh = AsBuilt(machine=key, attachment=kit[0], route=kit[1], serial=inquiry.machine.serial, quote=quote.number)
    numbers = hose_numbers(outfit, line_runs(outfit, inquiry, shelf))
    return Kit(quote, inquiry, outfit, shelf, numbers, kit_hoses(outfit, inquiry, shelf), next(here, fresh))


def as_built(workspace: Workspace, number: int) -> AsBuilt:
    """What was measured on the machine of a quote with its kit; an empty record where nothing was."""
    return kit_of(workspace, number).built


def keep_as_built(workspace: Workspace, number: int, given: dict[str, Any]) -> AsBuilt:
    """Keep what the install sheet says: `made`, `serial`, `relief`, `hours`, `notes`, and of each hose, by its number,
    `length` and `routing`. Raises Faults, storing nothing, where anything is wrong with it."""
    kit = kit_of(workspace, number)
    if not kit.built.machine:
        raise Faults(
            [Fault("as built", 0, "machine", "a tractor without a name", "its record or its name, in the inquiry")]
        )
    hoses = [_built_hose(kit, tag, one, str(given.get("made") or today())) for tag, one in given["hoses"].items()]
    plain = {key: given[key] for key in ("serial", "relief", "hours", "notes") if given.get(key)}
    fresh = AsBuilt.model_validate(
        {**kit.built.plain(), **plain, "made": given.get("made") or today(), "quote": number, "hoses": []}
    )
    for hose in (*kit.built.hoses, *(one for one in hoses if one is not None)):
        fresh = fresh.with_hose(hose)
    with writing(workspace.engine) as connection:
        care_rows.add_as_built(connection, fresh, workspace.who)
    return fresh


def _built_hose(kit: Kit, tag: str, given: dict[str, Any], made: str) -> BuiltHose | None:
    """A hose as written on the install sheet; None where neither its length nor its way was written down."""
    hose = kit.hose(tag)
    if not any(given.values()):
        return None
    known = {key: value for key, value in given.items() if value}
    kept = kit.built.hose(hose.line, hose.number.at)
    came = hose.plan.brought_by if kept is None else kept.brought_by
    return BuiltHose.model_validate(
        {"tag": tag, "line": hose.line, "at": hose.number.at, "made": made, "brought_by": came, **known}
    )


@dataclass(frozen=True)
class Came:
    """A comeback as the counter takes it: the look, lengths [m] of a hose that is too short, what is ordered."""

    look: str
    fitted: float = nan
    missing: float = nan
    what: str = ""
    notes: str = ""


def come_back(workspace: Workspace, number: int, tag: str, symptom: str, came: Came) -> tuple[int, int | None]:
    """Take a comeback, order what it needs and keep what it teaches, all or nothing; its number and the order's.

    KeyError: no such quote, hose, symptom or look.
    """
    kit, said = kit_of(workspace, number), symptom_of(symptom)
    if tag and tag not in {one.tag for one in kit.numbers}:
        raise KeyError(tag)
    look = said.look(came.look)
    pays = who_pays(look.cause, kit.owner_fitted)
    part = _replacement(kit, tag, look, came)
    with writing(workspace.engine) as connection:
        record = _json(_record(kit, said, look, pays, came))
        comeback = care_rows.add_comeback(connection, number, tag, symptom, record, workspace.who)
        if part is None:
            return comeback, None
        order = care_rows.add_order(connection, comeback, _json({**part, "payer": asdict(pays)}), workspace.who)
        if look.remedy == "longer":
            _learn(connection, workspace.who, kit, tag, part["needed"], comeback)
    return comeback, order


def _record(kit: Kit, said: Symptom, look: Look, pays: Payer, came: Came) -> dict[str, Any]:
    return {
        "symptom": said.title,
        "look": asdict(look),
        "payer": asdict(pays),
        "fitted": _or_none(came.fitted),
        "missing": _or_none(came.missing),
        "notes": came.notes,
        "machine": kit.inquiry.machine.name or kit.built.machine,
        "outfit": kit.outfit.title,
    }


def _replacement(kit: Kit, tag: str, look: Look, came: Came) -> dict[str, Any] | None:
    """The part to order; None where nothing is."""
    if look.remedy == "none":
        return None
    if look.remedy not in ("longer", "same") or tag not in {one.tag for one in kit.hoses}:
        return {"tag": tag, "what": came.what or look.cure, "quantity": 1}
    hose = kit.hose(tag)
    fitted = hose.long if isnan(came.fitted) else came.fitted
    needed = longer(fitted, came.missing) if look.remedy == "longer" else fitted
    return _hose_order(kit, hose, needed, fitted)


def _hose_order(kit: Kit, hose: KitHose, needed: float, fitted: float) -> dict[str, Any]:
    """The hose as the next quote of this machine and kit will have it."""
    built = kit.built.with_hose(_replaced(hose, needed))
    shelf = kit.shelf.model_copy(update={"as_built": (built, *kit.shelf.as_built)})
    if not built.machine:
        fresh = Lesson(**_lesson(kit, hose, needed, 0))
        shelf = kit.shelf.model_copy(update={"lessons": (fresh, *kit.shelf.lessons)})
    new = next(one for one in kit_hoses(kit.outfit, kit.inquiry, shelf) if one.tag == hose.tag)
    piece = new.number.piece
    price = nan if piece is None or piece.price.is_unknown else float(piece.price.value)
    return {
        "tag": hose.tag,
        "what": new.plan.name,
        "part": "" if piece is None else piece.part.id,
        "quantity": 1,
        "from": new.number.start,
        "to": new.number.end,
        "ends": [new.number.start_thread, new.number.end_thread],
        "bore": _or_none(nan if piece is None else piece.bore),
        "pressure_max": _or_none(nan if piece is None else piece.pressure_max),
        "was": fitted,
        "needed": needed,
        "length": new.plan.made if isnan(new.plan.ordered) else new.plan.ordered,
        "price": _or_none(price),
        "currency": kit.shelf.price_book.currency,
        "warnings": list(new.plan.warnings),
    }


def _replaced(hose: KitHose, needed: float) -> BuiltHose:
    length = Estimate.known(round(needed, 4), origin="measured")
    return BuiltHose(tag=hose.tag, line=hose.line, at=hose.number.at, length=length, made=today())


def _lesson(kit: Kit, hose: KitHose, needed: float, comeback: int) -> dict[str, Any]:
    bare = kit.shelf.model_copy(update={"as_built": (), "lessons": ()})
    reckoned = next(one for one in kit_hoses(kit.outfit, kit.inquiry, bare) if one.tag == hose.tag)
    return {
        "line": hose.line,
        "at": hose.number.at,
        "attachment": kit.built.attachment,
        "route": kit.built.route,
        "extra": Estimate.known(round(max(needed - reckoned.plan.needed, 0.0), 4), origin="measured"),
        "bought": bool(reckoned.plan.brought_by),
        "comeback": comeback,
        "made": today(),
    }


def _learn(connection: Connection, who: str, kit: Kit, tag: str, needed: float, comeback: int) -> None:
    """Keep the length with the machine and kit, and what it adds with the kit on any machine."""
    hose = kit.hose(tag)
    if kit.built.machine:
        built = kit.built.with_hose(_replaced(hose, needed)).model_copy(update={"made": today()})
        care_rows.add_as_built(connection, built, who)
    care_rows.add_lesson(connection, Lesson.model_validate(_lesson(kit, hose, needed, comeback)), who)


def comebacks(workspace: Workspace) -> list[ComebackRow]:
    """Every comeback, newest first."""
    with reading(workspace.engine) as connection:
        return care_rows.comeback_rows(connection)


def comeback(workspace: Workspace, number: int) -> ComebackRow:
    """One comeback. KeyError: no such number."""
    with reading(workspace.engine) as connection:
        return care_rows.comeback_row(connection, number)


def orders(workspace: Workspace) -> list[OrderRow]:
    """Every replacement order, newest first."""
    with reading(workspace.engine) as connection:
        return care_rows.order_rows(connection)


def order(workspace: Workspace, number: int) -> OrderRow:
    """One replacement order. KeyError: no such number."""
    with reading(workspace.engine) as connection:
        return care_rows.order_row(connection, number)


def move_order(workspace: Workspace, number: int, state: str) -> None:
    """Move an order to ordered, sent, received, fitted or cancelled. KeyError: no such number."""
    with writing(workspace.engine) as connection:
        care_rows.change_order_state(connection, number, state, workspace.who)


def today() -> str:
    """The day in UTC."""
    return datetime.now(UTC).date().isoformat()


def _or_none(value: float) -> float | None:
    return None if isnan(value) else value


def _json(plain: dict[str, Any]) -> str:
    return json.dumps(plain, ensure_ascii=False, allow_nan=False)


def say_outcome(workspace: Workspace, number: int, outcome: Outcome) -> None:
    """Keep what became of a quote; the newest counts. KeyError: no such quote."""
    with writing(workspace.engine) as connection:
        quote_row(connection, number)
        outcome_rows.add_outcome(connection, number, outcome, workspace.who)


def outcomes(workspace: Workspace) -> list[tuple[QuoteRow, Outcome]]:
    """Every quote of which something was heard, with what became of it, newest first."""
    with reading(workspace.engine) as connection:
        rows = outcome_rows.outcome_rows(connection)
        return [(quote_row(connection, row.quote), row.outcome) for row in rows]


def calibrations(workspace: Workspace) -> tuple[Calibration, Calibration]:
    """Of what was claimed, how much held: the verdicts, and the payloads that were weighed."""
    verdicts: list[tuple[float, float]] = []
    payloads: list[tuple[float, float]] = []
    for quote, outcome in outcomes(workspace):
        offered = kept_outfit(quote)
        if outcome.held is not None:
            verdicts.append((float(offered["held"]), float(outcome.held)))
        payloads += payload_claims(offered["payload"]["full_height"], outcome)
    return calibration(*_pairs(verdicts)), calibration(*_pairs(payloads))


def payload_claims(band: dict[str, float] | None, outcome: Outcome) -> list[tuple[float, float]]:
    """What the offered band claims of a payload that was weighed: at least P10 nine times in ten, and so on."""
    if band is None or outcome.payload.is_unknown or None in band.values():
        return []
    weighed = outcome.payload.value
    return [(claim, float(weighed >= band[name])) for claim, name in ((0.9, "p10"), (0.5, "p50"), (0.1, "p90"))]


def _pairs(found: list[tuple[float, float]]) -> tuple[list[float], list[float]]:
    return [claim for claim, _ in found], [held for _, held in found]

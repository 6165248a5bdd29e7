"""The dealer's verbs, one transaction each."""

from __future__ import annotations

import hashlib
import json
import logging
from collections import OrderedDict
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Any

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import SQLAlchemyError

from handfast.advice.advise import advise
from handfast.advice.as_json import to_json
from handfast.advice.depth import Depth, in_depth
from handfast.advice.from_json import from_json
from handfast.advice.result import Advice
from handfast.counter.offering import Said, Wanted, kept_offer
from handfast.counter.quote_states import inquiry_state
from handfast.counter.terms import terms_now
from handfast.data.release import TABLES, VERSION
from handfast.machines.in_force import dated, in_force
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_shelf, read_inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.shelf_files import DEMO
from handfast.machines.toml_text import bytes_of, text_of
from handfast.outfits.lay import as_measured
from handfast.store import (
    answer_rows,
    call_rows,
    care_rows,
    change_rows,
    inquiry_rows,
    quote_rows,
    settings_rows,
    shelf_rows,
)
from handfast.store.database import StoreError, open_database, reading, writing
from handfast.store.inquiry_rows import InquiryRow
from handfast.store.quote_rows import QuoteRow

KEPT_ANSWERS = 64  # in memory; the rows keep every one


@dataclass
class Workspace:
    """An open workspace: its database, the shelf as last read, the answers lately given."""

    home: Path
    engine: Engine
    who: str = "counter"
    shelf_read: dict[str, Shelf] = field(default_factory=dict)  # one, by its stamp; shared by everybody who comes in
    answers: OrderedDict[str, Advice] = field(default_factory=OrderedDict)
    depths: OrderedDict[tuple[str, str], Depth] = field(default_factory=OrderedDict)
    lock: Lock = field(default_factory=Lock)
    keeper: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(1, "keeper"))


def open_workspace(home: Path, who: str = "counter", address: str | None = None) -> Workspace:
    """Open a folder's workspace, made or brought up to date first; StoreError says why it can't be.

    `address`: the PostgreSQL database of its rows; "" for the file in the folder; None for what HANDFAST_DATABASE says.
    """
    return Workspace(home, open_database(home, address), who)


def named(workspace: Workspace, who: str) -> Workspace:
    """The same workspace in somebody's hands: what is written is noted with that name."""
    return replace(workspace, who=who)


def fill_demo(workspace: Workspace) -> bool:
    """Put the invented shelf and inquiries into an empty workspace; False, and nothing done, where it is not empty."""
    shelf_to_put = demo_shelf()
    with writing(workspace.engine) as connection:
        if shelf_rows.shelf_stamp(connection) or inquiry_rows.inquiry_rows(connection):
            return False
        shelf_rows.put_shelf(connection, shelf_to_put, workspace.who)
        for path in sorted((DEMO / "inquiries").glob("*.toml")):
            text = text_of(bytes_of(path), path.name)
            title, place = _title_and_place(read_inquiry(text, path.name))
            inquiry_rows.add_inquiry(connection, text, title, place, workspace.who)
    return True


def new_inquiry(workspace: Workspace, text: str, file: str = "inquiry.toml") -> int:
    """Take a new inquiry and return its number; raises Faults, and stores nothing, where the text has any."""
    title, place = _title_and_place(read_inquiry(text, file))
    with writing(workspace.engine) as connection:
        return inquiry_rows.add_inquiry(connection, text, title, place, workspace.who)


def change_inquiry(workspace: Workspace, number: int, text: str, file: str = "inquiry.toml") -> None:
    """Replace an inquiry's text; raises Faults, changing nothing, where it has any. KeyError: no such number."""
    title, place = _title_and_place(read_inquiry(text, file))
    with writing(workspace.engine) as connection:
        inquiry_rows.change_text(connection, number, text, title, place, workspace.who)


def change_state(workspace: Workspace, number: int, state: str) -> None:
    """Move an inquiry to asked, quoted, waiting on caller, ordered, fitted or closed. KeyError: no such number."""
    with writing(workspace.engine) as connection:
        inquiry_rows.change_state(connection, number, state, workspace.who)


def inquiry(workspace: Workspace, number: int) -> InquiryRow:
    """One inquiry as it rests. KeyError: no such number."""
    with reading(workspace.engine) as connection:
        return inquiry_rows.inquiry_row(connection, number)


def inquiries(workspace: Workspace) -> list[InquiryRow]:
    """Every inquiry, newest first."""
    with reading(workspace.engine) as connection:
        return inquiry_rows.inquiry_rows(connection)


def newest_change(workspace: Workspace) -> int:
    """The number of the newest change of any record: a stamp of all that is stored."""
    with reading(workspace.engine) as connection:
        return change_rows.newest_change(connection)


def same_inquiry(workspace: Workspace, text: str) -> int | None:
    """The newest inquiry with exactly this text, if there is one."""
    return next((row.number for row in inquiries(workspace) if row.text == text), None)


def shelf(workspace: Workspace) -> Shelf:
    """The shelf as it stands, at the prices of today."""
    return _shelf(workspace)[1]


def answer_at_hand(workspace: Workspace, number: int, seed: int = 1, system: str = "us") -> Advice | None:
    """The advice on an inquiry if it was lately reckoned; None where that would take time. KeyError: no such number."""
    digest = _digest(inquiry(workspace, number).text, _shelf(workspace)[0], seed, system)
    with workspace.lock:
        return workspace.answers.get(digest)


def answer(workspace: Workspace, number: int, seed: int = 1, system: str = "us") -> Advice:
    """The advice on an inquiry, reckoned anew only when its text, the shelf or the release have changed. KeyError."""
    given = inquiry(workspace, number)
    stamp, on_shelf = _shelf(workspace)
    digest = _digest(given.text, stamp, seed, system)
    with workspace.lock:
        known = workspace.answers.get(digest)
    if known is not None:
        return known
    reckoned = advise(read_inquiry(given.text, f"inquiry {number}"), on_shelf, seed=seed, system=system)
    workspace.keeper.submit(_keep, workspace, number, digest, seed, reckoned)
    with workspace.lock:
        workspace.answers[digest] = reckoned
        while len(workspace.answers) > KEPT_ANSWERS:
            workspace.answers.popitem(last=False)
    return reckoned


def depth(workspace: Workspace, number: int, outfit_id: str, seed: int = 1, system: str = "us") -> Depth:
    """One outfit of an inquiry in depth, kept while inquiry and shelf stay. KeyError: no such inquiry or outfit."""
    given = inquiry(workspace, number)
    stamp, on_shelf = _shelf(workspace)
    key = (_digest(given.text, stamp, seed, system), outfit_id)
    with workspace.lock:
        known = workspace.depths.get(key)
    if known is None:
        known = in_depth(read_inquiry(given.text, f"inquiry {number}"), on_shelf, outfit_id, seed, system)
        with workspace.lock:
            workspace.depths[key] = known
            while len(workspace.depths) > KEPT_ANSWERS:
                workspace.depths.popitem(last=False)
    return known


def _keep(workspace: Workspace, number: int, digest: str, seed: int, reckoned: Advice) -> None:
    """Write an answer down beside its inquiry, after it has been given: it can be reckoned again at any time."""
    text = _json(to_json(reckoned))
    try:
        with writing(workspace.engine) as connection:
            inquiry_rows.keep_advice(connection, number, digest, seed, VERSION, text)
    except (SQLAlchemyError, StoreError):
        logging.getLogger(__name__).exception("the answer to inquiry %d could not be kept", number)


def settle(workspace: Workspace) -> None:
    """Wait until every answer that was given is written down."""
    workspace.keeper.submit(lambda: None).result()


def try_answer(workspace: Workspace, text: str, seed: int = 1, system: str = "us") -> Advice:
    """The advice on a text that is not stored, and is not stored by this. Raises Faults where the text has any."""
    return advise(read_inquiry(text, "inquiry"), shelf(workspace), seed=seed, system=system)


def quote(workspace: Workspace, number: int, outfit_id: str, seed: int = 1) -> QuoteRow:
    """Number an offer of one outfit and keep it as it was reckoned. KeyError: no such inquiry or outfit; Faults."""
    return offer(workspace, number, [Wanted(outfit_id)], seed)


def offer(
    workspace: Workspace, number: int, wanted: Sequence[Wanted], seed: int = 1, said: Said | None = None
) -> QuoteRow:
    """Number an offer of up to three outfits and keep it as it was reckoned. KeyError: no such inquiry or outfit."""
    kept = made_offer(workspace, number, wanted, seed, said or Said())
    with writing(workspace.engine) as connection:
        kept["terms"] = terms_on(connection, shelf(workspace))
        row = quote_rows.add_quote(connection, number, wanted[0].outfit, _json(kept), workspace.who)
        follow(connection, number, workspace.who)
    return row


def made_offer(workspace: Workspace, number: int, wanted: Sequence[Wanted], seed: int, said: Said) -> dict[str, Any]:
    """An offer as it would be kept, but for its terms; nothing is stored."""
    advice, given, on_shelf = answer(workspace, number, seed), inquiry(workspace, number), shelf(workspace)
    asked = as_measured(read_inquiry(given.text, f"inquiry {number}").resolve(on_shelf))
    return kept_offer(advice, given.text, asked, on_shelf, wanted, seed, said)


def terms_on(connection: Connection, on_shelf: Shelf) -> dict[str, Any]:
    """The terms that an offer made now keeps."""
    house = settings_rows.settings_row(connection)[1]
    return terms_now(house, on_shelf.price_book, datetime.now(UTC).date())


def follow(connection: Connection, number: int, who: str) -> None:
    """Let an inquiry's state follow that of its quotes."""
    states, now = quote_rows.quote_states(connection, number), inquiry_rows.inquiry_row(connection, number).state
    inquiry_rows.change_state(connection, number, inquiry_state(states, now), who)


def quotes(workspace: Workspace, number: int | None = None) -> list[QuoteRow]:
    """Every quote, or those of one inquiry, newest first."""
    with reading(workspace.engine) as connection:
        return quote_rows.quote_rows(connection, number)


def offered(row: QuoteRow) -> Advice:
    """The advice that a quote was made from, its one outfit as it was offered."""
    return from_json(json.loads(row.json)["advice"])


def put_on_shelf(workspace: Workspace, more: Shelf) -> int:
    """Put records on the shelf, or in place of those with their ids; returns how many are new or changed."""
    with writing(workspace.engine) as connection:
        return shelf_rows.put_shelf(connection, more, workspace.who)


def export(workspace: Workspace) -> dict[str, Any]:
    """Everything in the workspace as plain dictionaries and lists."""
    with reading(workspace.engine) as connection:
        records = shelf_rows.records(connection)
        return {
            "version": VERSION,
            "tables": TABLES,
            "shelf": [
                {"kind": kind, "id": key, "retired": retired, "record": json.loads(record)}
                for kind, key, record, retired in records
            ],
            "settings": settings_rows.settings_row(connection)[1].plain(),
            "inquiries": [asdict(row) for row in reversed(inquiry_rows.inquiry_rows(connection))],
            "quotes": [{**asdict(row), "json": json.loads(row.json)} for row in quote_rows.version_rows(connection)],
            "acceptances": [asdict(row) for row in answer_rows.acceptance_rows(connection)],
            **call_rows.call_and_promise_rows(connection),
            **care_rows.everything(connection),
        }


def _title_and_place(given: Inquiry) -> tuple[str, str]:
    return given.title, given.caller.place


def _shelf(workspace: Workspace) -> tuple[str, Shelf]:
    """The shelf at the prices of today, and a stamp of it; read again only when shelf or day have moved."""
    day = price_day()
    with reading(workspace.engine) as connection:
        stamp = shelf_rows.shelf_stamp(connection)
        known = next(iter(list(workspace.shelf_read.items())), None)
        if known is None or known[0] not in (f"{stamp}", f"{stamp} {day}"):
            stored = shelf_rows.load_shelf(connection)
            known = (f"{stamp} {day}" if dated(stored) else f"{stamp}", in_force(stored, day))
            workspace.shelf_read.clear()
            workspace.shelf_read[known[0]] = known[1]
        return known


def price_day() -> str:
    """The day by which prices hold, as year-month-day."""
    return datetime.now().astimezone().date().isoformat()


def _digest(text: str, stamp: str, seed: int, system: str) -> str:
    return hashlib.sha256("\0".join((VERSION, TABLES, stamp, str(seed), system, text)).encode()).hexdigest()


def _json(plain: dict[str, Any]) -> str:
    return json.dumps(plain, ensure_ascii=False, allow_nan=False)

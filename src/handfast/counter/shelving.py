"""The verbs of the shelf's own records: add, change, retire, bring back, look where each is used."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection

from handfast.counter.verbs import Workspace, shelf
from handfast.machines.attachment import Attachment
from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import Record
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.store import inquiry_rows, quote_rows, record_rows, shelf_rows
from handfast.store.change_rows import Change, changes_of
from handfast.store.database import reading, writing
from handfast.store.record_rows import RecordRow
from handfast.store.shelf_records import THE_ONE, record_json

MODELS: dict[str, type[Record]] = {"machine": Machine, "attachment": Attachment, "part": Part, THE_ONE: PriceBook}
"""The kinds of records on the shelf."""


class StaleError(Exception):
    """Somebody has changed the record since the form was drawn."""

    def __init__(self, now: RecordRow) -> None:
        super().__init__(f"{now.kind}/{now.id}")
        self.now = now


@dataclass(frozen=True)
class Use:
    """A place where a record is named."""

    what: str  # kit, part, inquiry, outfit, quote
    title: str
    address: str


def record(workspace: Workspace, kind: str, key: str) -> RecordRow:
    """One record of the shelf, retired or not; the price book even before there is one. KeyError."""
    with reading(workspace.engine) as connection:
        return _row(connection, kind, key)


def _row(connection: Connection, kind: str, key: str) -> RecordRow:
    if kind == THE_ONE and record_rows.version_of(connection, kind, key) == 0:
        return RecordRow(kind, key, "{}", False, 0)
    return record_rows.record_row(connection, kind, key)


def all_records(workspace: Workspace) -> list[tuple[str, str, str, bool]]:
    """Kind, id, JSON and whether retired, of every record, in the order of the shelf."""
    with reading(workspace.engine) as connection:
        return shelf_rows.records(connection)


def record_then(workspace: Workspace, kind: str, key: str, version: int) -> str | None:
    """A record's JSON as one of its changes left it; None where there was no such change."""
    with reading(workspace.engine) as connection:
        return record_rows.record_then(connection, kind, key, version)


def add_record(workspace: Workspace, kind: str, key: str, new: Record) -> None:
    """Put a new record on the shelf; raises Faults where its id is taken, by a retired one too."""
    with writing(workspace.engine) as connection:
        if record_rows.version_of(connection, kind, key):
            raise Faults([Fault("form", 0, "id", f'"{key}", which is taken', "an id of its own")])
        record_rows.change_record(connection, kind, key, record_json(new), workspace.who)


def change_record(workspace: Workspace, kind: str, key: str, new: Record, version: int) -> bool:
    """Write a record that was seen at a version; StaleError, and nothing written, where it has moved on since."""
    with writing(workspace.engine) as connection:
        now = _row(connection, kind, key)
        if now.version != version:
            raise StaleError(now)
        return record_rows.change_record(connection, kind, key, record_json(new), workspace.who)


def retire_record(workspace: Workspace, kind: str, key: str, version: int | None = None) -> None:
    """Take a record off the shelf: no longer offered, still readable. KeyError: it isn't on it.

    StaleError, and nothing written, where it was seen at a version and has moved on since.
    """
    with writing(workspace.engine) as connection:
        _unmoved(connection, kind, key, version)
        shelf_rows.retire(connection, kind, key, workspace.who)


def bring_back(workspace: Workspace, kind: str, key: str, version: int | None = None) -> None:
    """Put a retired record on the shelf again. KeyError: it isn't retired. StaleError: as `retire_record`."""
    with writing(workspace.engine) as connection:
        _unmoved(connection, kind, key, version)
        record_rows.bring_back(connection, kind, key, workspace.who)


def _unmoved(connection: Connection, kind: str, key: str, version: int | None) -> None:
    if version is not None and record_rows.version_of(connection, kind, key) != version:
        raise StaleError(_row(connection, kind, key))


def history(workspace: Workspace, kind: str, key: str) -> list[Change]:
    """Every change of a record, newest first."""
    with reading(workspace.engine) as connection:
        return changes_of(connection, record_rows.TABLE, f"{kind}/{key}")[::-1]


def where_used(workspace: Workspace, kind: str, key: str) -> list[Use]:
    """Everything that names a record: kits and parts that serve it, inquiries, outfits of quotes, quotes."""
    found = list(_on_shelf(shelf(workspace), kind, key))
    with reading(workspace.engine) as connection:
        found += [
            Use("inquiry", row.title or f"inquiry {row.number}", f"/inquiries/{row.number}")
            for row in inquiry_rows.inquiry_rows(connection)
            if key in _named(row.text, kind)
        ]
        found += _in_answers(record_rows.answers_naming(connection, key), kind, key)
        for quote in (one for one in quote_rows.quote_rows(connection) if key in one.json):
            kept = json.loads(quote.json)
            if _in_offer(kept, kind, key):
                title = str(kept["outfit"].get("title", quote.outfit))
                found.append(Use("outfit", title, f"/quotes/{quote.number}"))
                found.append(Use("quote", f"quote {quote.number}", f"/quotes/{quote.number}"))
    return list(dict.fromkeys(found))


def _on_shelf(on: Shelf, kind: str, key: str) -> Iterator[Use]:
    for part in on.parts.values():
        if kind != "part" and key in part.serves:
            what = "kit" if part.kind.endswith("_kit") else "part"
            yield Use(what, part.name or part.id, f"/shelf/parts/{part.id}")
    for built in on.as_built:
        if key == {"machine": built.machine, "attachment": built.attachment}.get(kind):
            yield Use("kit", f"as built: {built.attachment} on {built.machine}", "")


def _named(text: str, kind: str) -> set[str]:
    """The records of a kind that an inquiry's text names."""
    data = tomllib.loads(text)
    if kind == "machine":
        pieces = [data.get("machine", {})]
    else:
        pieces = data.get("attachment", []) if kind == "attachment" else []
    return {str(one["record"]) for one in pieces if isinstance(one, dict) and one.get("record")}


def _in_answers(answers: list[tuple[int, str]], kind: str, key: str) -> Iterator[Use]:
    """The best outfit of each kept answer that holds the record."""
    for number, text in answers if kind != "machine" else ():
        for outfit in json.loads(text)["outfits"]:
            if _in_offer({"outfit": outfit}, kind, key):
                yield Use("outfit", f"{outfit['title']}, inquiry {number}", f"/inquiries/{number}")
                break


def _in_offer(kept: dict[str, object], kind: str, key: str) -> bool:
    """Whether an offer holds a record: its machine by the inquiry, the rest by the outfit."""
    if kind == "machine":
        return key in _named(str(kept["text"]), kind)
    return json.dumps(key, ensure_ascii=False) in json.dumps(kept["outfit"], ensure_ascii=False)

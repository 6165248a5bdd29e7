"""Lists that come in, one transaction each: kept as they came, looked at, taken whole or not at all, undone whole."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from handfast.counter.verbs import Workspace
from handfast.lists.grid import ListError
from handfast.lists.proposal import Proposal
from handfast.lists.propose import Progress, grids_of, propose
from handfast.machines.shelf import Shelf
from handfast.store import import_rows, shelf_rows
from handfast.store.change_rows import now
from handfast.store.database import reading, writing
from handfast.store.import_rows import ImportRow

FILE_MOST = 20_000_000  # bytes of a list


@dataclass(frozen=True)
class Looked:
    """A list that waits or was taken, with what it would do now."""

    row: ImportRow
    proposal: Proposal


def bring_list(workspace: Workspace, name: str, data: bytes, supplier: str = "") -> int:
    """Keep a list that came in, with the answers last given for its supplier. Raises ListError where it is none.

    Returns:
        Its number.
    """
    if len(data) > FILE_MOST:
        raise ListError(f"{name} is larger than {FILE_MOST // 1_000_000} MB.")
    grids_of(data, name)
    with writing(workspace.engine) as connection:
        number = import_rows.add_import(
            connection, name[:200], supplier[:200], hashlib.sha256(data).hexdigest(), data, workspace.who
        )
        known = answers_of(connection, supplier, before=number)
        import_rows.change_import(connection, number, workspace.who, answers=_json(known))
    return number


def answers_of(connection: Connection, supplier: str, before: int) -> dict[str, str]:
    """The answers of a supplier's lists so far; the newest counts."""
    known: dict[str, str] = {}
    for row in reversed(import_rows.import_rows(connection)):
        if supplier and row.supplier.casefold() == supplier.casefold() and row.number < before:
            known |= {key: value for key, value in json.loads(row.answers).items() if not key.startswith("twice!")}
    return known


def look_at_list(workspace: Workspace, number: int, progress: Progress | None = None) -> Looked:
    """What a list would do to the shelf as it stands. KeyError: there is none."""
    with reading(workspace.engine) as connection:
        row, data = import_rows.import_row(connection, number), import_rows.import_file(connection, number)
        on_shelf = shelf_rows.load_shelf(connection)  # as stored: what a record says, not what it costs today
    return Looked(row, _proposed(row, data, on_shelf, progress))


def _proposed(row: ImportRow, data: bytes, on_shelf: Shelf, progress: Progress | None = None) -> Proposal:
    return propose(grids_of(data, row.name), on_shelf, json.loads(row.answers), row.supplier, progress=progress)


def answer_list(workspace: Workspace, number: int, answers: Mapping[str, str]) -> None:
    """Keep answers to a list's questions; an empty one takes an answer back. KeyError: there is none."""
    with writing(workspace.engine) as connection:
        known = json.loads(import_rows.import_row(connection, number).answers)
        kept = {key: value for key, value in {**known, **answers}.items() if value}
        import_rows.change_import(connection, number, workspace.who, answers=_json(kept))


def take_list(workspace: Workspace, number: int) -> int:
    """Put what a list adds and changes on the shelf, all in one transaction; rows that wait or are refused stay out.

    Returns:
        How many records are new or changed.

    Raises:
        KeyError: there is none.
        ListError: it was taken before.
    """
    with writing(workspace.engine) as connection:
        row = import_rows.import_row(connection, number)
        if row.state == "taken":
            raise ListError(f"List {number} was taken on {row.taken[:10]}.")
        on_shelf = shelf_rows.load_shelf(connection)
        found = _proposed(row, import_rows.import_file(connection, number), on_shelf)
        rows = [(one.kind, one.id, _json(one.record)) for one in found.rows("add", "change")]
        before = shelf_rows.put_many(connection, rows, workspace.who)
        done = [{"kind": k, "id": i, "before": b, "after": a} for (k, i, a), b in zip(rows, before, strict=True)]
        told = {"state": "taken", "done": _json(done), "taken": now()}
        import_rows.change_import(connection, number, workspace.who, **told)
    return len(done)


def undo_list(workspace: Workspace, number: int) -> int:
    """Put everything back as it was before a list was taken, all of it or nothing.

    Returns:
        How many records were put back.

    Raises:
        KeyError: there is none.
        ListError: it was not taken, or records were changed since: they are named.
    """
    with writing(workspace.engine) as connection:
        row = import_rows.import_row(connection, number)
        if row.state != "taken":
            raise ListError(f"List {number} is not on the shelf.")
        done = json.loads(row.done)
        now_there = {(kind, key): text for kind, key, text, out in shelf_rows.records(connection) if not out}
        changed = [one["id"] for one in done if now_there.get((one["kind"], one["id"])) != one["after"]]
        if changed:
            raise ListError(f"Changed since, so nothing was put back: {', '.join(changed[:12])}.")
        for one in reversed(done):
            if one["before"] is None:
                shelf_rows.retire(connection, one["kind"], one["id"], workspace.who)
            else:
                shelf_rows.put_record(connection, one["kind"], one["id"], one["before"], workspace.who)
        import_rows.change_import(connection, number, workspace.who, state="undone")
    return len(done)


def lists_so_far(workspace: Workspace) -> list[ImportRow]:
    """Every list that came in, newest first."""
    with reading(workspace.engine) as connection:
        return import_rows.import_rows(connection)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)

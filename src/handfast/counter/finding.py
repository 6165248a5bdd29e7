"""Full-text search over inquiries, the same whichever database they rest in.

The index is in memory: SQLite's own where it is built in, plain comparison elsewhere. The log tells what it lacks.
"""

from __future__ import annotations

import re
import sqlite3
import tomllib
import unicodedata
from dataclasses import dataclass, field
from threading import Lock
from weakref import WeakKeyDictionary

from sqlalchemy import Engine

from handfast.counter.verbs import Workspace, shelf
from handfast.machines.shelf import Shelf
from handfast.store import change_rows, inquiry_rows
from handfast.store.database import reading
from handfast.store.inquiry_rows import InquiryRow

WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)?")
MACHINE = "machine/"  # of the keys that the log gives to records
MOST = 12  # words of a search that are heeded


@dataclass
class Index:
    """What can be searched, in memory, with the newest change that it holds; made anew when it lags behind."""

    stamp: int = -1
    full: bool = True
    connection: sqlite3.Connection = field(default_factory=lambda: sqlite3.connect(":memory:", check_same_thread=False))
    lock: Lock = field(default_factory=Lock)


_INDEXES: WeakKeyDictionary[Engine, Index] = WeakKeyDictionary()
_MAKING = Lock()


def find(workspace: Workspace, words: str) -> list[int]:
    """Numbers of the inquiries that hold all words, or words that begin so, newest first; all where no word is given.

    Searched: title, what was said, caller, number to ring, place, machine, notes and work.
    """
    index = _index(workspace)
    asked = _plain_words(words)[:MOST]
    with index.lock:
        _catch_up(index, workspace)
        if not asked:
            rows = index.connection.execute("SELECT rowid FROM words ORDER BY rowid DESC")
        elif index.full:
            match = " ".join(f'"{word}"*' for word in asked)
            rows = index.connection.execute("SELECT rowid FROM words WHERE words MATCH ? ORDER BY rowid DESC", [match])
        else:
            rows = _alike(index, asked)
        return [int(number) for (number,) in rows]


def _alike(index: Index, asked: list[str]) -> sqlite3.Cursor:
    """The same by comparison: a word of the text begins with each word asked."""
    test = " AND ".join("(' ' || whole) LIKE ? ESCAPE '!'" for _ in asked)
    texts = [f"% {word.replace('!', '!!').replace('_', '!_').replace('%', '!%')}%" for word in asked]
    return index.connection.execute(f"SELECT rowid FROM words WHERE {test} ORDER BY rowid DESC", texts)


def _index(workspace: Workspace, full: bool | None = None) -> Index:
    with _MAKING:
        index = _INDEXES.get(workspace.engine)
        if index is None or (full is not None and index.full != full):
            index = Index()
            index.full = _made(index.connection) if full is not False else _plain(index.connection)
            _INDEXES[workspace.engine] = index
        return index


def _made(connection: sqlite3.Connection) -> bool:
    try:
        connection.execute("CREATE VIRTUAL TABLE words USING fts5(whole, tokenize = 'unicode61 remove_diacritics 2')")
    except sqlite3.OperationalError:
        return _plain(connection)
    return True


def _plain(connection: sqlite3.Connection) -> bool:
    connection.execute("CREATE TABLE words (whole TEXT)")
    return False


def _catch_up(index: Index, workspace: Workspace) -> None:
    with reading(workspace.engine) as connection:
        stamp = change_rows.newest_change(connection)
        if stamp == index.stamp:
            return
        keys = {int(key) for key in change_rows.keys_since(connection, "inquiries", index.stamp)}
        renamed = change_rows.keys_since(connection, "shelf", index.stamp) if index.stamp >= 0 else []
        quoted = [f'"{key.removeprefix(MACHINE)}"' for key in renamed if key.startswith(MACHINE)]
        if quoted:  # an inquiry is found by the name of the machine that it names
            every = inquiry_rows.inquiry_rows(connection)
            keys |= {row.number for row in every if any(key in row.text for key in quoted)}
        rows = [inquiry_rows.inquiry_row(connection, key) for key in sorted(keys)]
    on_shelf = shelf(workspace)  # as new as the stamp, or newer
    for row in rows:
        text = " ".join(_words(row, on_shelf))
        index.connection.execute("DELETE FROM words WHERE rowid = ?", [row.number])
        index.connection.execute("INSERT INTO words (rowid, whole) VALUES (?, ?)", [row.number, text])
    index.stamp = stamp


def _words(row: InquiryRow, on_shelf: Shelf) -> list[str]:
    """The words of an inquiry that can be found."""
    try:
        data = tomllib.loads(row.text)
    except tomllib.TOMLDecodeError:
        data = {}
    machine = data.get("machine", {})
    record = on_shelf.machines.get(str(machine.get("record", ""))) if isinstance(machine, dict) else None
    texts = [str(row.number), row.title, row.place, record.name if record else "", *_texts(data)]
    return _plain_words(" ".join(texts))


def _plain_words(text: str) -> list[str]:
    """The words of a text in small letters without accents, so that every kind of index finds the same."""
    letters = unicodedata.normalize("NFKD", text.casefold())
    return WORD.findall("".join(letter for letter in letters if not unicodedata.combining(letter)))


def _texts(data: object) -> list[str]:
    """Every text within plain data."""
    if isinstance(data, dict):
        return [text for value in data.values() for text in _texts(value)]
    if isinstance(data, list):
        return [text for value in data for text in _texts(value)]
    return [data.replace("_", " ")] if isinstance(data, str) else []

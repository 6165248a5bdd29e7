"""Every function of the store that writes rows notes the change: the log is whole, and kept pages are never stale."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import handfast.store as store

FOLDER = Path(store.__file__).parent
WRITES = {"insert", "update", "delete"}
NOT_RECORDS = {
    "note_change",
    "note_changes",
    "keep_advice",
    "read_archive",
    "_read_in",
    "see_session",
    "end_sessions",
    "forget_sessions",
}  # the log itself; an answer, which can be reckoned again at any time; a whole workspace with its own log; sessions,
# which are no records: who logs in and out is noted, and what ended them is


def calls(node: ast.AST) -> set[str]:
    return {one.func.id for one in ast.walk(node) if isinstance(one, ast.Call) and isinstance(one.func, ast.Name)}


def unnoted(text: str) -> Iterator[str]:
    """Names of functions that write rows and neither note it nor are only called by one that does."""
    functions = [one for one in ast.parse(text).body if isinstance(one, ast.FunctionDef)]
    noted = {one.name for one in functions if {"note_change", "note_changes"} & calls(one)}
    for one in functions:
        callers = [other for other in functions if one.name in calls(other)]
        by_noted = one.name.startswith("_") and callers and all(other.name in noted | NOT_RECORDS for other in callers)
        calls_noted = bool(calls(one) & noted)
        if calls(one) & WRITES and one.name not in noted | NOT_RECORDS and not by_noted and not calls_noted:
            yield one.name


def test_every_write_is_noted() -> None:
    assert [name for file in FOLDER.glob("*.py") for name in unnoted(file.read_text())] == []


def test_the_test_can_fail() -> None:
    assert list(unnoted("def put(c): c.execute(insert(rows))")) == ["put"]
    assert list(unnoted("def put(c): c.execute(insert(rows)); note_change(c)")) == []

"""Every row of a workspace in one archive, and back into an empty one: nothing is left out, everything is counted."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import zipfile
import zlib
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select
from sqlalchemy.exc import StatementError

from handfast.machines.faults import Faults
from handfast.store.database import HEAD, StoreError
from handfast.store.tables import metadata

NAME, FORMAT = "handfast-workspace", 1
UNPACKED_MOST = 2_000_000_000
BLOCK = 500
BITE = 1_000_000  # bytes


def write_archive(connection: Connection, version: str) -> bytes:
    """All tables, a line a row, with their counts and digests; equal content gives equal bytes."""
    parts = {table.name: _lines(connection, table) for table in metadata.sorted_tables}
    counted = {name: data.count(b"\n") for name, data in parts.items()}
    digests = {name: hashlib.sha256(data).hexdigest() for name, data in parts.items()}
    told = {"name": NAME, "format": FORMAT, "schema": HEAD, "version": version, "rows": counted, "sha256": digests}
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in {"manifest.json": json.dumps(told, indent=1).encode(), **_named(parts)}.items():
            packed.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()


def _lines(connection: Connection, table: Table) -> bytes:
    """The rows in the order of their keys, by code point: databases sort texts each by its own rules."""
    keys = [column.name for column in table.primary_key.columns]
    rows = [row._mapping for row in connection.execute(select(table))]
    return "".join(_line(row) for row in sorted(rows, key=lambda row: tuple(row[key] for key in keys))).encode()


def _named(parts: dict[str, bytes]) -> dict[str, bytes]:
    return {f"{name}.jsonl": data for name, data in parts.items()}


def _line(row: Any) -> str:
    plain = {k: {"base64": base64.b64encode(v).decode()} if isinstance(v, bytes) else v for k, v in row.items()}
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, sort_keys=True) + "\n"


def read_archive(connection: Connection, data: bytes) -> dict[str, int]:
    """Put an archive's rows into an empty workspace, all of them or none.

    Args:
        connection: of a writing transaction.
        data: as `write_archive` gave it.

    Returns:
        Rows by table.

    Raises:
        StoreError: it is no archive, was broken on the way, stems from another release, or the workspace is not empty.
    """
    told, parts = _checked(data)
    full = [
        table.name for table in metadata.sorted_tables if connection.scalar(select(func.count()).select_from(table))
    ]
    if full:
        raise StoreError(f"The workspace is not empty ({', '.join(full)}): an archive goes into an empty one.")
    for table in metadata.sorted_tables:
        _read_in(connection, table, _rows(table, parts.get(table.name, b"")))
    _number_on(connection)
    counted = {t.name: int(connection.scalar(select(func.count()).select_from(t)) or 0) for t in metadata.sorted_tables}
    if any(counted.get(name) != number for name, number in told["rows"].items()):
        raise StoreError(f"Rows went missing: {counted} stand, {told['rows']} were told. Nothing was kept.")
    return counted


def _read_in(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    try:
        for block in (rows[at : at + BLOCK] for at in range(0, len(rows), BLOCK)):
            connection.execute(insert(table), block)
    except (StatementError, Faults) as error:  # a rule is broken, or this database does not keep a sign or a number
        why = " ".join(str(getattr(error, "orig", None) or error).split()).rstrip(".")
        raise StoreError(f"The rows of {table.name} can't be kept here: {why}. Nothing was kept.") from error


def _number_on(connection: Connection) -> None:
    """Have numbers given after the highest that was read in; SQLite does so by itself."""
    if connection.dialect.name != "postgresql":
        return
    for table in metadata.sorted_tables:
        column = table.autoincrement_column
        if column is not None:
            sequence = func.pg_get_serial_sequence(table.name, column.name)
            newest = select(func.setval(sequence, func.coalesce(func.max(column), 1), func.max(column).is_not(None)))
            connection.execute(newest)


def told_in(data: bytes) -> dict[str, tuple[int, str]]:
    """Rows and digest of each table, as an archive's manifest tells them."""
    told = json.loads(zipfile.ZipFile(io.BytesIO(data)).read("manifest.json"))
    return {name: (number, told["sha256"][name]) for name, number in told["rows"].items()}


def _rows(table: Table, data: bytes) -> list[dict[str, Any]]:
    """The rows of a table, a line each; only a line feed ends one, for texts hold other breaks."""
    names = set(table.columns.keys())
    try:
        rows = [_row(line) for line in data.decode().split("\n") if line]
    except (ValueError, RecursionError) as error:
        raise StoreError(f"The archive's rows of {table.name} can't be read. Nothing was kept.") from error
    if any(set(row) != names for row in rows):
        raise StoreError(f"The archive's rows of {table.name} have other entries than the table. Nothing was kept.")
    return rows


def _row(line: str) -> dict[str, Any]:
    row = json.loads(line)
    if not isinstance(row, dict):
        raise ValueError("no row")
    return {name: _value(value) for name, value in row.items()}


def _value(value: Any) -> Any:
    """A value as a table takes it; ValueError for one that no table holds."""
    if isinstance(value, dict) and set(value) == {"base64"} and isinstance(value["base64"], str):
        return base64.b64decode(value["base64"], validate=True)
    if isinstance(value, str):
        value.encode()  # half a character is none
    if isinstance(value, dict | list) or (isinstance(value, int) and not -(2**63) <= value < 2**63):
        raise ValueError("no value")
    return value


def _checked(data: bytes) -> tuple[dict[str, Any], dict[str, bytes]]:
    """The manifest and the tables, once every digest holds."""
    try:
        packed = zipfile.ZipFile(io.BytesIO(data))
        if sum(part.file_size for part in packed.infolist()) > UNPACKED_MOST:
            raise StoreError("The archive unpacks to more than any workspace holds.")
        told = json.loads(_part(packed, "manifest.json"))
        parts = {name: _part(packed, f"{name}.jsonl") for name in _names(told)}
    except (zipfile.BadZipFile, zlib.error, EOFError, KeyError, ValueError, OSError, RuntimeError) as error:
        raise StoreError("That is no archive of a workspace, or it was cut short on the way.") from error
    if told["schema"] != HEAD:
        raise StoreError(f"The archive stems from another release (tables {told['schema']}, here {HEAD}).")
    broken = [name for name, text in parts.items() if hashlib.sha256(text).hexdigest() != told["sha256"].get(name)]
    if broken:
        raise StoreError(f"The archive was changed or broken on the way: {', '.join(broken)}.")
    return told, parts


def _part(packed: zipfile.ZipFile, name: str) -> bytes:
    """A part of an archive, unpacked a little at a time: one that says it is smaller than it is ends where it said."""
    with packed.open(name) as part:
        return b"".join(iter(lambda: part.read(BITE), b""))


def _names(told: Any) -> Iterable[str]:
    if not isinstance(told, dict) or told.get("name") != NAME or told.get("format") != FORMAT:
        raise KeyError("manifest")
    rows, digests = told.get("rows"), told.get("sha256")
    if not isinstance(rows, dict) or not isinstance(digests, dict) or "schema" not in told:
        raise KeyError("manifest")
    known = {table.name for table in metadata.sorted_tables}
    return [name for name in rows if name in known]

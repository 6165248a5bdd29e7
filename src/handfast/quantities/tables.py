"""The tables of the data folder, each row with its source and status."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

DATA = Path(__file__).resolve().parent.parent / "data"
STATUS_COLUMNS = ("status", "seen_or_memory")


@cache
def table(name: str) -> list[dict[str, str]]:
    """Rows of a table in the data folder.

    Args:
        name: file name below the data folder, such as "wood.csv".

    Returns:
        one dict per row; kept after the first reading, so nobody may change it.

    Raises:
        ValueError: a row has no source or no status.
        FileNotFoundError: no such table.

    >>> table("sobol.csv")[0]["dimension"]
    '1'
    """
    return read_table(DATA / name)


def read_table(path: Path) -> list[dict[str, str]]:
    """Rows of a CSV file, refused when one lacks its source or status.

    Args:
        path: the file.

    Returns:
        one dict per row.

    Raises:
        ValueError: a row has no source or no status, or another number of cells than the header.

    >>> read_table(DATA / "sobol.csv")[0]["status"]
    'computed'
    """
    with path.open(encoding="utf-8-sig", newline="") as file:
        reader = csv.DictReader(file)
        columns = reader.fieldnames or []
        status = next((column for column in STATUS_COLUMNS if column in columns), None)
        if "source" not in columns or status is None:
            raise ValueError(f"{path.name}: a table needs a source column and one of {', '.join(STATUS_COLUMNS)}")
        rows = []
        for row in reader:
            if None in row or None in row.values():
                raise ValueError(f"{path.name}, line {reader.line_num}: another number of cells than the header")
            if not row["source"].strip() or not row[status].strip():
                raise ValueError(f"{path.name}, line {reader.line_num}: no source or no {status}")
            rows.append(row)
    return rows

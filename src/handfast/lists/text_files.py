"""CSV and its relatives: which letters, which separator, which cells."""

from __future__ import annotations

import csv
import io
from collections import Counter

from handfast.lists.grid import COLUMNS_MOST, ROWS_MOST, Cell, Grid, ListError

SEPARATORS = ";\t|,"
ERRORS = ("#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?", "#NUM!", "#NULL!", "NAN")
CELL_MOST = 40_000


def read_text_file(data: bytes, name: str) -> tuple[Grid, str]:
    """A text file as a grid.

    Args:
        data: the file.
        name: its name.

    Returns:
        The grid, and which letters were read: utf-8, utf-16 or cp1252.

    Raises:
        ListError: it is no text, or too long.

    >>> grid, letters = read_text_file(b"a;b\\n1,5;x\\n", "a.csv")
    >>> grid.rows, letters
    ([['a', 'b'], ['1,5', 'x']], 'utf-8')
    """
    text, letters = decoded(data)
    if "\x00" in text:
        raise ListError(f"{name} holds bytes that no list has; is it a spreadsheet saved under another name?")
    csv.field_size_limit(CELL_MOST)
    rows: list[list[Cell]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator_of(text)):
            rows.append([*row[:COLUMNS_MOST]])
            if len(rows) > ROWS_MOST:
                raise ListError(f"{name} has more than {ROWS_MOST:,} rows.")
    except csv.Error as error:
        raise ListError(f"{name}, line {len(rows) + 1}: {error}.") from error
    return Grid(name, rows), letters


def decoded(data: bytes) -> tuple[str, str]:
    """The text of a file: its mark decides, then strict UTF-8, then cp1252 (a detector would misread German).

    >>> decoded("Gewicht: 5 µ".encode("cp1252"))[1], decoded("﻿a".encode())[0]
    ('cp1252', 'a')
    """
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace"), "utf-16"
    try:
        return data.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), "cp1252"


def separator_of(text: str) -> str:
    """The separator that cuts most lines into equally many cells.

    >>> separator_of("a,b;c\\n1,5;2,5\\n"), separator_of("one\\ntwo")
    (';', ',')
    """
    lines = [line for line in text.splitlines()[:400] if line.strip()][:200]
    best, most = ",", 0.0
    for mark in SEPARATORS:
        counts = Counter(len(row) for row in csv.reader(lines, delimiter=mark))
        cells, times = max(((c, n) for c, n in counts.items() if c > 1), key=lambda pair: pair[1], default=(1, 0))
        worth = times * min(cells, 4)
        if cells > 1 and worth > most * 1.05:
            best, most = mark, worth
    return best

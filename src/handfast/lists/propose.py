"""The way from a file to a proposal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from handfast.lists.apart import read_workbook_apart
from handfast.lists.columns import columns_of, readings_of
from handfast.lists.grid import Grid, is_empty
from handfast.lists.headers import Header, headers_in
from handfast.lists.layout import READING
from handfast.lists.proposal import LEAVE, Asking, Proposal, Row, Table, Why
from handfast.lists.rows import Reader, differences
from handfast.lists.text_files import read_text_file
from handfast.machines.shelf import Shelf

WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # how XLSX, ODS and XLS begin
Progress = Callable[[int, int], None]


def grids_of(data: bytes, name: str) -> list[Grid]:
    """The sheets of a file, whatever it is.

    Args:
        data: the file.
        name: its name.

    Returns:
        The sheets.

    Raises:
        ListError: it can't be read.

    >>> grids_of(b"Item,Price\\nA,5\\n", "a.csv")[0].rows[1]
    ['A', '5']
    """
    if data[:4] in WORKBOOKS:
        return read_workbook_apart(data, name)
    return [read_text_file(data, name)[0]]


def propose(
    grids: Iterable[Grid],
    shelf: Shelf,
    answers: Mapping[str, str],
    supplier: str = "",
    kind: str = "",
    progress: Progress | None = None,
) -> Proposal:
    """What a list would do to the shelf.

    Args:
        grids: the sheets.
        shelf: as it stands.
        answers: to questions, by their keys.
        supplier: whose list it is; put into records that name none.
        kind: attachment, part or machine, where it is known.
        progress: told how many rows of how many are done.

    Returns:
        The proposal; nothing is stored by it.

    >>> grid = Grid("a", [["Item", "Type", "Weight (lb)"], ["RG-1", "root grapple", 420.0]])
    >>> [(row.state, row.id) for row in propose([grid], Shelf(), {}).rows("add")]
    [('add', 'RG-1')]
    """
    asking, notes, tables = Asking(answers), [], []
    for grid in grids:
        if grid.hidden and not asking.hidden(f"{grid.name}!sheet", f"Sheet {grid.name} is"):
            notes.append(f"Sheet {grid.name} is hidden and was not read.")
            continue
        if any(cell == READING for row in grid.rows[:1] for cell in row):
            notes.append(f"Sheet {grid.name} is for reading only and was passed over.")
            continue
        found = headers_in(grid, kind)
        if not found and any(not is_empty(cell) for row in grid.rows for cell in row):
            notes.append(
                f"Sheet {grid.name}: no row heads a list (an id or a name, and one column more that is known)."
            )
        tables += [_table(grid, header, shelf, supplier, asking, progress) for header in found]
    return Proposal(tuple(told_once(tables, asking)), tuple(asking.questions.values()), tuple(notes))


def _table(grid: Grid, header: Header, shelf: Shelf, supplier: str, asking: Asking, progress: Progress | None) -> Table:
    columns = columns_of(grid, header, asking)
    readings = readings_of(grid, header, columns, shelf.price_book.currency, asking)
    reader = Reader(grid, header.kind, columns, readings, shelf, supplier, asking)
    rows: list[Row] = []
    for at in range(header.row + 1, header.end):
        if not all(is_empty(cell) for cell in grid.rows[at]):
            rows.append(reader.row(at))
        if progress is not None and at % 500 == 0:
            progress(at, header.end)
    return Table(grid.name, header.row + 1, header.kind, tuple(columns), tuple(rows))


def told_once(tables: list[Table], asking: Asking) -> list[Table]:
    """Same id, equal record: taken once. Same id, another record: asked which row counts; until then both wait."""
    places: dict[tuple[str, str], list[tuple[int, int]]] = {}
    rows = [list(table.rows) for table in tables]
    for t, mine in enumerate(rows):
        for r, row in enumerate(mine):
            if row.state in ("add", "change", "same"):
                places.setdefault((row.kind, row.id), []).append((t, r))
    for found in places.values():
        if len(found) > 1:
            for (t, r), row in zip(found, _one_of([rows[t][r] for t, r in found], tables, found, asking), strict=True):
                rows[t][r] = row
    return [replace(table, rows=tuple(mine)) for table, mine in zip(tables, rows, strict=True)]


def _one_of(same: list[Row], tables: list[Table], found: list[tuple[int, int]], asking: Asking) -> list[Row]:
    """Rows of one id, decided or waiting."""
    first = same[0]
    names = [f"{tables[t].sheet}, row {row.number}" for (t, _), row in zip(found, same, strict=True)]
    if all(row.record == first.record for row in same):
        return [first, *(_passed(row, f"{row.id} again, equal to {names[0]}", "each id once") for row in same[1:])]
    words = f"{first.id} stands in {len(same)} rows that differ. Which counts?"
    chosen = asking.put(f"twice!{first.kind}/{first.id}", words, (*names, LEAVE))
    if chosen:
        return [
            row if name == chosen else _passed(row, f"{row.id} again", chosen)
            for row, name in zip(same, names, strict=True)
        ]
    return [
        replace(
            row,
            state="ask",
            why=(Why(f"row {row.number}", _unlike(first if row is not first else same[1], row), "one of them"),),
        )
        for row in same
    ]


def _passed(row: Row, found: str, expected: str) -> Row:
    return Row(row.number, "pass", row.kind, row.id, why=(Why(f"row {row.number}", found, expected),))


def _unlike(other: Row, row: Row) -> str:
    told = (f"{p} {b or 'nothing'} and {a or 'nothing'}" for p, b, a in differences(other.record, row.record))
    return f"{row.id} again, unlike row {other.number}: {', '.join(told)}"[:200]

"""XLSX, XLS and ODS: the cells by a reader, and a second look at what the reader leaves out.

`apart` runs it in a process of its own: a spoilt workbook can make the reader ask for more memory than there is.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from typing import Any

from handfast.lists.grid import COLUMNS_MOST, ROWS_MOST, Broken, Cell, Grid, ListError, plain_cell

UNPACKED_MOST = 120_000_000  # bytes that a workbook may unpack to
SHEETS_MOST = 60
_ROW = re.compile(rb"<row\b([^>]*)>", re.S)
_COLUMN = re.compile(rb"<col\b([^>]*)/?>", re.S)
_CELL = re.compile(rb"<c\b([^>]*?)(?:/>|>(.*?)</c>)", re.S)
_ATTRIBUTE = re.compile(rb'\b([a-zA-Z]+)="([^"]*)"')
_SHEET = re.compile(rb"<sheet\b([^>]*)/?>", re.S)
_RELATION = re.compile(rb"<Relationship\b([^>]*)/?>", re.S)
_REFERENCE = re.compile(rb"([A-Z]{1,3})(\d{1,7})")


def read_workbook(data: bytes, name: str) -> list[Grid]:
    """Every sheet of a workbook as a grid.

    Args:
        data: the file.
        name: its name.

    Returns:
        The grids, hidden ones marked.

    Raises:
        ListError: it is no workbook, is locked, or unpacks to more than any list needs.
    """
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError, SheetTypeEnum, SheetVisibleEnum

    packed = _unpacked(data, name) if data[:2] == b"PK" else None
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        told = [one for one in book.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet][:SHEETS_MOST]
        grids = [_grid(book.get_sheet_by_name(one.name), one.visible != SheetVisibleEnum.Visible) for one in told]
    except PasswordError as error:
        raise ListError(f"{name} is locked with a password.") from error
    except (CalamineError, ValueError, OSError, BaseException) as error:
        if isinstance(error, ListError | KeyboardInterrupt | SystemExit | MemoryError):
            raise
        raise ListError(f"{name} can't be read as a workbook: {str(error)[:120]}.") from error
    if packed is not None and "xl/workbook.xml" in packed.namelist():
        try:
            _second_look(packed, grids)
        except (zipfile.BadZipFile, zlib.error, EOFError, KeyError, ValueError, OSError, RuntimeError) as error:
            raise ListError(f"{name} is broken: one of its sheets can't be unpacked.") from error
    return grids


def _unpacked(data: bytes, name: str) -> zipfile.ZipFile:
    """The packed parts, once it is sure that they don't unpack without end."""
    try:
        packed = zipfile.ZipFile(io.BytesIO(data))
        whole = 0
        for part in packed.infolist():
            whole += part.file_size
            if whole > UNPACKED_MOST:
                raise ListError(f"{name} unpacks to more than {UNPACKED_MOST // 1_000_000} MB. Nothing was read.")
        for part in packed.infolist():  # what a part says of its size is counted too
            if part.file_size and part.compress_size and part.file_size / part.compress_size > 50:
                _counted(packed, part, name)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, RuntimeError) as error:
        raise ListError(f"{name} is broken: it can't be unpacked.") from error
    return packed


def _counted(packed: zipfile.ZipFile, part: zipfile.ZipInfo, name: str) -> None:
    left = UNPACKED_MOST
    with packed.open(part) as stream:
        while piece := stream.read(1 << 20):
            left -= len(piece)
            if left < 0:
                raise ListError(f"{name} unpacks to more than {UNPACKED_MOST // 1_000_000} MB. Nothing was read.")


def _grid(sheet: Any, hidden: bool) -> Grid:
    height = sheet.total_height
    if height > ROWS_MOST:
        raise ListError(f"Sheet {sheet.name} has more than {ROWS_MOST:,} rows.")
    rows = [
        [plain_cell(v) if v != "" else None for v in row[:COLUMNS_MOST]]
        for row in sheet.to_python(skip_empty_area=False)
    ]
    merged = [(a[0], a[1], b[0], b[1]) for a, b in sheet.merged_cell_ranges or ()]
    for top, left, bottom, right in merged:
        for row in range(top, min(bottom + 1, len(rows))):
            for column in range(left, min(right + 1, len(rows[row]))):
                if row == top and column > left:
                    continue  # a title over several columns stays in its first
                if rows[row][column] is None and left < len(rows[top]):
                    rows[row][column] = rows[top][left] if column == left else None
    return Grid(sheet.name, rows, hidden, merged=merged)


def _second_look(packed: zipfile.ZipFile, grids: list[Grid]) -> None:
    """Hidden rows and columns, error cells, formulas never worked out, numbers written with leading noughts."""
    places = _places(packed)
    noughts = _nought_formats(packed)
    for grid in grids:
        part = places.get(grid.name)
        if part is None or part not in packed.namelist():
            continue
        text = packed.read(part)
        told = [dict(_ATTRIBUTE.findall(one)) for one in _ROW.findall(text)]
        grid.hidden_rows = frozenset(
            int(one[b"r"]) - 1 for one in told if one.get(b"hidden") in (b"1", b"true") and b"r" in one
        )
        grid.hidden_columns = frozenset(_hidden_columns(text))
        _look_at_cells(text, grid, noughts)


def _hidden_columns(text: bytes) -> list[int]:
    found: list[int] = []
    for one in _COLUMN.findall(text):
        told = dict(_ATTRIBUTE.findall(one))
        if told.get(b"hidden") in (b"1", b"true"):
            first, last = int(told.get(b"min", b"1")), int(told.get(b"max", b"1"))
            found += range(first - 1, min(last, COLUMNS_MOST))
    return found


def _look_at_cells(text: bytes, grid: Grid, noughts: dict[int, int]) -> None:
    suspicious = b't="e"' in text or b"<f" in text or noughts
    if not suspicious:
        return
    for attributes, inner in _CELL.findall(text):
        told = dict(_ATTRIBUTE.findall(attributes))
        broken = told.get(b"t") == b"e"
        unworked = b"<f" in inner and b"<v" not in inner
        digits = noughts.get(int(told.get(b"s", b"0") or b"0"), 0)
        if not (broken or unworked or digits):
            continue
        place = _REFERENCE.fullmatch(told.get(b"r", b""))
        if place is None:
            continue
        row, column = int(place[2]) - 1, _number(place[1])
        if row >= len(grid.rows) or column >= len(grid.rows[row]):
            continue
        _mend(grid.rows[row], column, broken, unworked, digits, inner)


def _mend(row: list[Cell], column: int, broken: bool, unworked: bool, digits: int, inner: bytes) -> None:
    if broken:
        found = re.search(rb"<v>(.*?)</v>", inner)
        row[column] = Broken(found[1].decode("utf-8", "replace") if found else "#ERROR!")
    elif unworked:
        row[column] = Broken("a formula that was never worked out")
    elif isinstance(value := row[column], float) and value.is_integer() and value >= 0:
        row[column] = f"{int(value):0{digits}d}"


def _number(letters: bytes) -> int:
    number = 0
    for one in letters:
        number = 26 * number + one - 64
    return number - 1


def _places(packed: zipfile.ZipFile) -> dict[str, str]:
    """Sheet names to the parts that hold them."""
    import html

    book = packed.read("xl/workbook.xml")
    try:
        relations = packed.read("xl/_rels/workbook.xml.rels")
    except KeyError:
        return {}
    targets = {
        told.get(b"Id", b""): told.get(b"Target", b"")
        for told in (dict(_ATTRIBUTE.findall(one)) for one in _RELATION.findall(relations))
    }
    found = {}
    for one in _SHEET.findall(book):
        told = dict(re.findall(rb'([\w:]+)="([^"]*)"', one))
        target = targets.get(told.get(b"r:id", b""), b"").decode()
        name = html.unescape(told.get(b"name", b"").decode("utf-8", "replace"))
        found[name] = target.removeprefix("/") if target.startswith("/") else "xl/" + target
    return found


def _nought_formats(packed: zipfile.ZipFile) -> dict[int, int]:
    """Cell styles whose numbers are written with leading noughts, and how many digits they have."""
    try:
        text = packed.read("xl/styles.xml")
    except KeyError:
        return {}
    formats = {}
    for one in re.findall(rb"<numFmt\b([^>]*)/?>", text):
        told = dict(_ATTRIBUTE.findall(one))
        if re.fullmatch(rb"0{2,20}", told.get(b"formatCode", b"")):
            formats[told.get(b"numFmtId", b"")] = len(told[b"formatCode"])
    block = re.search(rb"<cellXfs\b.*?</cellXfs>", text, re.S)
    if not formats or block is None:
        return {}
    styles = [dict(_ATTRIBUTE.findall(one)) for one in re.findall(rb"<xf\b([^>]*)", block[0])]
    return {at: formats[told[b"numFmtId"]] for at, told in enumerate(styles) if told.get(b"numFmtId") in formats}

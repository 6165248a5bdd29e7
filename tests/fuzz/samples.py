"""What is mutated: whole real files of every kind, the demonstration's own, and small ones written here byte by byte."""

from __future__ import annotations

import io
import struct
import zlib
from functools import cache
from pathlib import Path

import mutate
import xlsxwriter

from handfast.machines.shelf_files import DEMO

DATA = Path(DEMO).parent
ROWS: tuple[tuple[object, ...], ...] = (
    ("Item", "Description", "Type", "Weight (lb)", "Width in", "Max pressure", "Price", "List date"),
    ("RG-60", "Root grapple, 60 in", "root grapple", 420.0, 60.0, "3000 psi", 1599.0, "2026-01-05"),
    ("RG-72", 'Root grapple 72"', "root grapple", "510 lb", "72", "207 bar", "$1,799.00", "n/a"),
    ("LG-10", "Log grapple; 10 1/2 in opening", "log grapple", 385.5, "4' 6\"", "3,000", "1.899,00", ""),
    ("PF-48", "Pallet forks", "pallet forks", "=120*2", "48", "-", "call", "tbd"),
)


@cache
def inquiries() -> tuple[str, ...]:
    """The inquiries of the demonstration, and those of the checked examples."""
    checked = Path(__file__).parent.parent / "validation" / "checked"
    found = [*sorted((DEMO / "inquiries").glob("*.toml")), *sorted(checked.glob("q??.toml"))]
    return tuple(path.read_text("utf-8") for path in found)


@cache
def records(folder: str) -> tuple[str, ...]:
    """The records of a folder of the demonstration's shelf."""
    return tuple(path.read_text("utf-8") for path in sorted((DEMO / folder).rglob("*.toml")))


@cache
def reckoned() -> tuple[tuple[str, str], ...]:
    """The file of each chapter of reckoning, by the chapter."""
    return tuple((path.stem, path.read_text("utf-8")) for path in sorted((DATA / "reckoning").glob("*.toml")))


@cache
def csv_files() -> tuple[bytes, ...]:
    """Lists as text, in three ways to write them."""
    rows = [[str(cell) for cell in row] for row in ROWS]
    comma = "\n".join(",".join(f'"{cell.replace(chr(34), chr(34) * 2)}"' for cell in row) for row in rows)
    semicolon = "\r\n".join(";".join(cell.replace(";", ",") for cell in row) for row in rows)
    tabs = "\n".join("\t".join(row) for row in rows)
    return comma.encode(), semicolon.encode("cp1252"), tabs.encode("utf-16")


@cache
def xlsx() -> bytes:
    """A workbook with hidden rows, merged cells, a formula and leading noughts."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        sheet, other = book.add_worksheet("List"), book.add_worksheet("Old")
        noughts = book.add_format({"num_format": "000000"})
        for at, row in enumerate(ROWS):
            sheet.write_row(at + 1, 0, row)
        sheet.merge_range(0, 0, 0, 3, "Price list")
        sheet.write_number(6, 0, 42, noughts)
        sheet.set_row(4, None, None, {"hidden": True})
        sheet.set_column(6, 6, None, None, {"hidden": True})
        other.write_formula(0, 0, "=1/0", None, "#DIV/0!")
        other.hide()
    return buffer.getvalue()


@cache
def ods() -> bytes:
    """An OpenDocument sheet."""
    cells = "".join(
        "<table:table-row>" + "".join(_ods_cell(cell) for cell in row) + "</table:table-row>" for row in ROWS
    )
    spaces = "".join(
        f' xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
    )
    body = f'<office:body><office:spreadsheet><table:table table:name="List">{cells}</table:table></office:spreadsheet></office:body>'
    content = f'<?xml version="1.0"?><office:document-content{spaces}>{body}</office:document-content>'
    manifest = (
        '<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>'
    )
    kind = b"application/vnd.oasis.opendocument.spreadsheet"
    parts = [("mimetype", kind), ("content.xml", content.encode()), ("META-INF/manifest.xml", manifest.encode())]
    return mutate.packed_from(parts)


def _ods_cell(cell: object) -> str:
    if isinstance(cell, float):
        return f'<table:table-cell office:value-type="float" office:value="{cell}"><text:p>{cell}</text:p></table:table-cell>'
    plain = str(cell).replace("&", "&amp;").replace("<", "&lt;")
    repeated = ' table:number-columns-repeated="2"' if not plain else ""
    return f'<table:table-cell office:value-type="string"{repeated}><text:p>{plain}</text:p></table:table-cell>'


@cache
def xls() -> bytes:
    """A workbook in the old binary form (BIFF8 in a compound file), one sheet of labels and numbers."""
    sheet = _record(0x0809, struct.pack("<HHHHII", 0x0600, 0x0010, 0, 0, 0, 0))
    sheet += _record(0x0200, struct.pack("<IIHHH", 0, len(ROWS), 0, len(ROWS[0]), 0))
    for at, row in enumerate(ROWS):
        for column, cell in enumerate(row):
            place = struct.pack("<HHH", at, column, 0)
            if isinstance(cell, float):
                sheet += _record(0x0203, place + struct.pack("<d", cell))
            else:
                plain = str(cell).encode("latin-1")
                sheet += _record(0x0204, place + struct.pack("<HB", len(plain), 0) + plain)
    sheet += _record(0x000A, b"")
    begin = _record(0x0809, struct.pack("<HHHHII", 0x0600, 0x0005, 0, 0, 0, 0))
    behind = len(begin) + 4 + 8 + 4 + 4
    bound = _record(0x0085, struct.pack("<IBBBB", behind, 0, 0, 4, 0) + b"List")
    stream = begin + bound + _record(0x000A, b"")
    return _compound(stream + sheet)


def _record(kind: int, body: bytes) -> bytes:
    return struct.pack("<HH", kind, len(body)) + body


def _compound(stream: bytes) -> bytes:
    """A compound file of one stream: header, one sector of allocation, one of directory, then the stream."""
    stream = stream.ljust(4096, b"\0")
    stream += bytes(-len(stream) % 512)
    count = len(stream) // 512
    head = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16)
    head += struct.pack("<HHHHH6xIIIIIIIII", 0x3E, 3, 0xFFFE, 9, 6, 0, 1, 1, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0)
    head += struct.pack("<109I", 0, *[0xFFFFFFFF] * 108)
    chain = [0xFFFFFFFD, 0xFFFFFFFE, *range(3, 2 + count), 0xFFFFFFFE]
    table = struct.pack("<128I", *chain, *[0xFFFFFFFF] * (128 - len(chain)))
    entries = _entry("Root Entry", 5, 1, 0xFFFFFFFE, 0) + _entry("Workbook", 2, 0xFFFFFFFF, 2, len(stream))
    return head + table + entries.ljust(512, b"\0") + stream


def _entry(name: str, kind: int, child: int, start: int, size: int) -> bytes:
    spelt = (name + "\0").encode("utf-16-le")
    links = struct.pack("<HBBIII", len(spelt), kind, 1, 0xFFFFFFFF, 0xFFFFFFFF, child)
    return spelt.ljust(64, b"\0") + links + bytes(36) + struct.pack("<IQ", start, size)


@cache
def png() -> bytes:
    """A white PNG of 120 by 90 px."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", 120, 90, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"".join(b"\0" + b"\xff" * 120 for _ in range(90)))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@cache
def jpeg() -> bytes:
    """The segments of a JPEG of 640 by 480 px held on end; no picture in it."""
    tiff = b"II*\0" + struct.pack("<IH", 8, 1) + struct.pack("<HHIHH", 0x0112, 3, 1, 6, 0) + bytes(4)
    exif = b"Exif\0\0" + tiff
    frame = struct.pack(">BHHB", 8, 480, 640, 3) + bytes((1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1))
    segments = ((0xE1, exif), (0xDB, bytes(65)), (0xC0, frame), (0xDA, bytes((1, 1, 0, 0, 63, 0))))
    body = b"".join(struct.pack(">BBH", 0xFF, kind, len(inner) + 2) + inner for kind, inner in segments)
    return b"\xff\xd8" + body + bytes(60) + b"\xff\xd9"


@cache
def phrase_files() -> tuple[str, ...]:
    """The phrase files of the second language."""
    return tuple(path.read_text("utf-8") for path in sorted((DATA / "phrases" / "es").glob("*.txt")))

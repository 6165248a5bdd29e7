"""A shelf kept as a folder of TOML files.

Each file may hold `[[machine]]`, `[[attachment]]`, `[[part]]` and `[price_book]`. A file within a folder called
`machines`, `attachments` or `parts` may also be one record by itself, its name the id. The folder `inquiries` holds
inquiries and is no part of the shelf. A file `price_book.toml` may be the price book by itself.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from handfast.machines.attachment import Attachment
from handfast.machines.checking import check
from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import DEFAULT_LOCALE, Record
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.machines.toml_text import bytes_of, parse, text_of
from handfast.machines.tractor import Machine
from handfast.quantities.tables import DATA

_SINGLE = {"machines": "machine", "attachments": "attachment", "parts": "part"}
DEMO = DATA / "demo"


class ShelfFile(Record):
    """What one file of a shelf may hold."""

    notes: str = ""
    machine: tuple[Machine, ...] = ()
    attachment: tuple[Attachment, ...] = ()
    part: tuple[Part, ...] = ()
    price_book: PriceBook | None = None


def read_shelf(folder: Path, locale: str = DEFAULT_LOCALE) -> Shelf:
    """The shelf in a folder; its quantities come from sheets unless they say otherwise.

    Args:
        folder: folder of TOML files.
        locale: whose way to write numbers is used.

    Returns:
        the shelf.

    Raises:
        Faults: everything that is wrong with any of the files, ids given twice among it.
    """
    files: list[tuple[str, ShelfFile]] = []
    faults: list[Fault] = []
    for path in sorted(folder.rglob("*.toml")):
        if "inquiries" in path.relative_to(folder).parts[:-1]:
            continue
        try:
            files.append((path.name, _read_shelf_file(path, locale)))
        except Faults as error:
            faults.extend(error.faults)
    if not files and not faults:
        faults.append(Fault(folder.name, 0, "", "no TOML file", "a folder of shelf files"))
    shelf = _together(files, faults)
    if faults:
        raise Faults(faults)
    return shelf


def _read_shelf_file(path: Path, locale: str) -> ShelfFile:
    data, lines = parse(text_of(bytes_of(path), path.name), path.name)
    if path.stem == "price_book" and "price_book" not in data:
        return ShelfFile(price_book=check(PriceBook, data, path.name, lines, locale))
    kind = _SINGLE.get(path.parent.name)
    if kind is None or kind in data:
        return check(ShelfFile, data, path.name, lines, locale, origin="sheet")
    data = {"id": path.stem, **data}
    if kind == "machine":
        return ShelfFile(machine=(check(Machine, data, path.name, lines, locale, origin="sheet"),))
    if kind == "attachment":
        return ShelfFile(attachment=(check(Attachment, data, path.name, lines, locale, origin="sheet"),))
    return ShelfFile(part=(check(Part, data, path.name, lines, locale, origin="sheet"),))


def _together(files: list[tuple[str, ShelfFile]], faults: list[Fault]) -> Shelf:
    """One shelf from all files; appends a fault for every id that is missing or there twice."""
    books = [(name, file.price_book) for name, file in files if file.price_book is not None]
    faults.extend(
        Fault(name, 0, "price_book", "a second price book", "one price book on a shelf") for name, _ in books[1:]
    )
    kept: dict[str, Any] = {
        plural: _by_id(((name, record) for name, file in files for record in getattr(file, kind)), kind, faults)
        for plural, kind in _SINGLE.items()
    }
    return Shelf.model_construct(**kept, price_book=books[0][1] if books else PriceBook())


def _by_id(records: Iterable[tuple[str, Any]], kind: str, faults: list[Fault]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for file, record in records:
        if not record.id:
            faults.append(Fault(file, 0, kind, f"{kind} without id", "an id, by which inquiries name it"))
        elif record.id in found:
            faults.append(Fault(file, 0, f"{kind}.id", f'"{record.id}" a second time', "an id of its own"))
        else:
            found[record.id] = record
    return found


@cache
def demo_shelf() -> Shelf:
    """The invented shelf that comes with the program."""
    return read_shelf(DEMO)


@cache
def demo_inquiries() -> dict[str, Inquiry]:
    """The invented inquiries that come with the program, by file name without its ending."""
    found = {}
    for path in sorted((DEMO / "inquiries").glob("*.toml")):
        data, lines = parse(text_of(bytes_of(path), path.name), path.name)
        found[path.stem] = check(Inquiry, data, path.name, lines, str(data.get("locale", DEFAULT_LOCALE)))
    return found

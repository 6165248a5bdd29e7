"""The door for files: TOML text becomes a record, or every fault in it is named at once."""

from __future__ import annotations

from pathlib import Path as FilePath
from typing import Any, TypeVar

from pydantic import BaseModel

from handfast.machines.attachment import Attachment
from handfast.machines.checking import Lines, check, no_lines
from handfast.machines.faults import Fault as Fault
from handfast.machines.faults import Faults as Faults
from handfast.machines.fields import DEFAULT_LOCALE
from handfast.machines.inquiry import Inquiry
from handfast.machines.merging import named
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.machines.shelf_files import demo_inquiries as demo_inquiries
from handfast.machines.shelf_files import demo_shelf as demo_shelf
from handfast.machines.shelf_files import read_shelf as read_shelf
from handfast.machines.toml_lines import line_of
from handfast.machines.toml_text import bytes_of, parse
from handfast.machines.toml_text import located as located
from handfast.machines.toml_text import text_of as text_of
from handfast.machines.tractor import Machine
from handfast.quantities.amounts import quoted
from handfast.quantities.locales import number_style

R = TypeVar("R", bound=BaseModel)


def read_model(model: type[R], text: str, file: str, locale: str = DEFAULT_LOCALE) -> R:
    """A record from TOML text; a `locale` entry at its top wins where the record has one.

    Args:
        model: record type.
        text: TOML text.
        file: name of the file, for the faults.
        locale: whose way to write numbers is used.

    Returns:
        the record.

    Raises:
        Faults: everything that is wrong with the text.

    >>> read_model(Machine, 'mass = "2260 lb"', "m.toml").mass.text
    '2260 lb'
    """
    data, lines = parse(text, file)
    return check(model, data, file, lines, _locale(model, data, file, lines, locale))


def read_data(model: type[R], data: dict[str, Any], file: str = "form", locale: str = DEFAULT_LOCALE) -> R:
    """A record from plain data, such as a form's or a list's row.

    Args:
        model: record type.
        data: plain data.
        file: name of the source, for the faults.
        locale: whose way to write numbers is used.

    Returns:
        the record.

    Raises:
        Faults: everything that is wrong with the data.

    >>> read_data(Machine, {"wheelbase": "55 in"}).wheelbase.value
    1.397
    """
    return check(model, data, file, no_lines, _locale(model, data, file, no_lines, locale))


def _locale(model: type[BaseModel], data: dict[str, Any], file: str, lines: Lines, otherwise: str) -> str:
    """The locale that the data name, if the record has such an entry."""
    named = data.get("locale", otherwise) if "locale" in model.model_fields else otherwise
    try:
        number_style(str(named))
    except ValueError:
        place = line_of(("locale",), lines())
        expected = "a locale whose numbers are known, such as en_US or de_DE"
        raise Faults([Fault(file, place, "locale", quoted(str(named)), expected)]) from None
    return str(named)


def read_inquiry(text: str, file: str = "inquiry.toml", locale: str = DEFAULT_LOCALE) -> Inquiry:
    """An inquiry from TOML text, the records it names not yet filled in.

    Args:
        text: TOML text.
        file: name of the file, for the faults.
        locale: whose way to write numbers is used, unless the text names its own.

    Returns:
        the inquiry as written.

    Raises:
        Faults: everything that is wrong with the text.

    >>> read_inquiry('title = "x"\\n[site]\\nslope = "10 %"').site.slope.text
    '10 %'
    """
    return read_model(Inquiry, text, file, locale)


def read_held(text: str, file: str, shelf: Shelf, locale: str = DEFAULT_LOCALE) -> Inquiry:
    """An inquiry from TOML text, as written, that holds against the shelf too.

    Args:
        text: TOML text.
        file: name of the file, for the faults.
        shelf: whose records it may name.
        locale: whose way to write numbers is used, unless the text names its own.

    Returns:
        the inquiry, the records it names not yet filled in.

    Raises:
        Faults: everything that is wrong with the text, and every record it names that is not on the shelf.

    >>> from handfast.machines.shelf import Shelf
    >>> read_held('[site]\\nslope = "10 %"', "a.toml", Shelf()).site.slope.text
    '10 %'
    """
    try:
        inquiry = read_inquiry(text, file, locale)
    except Faults as error:
        raise Faults([*error.faults, *_not_there(text, file, shelf)]) from None
    try:
        inquiry.resolve(shelf, file)
    except Faults as error:
        raise located(error, text, file) from None
    return inquiry


def _not_there(text: str, file: str, shelf: Shelf) -> list[Fault]:
    """The records that a faulty text names in vain."""
    try:
        data = parse(text, file)[0]
    except Faults:
        return []
    lost: list[Fault] = []
    pieces = data.get("attachment")
    whole = shelf.whole
    asked: list[tuple[str, Any, Any]] = [("machine.record", data.get("machine"), whole.machines)]
    for i, one in enumerate(pieces if isinstance(pieces, list) else ()):
        asked.append((f"attachment[{i}].record", one, whole.attachments))
    for place, table, records in asked:
        wanted = table.get("record") if isinstance(table, dict) else None
        if isinstance(wanted, str):
            named(records, wanted, place, file, lost)
    return located(Faults(lost), text, file).faults if lost else []


def read_machine(text: str, file: str = "machine.toml", locale: str = DEFAULT_LOCALE) -> Machine:
    """A machine from TOML text, with the faults of `read_model`."""
    return read_model(Machine, text, file, locale)


def read_attachment(text: str, file: str = "attachment.toml", locale: str = DEFAULT_LOCALE) -> Attachment:
    """An attachment from TOML text, with the faults of `read_model`."""
    return read_model(Attachment, text, file, locale)


def read_part(text: str, file: str = "part.toml", locale: str = DEFAULT_LOCALE) -> Part:
    """A part from TOML text, with the faults of `read_model`."""
    return read_model(Part, text, file, locale)


def read_price_book(text: str, file: str = "price_book.toml", locale: str = DEFAULT_LOCALE) -> PriceBook:
    """A price book from TOML text, with the faults of `read_model`."""
    return read_model(PriceBook, text, file, locale)


def read_file(model: type[R], path: FilePath, locale: str = DEFAULT_LOCALE) -> R:
    """A record from a file.

    Args:
        model: record type.
        path: the file.
        locale: whose way to write numbers is used, unless the file names its own.

    Returns:
        the record.

    Raises:
        Faults: the file can't be read, or everything that is wrong with it.
    """
    return read_model(model, text_of(bytes_of(path), path.name), path.name, locale)

"""From a cell to what the record takes: an entry, not known, or a refusal with what was found and what is expected."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from typing import Any, Literal, get_args, get_origin

from rapidfuzz import fuzz, process

from handfast.lists.grid import Broken, Cell, is_empty, shown
from handfast.lists.headers import ASK, CURRENCIES, FieldKind
from handfast.machines.attachment import Attachment
from handfast.machines.fields import Record
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.tractor import Machine
from handfast.quantities.amounts import QuantityError
from handfast.quantities.locales import number_style
from handfast.quantities.reading import UNKNOWN_WORDS, read_quantity
from handfast.quantities.tables import table

EMPTY = UNKNOWN_WORDS | {"–", "—", "n.a.", "poa", "ask", "on request", "auf anfrage", "k.a.", "call for price", "."}
ERRORS = re.compile(r"#(?:N/A|REF!|VALUE!|DIV/0!|NAME\?|NUM!|NULL!)|#NV|#BEZUG!|#WERT!|nan", re.I)
RUNS = re.compile(r"'*[=+\-@\t\r\n]")  # what a spreadsheet would take for a formula, apostrophes before it or none
NUMBER = re.compile(r"\d[\d.,]*\d|\d")
TWO_WAYS = re.compile(r"(?<![\d.,])\d{1,3}[.,]\d{3}(?![\d.,])")
COMMA = re.compile(r"\d{1,3}(?:\.\d{3})+(?:,\d+|(?:\.\d{3})+)|\d+,(?:\d{1,2}|\d{4,})|\d{4,},\d+")
POINT = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+|(?:,\d{3})+)|\d+\.(?:\d{1,2}|\d{4,})|\d{4,}\.\d+")
CURRENCY_MARK = re.compile(r"(?:US\$|C\$|[$€£]|\b(?:USD|EUR|GBP|CAD)\b)", re.I)


@dataclass(frozen=True)
class Refused:
    """A cell that can't be taken: what was found, what is expected; or what must be asked first."""

    found: str
    expected: str
    ask: str = ""  # a question for the whole column


@dataclass(frozen=True)
class Reading:
    """How a column's cells are read."""

    field: FieldKind
    unit: str = ""
    locale: str = "en_US"
    currency: str = ""  # of the column, where its header names one
    own: str = "USD"  # the shelf's
    two_ways: bool = False  # numbers such as 1,234 can be read two ways
    kinds: tuple[str, ...] = ()


def entry_of(cell: Cell, reading: Reading) -> Any:
    """What the record takes of a cell.

    Args:
        cell: the cell.
        reading: how its column is read.

    Returns:
        An entry; None where the cell says that it is not known; `Refused` where it can't be taken.

    >>> entry_of("2 1/2 in", Reading(FieldKind("attachment", "width", "length", ())))
    '2 1/2 in'
    >>> entry_of(520.0, Reading(FieldKind("attachment", "mass", "mass", ()), unit="lb"))
    '520 lb'
    >>> entry_of(Broken("#REF!"), Reading(FieldKind("attachment", "mass", "mass", ()))).found
    '#REF!'
    """
    if isinstance(cell, Broken):
        return Refused(cell.what, "a value: this cell broke at the sender's")
    if is_empty(cell):
        return None
    if isinstance(cell, str) and cell.strip().casefold() in EMPTY:
        return None
    if isinstance(cell, str) and ERRORS.fullmatch(cell.strip()):
        return Refused(cell.strip(), "a value: this cell broke at the sender's")
    return READ.get(reading.field.dimension, _quantity)(cell, reading)


def _text(cell: Cell, reading: Reading) -> Any:
    text = " ".join(unguarded(shown(cell)).split())
    if reading.field.place == "id" and isinstance(cell, date):
        return Refused(text, "an id; a spreadsheet made a date of it")
    return text[:400]


def unguarded(text: str) -> str:
    """The text as it was before it was guarded against being taken for a formula: without one apostrophe.

    >>> unguarded("'=1+1"), unguarded("''=1"), unguarded("'tis")
    ('=1+1', "'=1", "'tis")
    """
    return text[1:] if text.startswith("'") and RUNS.match(text) else text


def _class(cell: Cell, reading: Reading) -> Any:
    return _text(cell, reading).replace(" ", "_")


def _day(cell: Cell, reading: Reading) -> Any:
    if isinstance(cell, date):
        return cell.isoformat()
    text = shown(cell).strip()
    return text if re.fullmatch(r"\d{4}-\d\d-\d\d", text) else Refused(text[:60], "a day such as 2026-01-31")


def _choice(cell: Cell, reading: Reading) -> Any:
    known = options(MODELS[reading.field.kind], reading.field.place)
    return _named(cell, {}, known, ", ".join(known).replace("_", " "))


def _ends(cell: Cell, _reading: Reading) -> Any:
    return [" ".join(one.split()) for one in shown(cell).split(";") if one.strip()]


def _whole(cell: Cell, reading: Reading) -> Any:
    if isinstance(cell, date):
        return Refused(shown(cell), "a whole number; a spreadsheet made a date of it")
    text = re.sub(r"\s*(?:pcs|pc|ea|each|stk|st|units?)\.?$", "", shown(cell).strip(), flags=re.I).replace(",", "")
    named = {"single": 1, "double": 2, "one": 1, "two": 2, "none": 0, "yes": 1, "no": 0}.get(text.casefold())
    if named is not None:
        return named
    if re.fullmatch(r"\d{1,7}(?:\.0+)?", text):
        return int(float(text))
    return Refused(shown(cell)[:60], "a whole number")


def _named(cell: Cell, known: dict[str, str], plain: tuple[str, ...], expected: str) -> Any:
    text = " ".join(shown(cell).casefold().replace("-", " ").replace("_", " ").split())
    names = {**{one.replace("_", " "): one for one in plain}, **known}
    if text in names:
        return names[text]
    found = process.extractOne(text, list(names), scorer=fuzz.ratio, score_cutoff=ASK)
    if found and found[1] >= 88:
        return names[found[0]]
    maybe = f"; perhaps {names[found[0]].replace('_', ' ')}?" if found else ""
    return Refused(shown(cell)[:60], expected + maybe)


@cache
def _words(asked: str) -> dict[str, str]:
    return {row["word"]: row["meaning"] for row in table("list_words.csv") if row["asked"] == asked}


def _kind(cell: Cell, reading: Reading) -> Any:
    words = {word: meaning for word, meaning in _words("kind").items() if meaning in reading.kinds}
    return _named(
        cell, words, reading.kinds, "a kind of record, such as " + ", ".join(reading.kinds[:3]).replace("_", " ")
    )


def _interface(cell: Cell, reading: Reading) -> Any:
    known = _words("interface")
    expected = "what the bucket hangs on: universal plate, pinned, hook and pin"
    parts = [part for part in re.split(r"\s*(?:,|/|;|\+|\bor\b)\s*", shown(cell)) if part.strip()]
    found = [_named(part, known, tuple(set(known.values())), expected) for part in parts]
    refused = next((one for one in found if isinstance(one, Refused)), None)
    if refused is not None or reading.field.place == "quick_attach":
        return refused or found[0]
    return found


def _actuation(cell: Cell, _reading: Reading) -> Any:
    return _named(
        cell, _words("actuation"), ("hydraulic", "electric", "curl", "none"), "hydraulic, electric, curl or none"
    )


def _money(cell: Cell, reading: Reading) -> Any:
    text = shown(cell).strip()
    if isinstance(cell, date):
        return Refused(text, "a price; a spreadsheet made a date of it")
    marks = {CURRENCIES[one.casefold()] for one in CURRENCY_MARK.findall(text)} | {reading.currency or reading.own}
    foreign = "/".join(sorted(marks - {reading.own}))
    if foreign:
        ask = f"This column is in {foreign}; the shelf's prices are in {reading.own}."
        return Refused(text, f"a price in {reading.own}", ask)
    if isinstance(cell, float):
        return f"{cell:.2f}" if cell >= 0 else Refused(text, "a price of 0 or more")
    bare = re.sub(r"(?<=\d)[.,](?:-+|$)", "", CURRENCY_MARK.sub("", text).strip()).strip()
    return _checked(bare, "money", reading, text)


def _quantity(cell: Cell, reading: Reading) -> Any:
    dimension = reading.field.dimension
    if isinstance(cell, date):
        return Refused(shown(cell), f"a {dimension}; a spreadsheet made a date of it, perhaps of a fraction")
    if isinstance(cell, bool):
        return Refused(shown(cell), f"a {dimension}")
    text = shown(cell).strip().replace("″", '"').replace("′", "'").replace("”", '"').replace("’", "'")
    bare = isinstance(cell, float) or re.fullmatch(r"[\d.,\s/+-]+", text) is not None
    if not bare:
        return _checked(text, dimension, reading, text)
    if dimension in ("hours", "days"):
        return _checked(text, dimension, reading, text)
    if not reading.unit:
        return Refused(text, f"a {dimension} with its unit", "Which unit are the bare numbers of this column in?")
    if dimension not in _dimensions(reading.unit):
        return Refused(f"{text} {reading.unit}", f"a {dimension}")
    if isinstance(cell, float):
        return f"{cell:.10g} {reading.unit}"
    return _checked(f"{text} {reading.unit}", dimension, reading, text)


@lru_cache(maxsize=64)
def _dimensions(unit: str) -> tuple[str, ...]:
    found = []
    for dimension in ("mass", "length", "pressure", "flow", "volume", "power", "hours", "days", "share"):
        try:
            read_quantity(f"1 {unit}", dimension)
            found.append(dimension)
        except QuantityError:
            continue
    return tuple(found)


def _checked(text: str, dimension: str, reading: Reading, found: str) -> Any:
    """The entry in plain figures, once it is sure that it reads as one thing."""
    if reading.two_ways and TWO_WAYS.search(text):
        return Refused(found, f"a {dimension}", "Is the comma or point in this column's numbers a decimal mark?")
    try:
        estimate = read_quantity(text, dimension, reading.locale)
    except QuantityError as error:
        return Refused(found[:60], str(error.expected))
    if estimate.is_unknown:
        return None
    return text if number_style(reading.locale).decimal == "." else NUMBER.sub(_in_english, text)


def _in_english(number: re.Match[str]) -> str:
    """A number with a decimal comma as the record writes it."""
    return number[0].replace(".", "").replace(" ", "").replace(",", ".")


MODELS: dict[str, type[Record]] = {
    "attachment": Attachment, "part": Part, "machine": Machine, "price_book": PriceBook,
}  # fmt: skip


@cache
def options(model: type[Record], place: str) -> tuple[str, ...]:
    """The words that an entry of a record may be.

    >>> options(Attachment, "lid_hold")
    ('none', 'pilot_check', 'self_locking')
    """
    named = {info.alias or name: info.annotation for name, info in model.model_fields.items()}
    for one in (named.get(place), *get_args(named.get(place))):
        if get_origin(one) is Literal:
            return tuple(map(str, get_args(one)))
    return ()


READ: dict[str, Callable[[Cell, Reading], Any]] = {
    "text": _text,
    "class": _class,
    "whole": _whole,
    "kind": _kind,
    "interface": _interface,
    "actuation": _actuation,
    "choice": _choice,
    "ends": _ends,
    "day": _day,
    "money": _money,
}


def ways_of(texts: Iterable[str]) -> set[str]:
    """How the numbers of texts are written: with a decimal point, a decimal comma, or so that it can't be told.

    >>> sorted(ways_of(["1.234,50", "7"])), ways_of(["2.5 in"]), ways_of(["1,234"])
    (['comma'], {'point'}, {'either'})
    """
    found: set[str] = set()
    for text in texts:
        for number in NUMBER.findall(text):
            if COMMA.fullmatch(number):
                found.add("comma")
            elif POINT.fullmatch(number):
                found.add("point")
            elif TWO_WAYS.fullmatch(number):
                found.add("either")
    return found

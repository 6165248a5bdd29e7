"""From a header's words to a field of the record: certain, to be asked, or left out; and the unit that it names."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import get_args

from rapidfuzz import fuzz, process

from handfast.lists.grid import Cell, Grid, is_empty, shown
from handfast.machines.attachment import AttachmentKind
from handfast.machines.part import PartKind
from handfast.quantities.tables import table
from handfast.quantities.units import UNITS

ACCEPT, ASK = 85.0, 60.0  # likeness of words, of 100: taken as meant, asked
KINDS = ("attachment", "part", "machine")
RECORD_KINDS: dict[str, tuple[str, ...]] = {
    "attachment": get_args(AttachmentKind), "part": get_args(PartKind), "machine": (), "price_book": (),
}  # fmt: skip
HEADER_ROWS = 40  # a header stands within so many rows of where it may begin
NOT_OF_MACHINES = (
    "kind", "supplier", "price", "list_price", "cost", "valid_from", "valid_to", "stock", "rated_load", "lead_days",
    "place",
)  # fmt: skip
WHOLE = "Handfast record"  # the column that holds a record to its last digit
NOT_OF_BOOKS = (*NOT_OF_MACHINES, "mass")
FEW = 2  # columns that must be known, so that a row is a header
_BRACKET = re.compile(r"[\(\[]\s*(?P<unit>[^\)\]]{1,12})\s*[\)\]]")
_UNIT_AFTER = re.compile(r"(?:[,/]|\bin\b|-|\s)\s*(?P<unit>[A-Za-z²³/\"'€$£]{1,6}\.?)\s*$")
SPELT = {
    '"': "in",
    "''": "in",
    "'": "ft",
    "#": "lb",
    "lbs.": "lb",
    "lbs": "lb",
    "inches": "in",
    "in.": "in",
    "us gpm": "gpm",
}
CURRENCIES = {
    "$": "USD",
    "us$": "USD",
    "usd": "USD",
    "€": "EUR",
    "eur": "EUR",
    "£": "GBP",
    "gbp": "GBP",
    "cad": "CAD",
    "c$": "CAD",
}


@dataclass(frozen=True)
class FieldKind:
    """A field that a list may fill: its place, what it holds, the words that name it."""

    kind: str
    place: str
    dimension: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Match:
    """What a header is taken for."""

    header: str
    field: FieldKind | None
    unit: str = ""  # as the header names it
    currency: str = ""
    likeness: float = 0.0
    asked: tuple[str, ...] = ()  # places that it may be, where it isn't certain

    @property
    def certain(self) -> bool:
        """Whether nobody need be asked."""
        return self.field is not None and not self.asked


@cache
def fields_of(kind: str) -> tuple[FieldKind, ...]:
    """The fields of a kind of record.

    >>> fields_of("machine")[0].place
    'id'
    """
    rows = [row for row in table("list_fields.csv") if row["kind"] in ("all", kind)]
    if kind == "machine":
        rows = [row for row in rows if row["place"] not in NOT_OF_MACHINES]
    if kind == "price_book":
        rows = [row for row in rows if row["place"] not in NOT_OF_BOOKS]
    return tuple(FieldKind(row["kind"], row["place"], row["dimension"], tuple(row["words"].split("|"))) for row in rows)


def match(header: Cell, kind: str) -> Match:
    """What a header is taken for.

    Args:
        header: the cell.
        kind: attachment, part or machine.

    Returns:
        The field, with its unit where the header names one; or the places to ask about; or neither.

    >>> one = match("Weight (lbs)", "attachment")
    >>> one.field.place, one.unit, one.certain
    ('mass', 'lb', True)
    """
    text = " ".join(shown(header).split())
    words, unit, currency = _split(text)
    plain = _plain(words)
    if not plain:
        return Match(text, None, unit, currency)
    known = _words(kind)
    if plain in known:
        return Match(text, known[plain], unit, currency, 100.0)
    scored = process.extract(plain, list(known), scorer=fuzz.ratio, limit=4, score_cutoff=ASK)
    scored += process.extract(plain, list(known), scorer=fuzz.token_sort_ratio, limit=4, score_cutoff=ASK)
    scored.sort(key=lambda one: -one[1])
    if not scored:
        return Match(text, None, unit, currency)
    places = tuple(dict.fromkeys(known[word].place for word, _, _ in scored))
    best = scored[0][1]
    rivals = {known[word].place for word, score, _ in scored if score >= ACCEPT}
    if best >= ACCEPT and len(rivals) == 1:
        return Match(text, known[scored[0][0]], unit, currency, best)
    return Match(text, known[scored[0][0]], unit, currency, best, places[:4])


@cache
def _words(kind: str) -> dict[str, FieldKind]:
    found: dict[str, FieldKind] = {}
    for one in sorted(fields_of(kind), key=lambda one: one.kind == "all"):  # the kind's own words first
        for word in one.words:
            found.setdefault(_plain(word), one)
    return found


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[^\w#]+", " ", text.casefold().replace("_", " ")).split())


def unit_of(text: str) -> str:
    """A unit as our tables spell it; empty where it is none.

    >>> unit_of("lbs."), unit_of("inches"), unit_of("blue")
    ('lb', 'in', '')
    """
    plain = text.strip().casefold()
    plain = SPELT.get(plain, plain).removesuffix(".")
    if plain in UNITS:
        return plain
    return next((name for name in UNITS if name.casefold() == plain), "")


def _split(text: str) -> tuple[str, str, str]:
    """Words, unit and currency of a header."""
    unit = currency = ""
    for found in _BRACKET.finditer(text):
        named = found["unit"].strip()
        unit = unit or unit_of(named)
        currency = currency or CURRENCIES.get(named.casefold(), "")
    words = _BRACKET.sub(" ", text)
    for mark, code in CURRENCIES.items():
        if not currency and ((mark in "$€£" and mark in words) or re.search(rf"\b{re.escape(mark)}\b", words, re.I)):
            currency, words = code, re.sub(re.escape(mark), " ", words, flags=re.I)
    tail = _UNIT_AFTER.search(words)
    if not unit and tail and unit_of(tail["unit"]) and _plain(words[: tail.start()]):
        unit, words = unit_of(tail["unit"]), words[: tail.start()]
    return words, unit, currency


@dataclass(frozen=True)
class Header:
    """A header row: where it stands, what each column is taken for, where its table ends."""

    row: int
    kind: str
    columns: tuple[Match, ...]
    end: int  # the row after its last


def headers_in(grid: Grid, kind: str = "") -> list[Header]:
    """The tables of a sheet: their header rows, with the kind of record that suits them best.

    Args:
        grid: the sheet.
        kind: attachment, part or machine where it is known; empty tries all.

    Returns:
        Headers from top to bottom; a second table on the sheet has its own.
    """
    found: list[tuple[int, str, tuple[Match, ...]]] = []
    kind = kind or whole_kind(grid)
    row = 0
    while row < len(grid.rows):
        if found and not _may_begin(grid, row):
            row += 1
            continue
        if not found and row > HEADER_ROWS:
            break
        best = max((_as_header(grid, row, one) for one in ((kind,) if kind else KINDS)), key=lambda one: one[0])
        if best[0] >= FEW:
            found.append((row, best[1], best[2]))
        row += 1
    ends = [*(row for row, _, _ in found[1:]), len(grid.rows)][: len(found)]
    return [Header(row, k, columns, end) for (row, k, columns), end in zip(found, ends, strict=True)]


def whole_kind(grid: Grid) -> str:
    """The kind of record of a sheet that this program wrote itself, from its first whole record; empty elsewhere.

    >>> whole_kind(Grid("a", [["Item no", WHOLE], ["a", '{"kind": "part", "record": {}}']]))
    'part'
    """
    at = grid.rows[0].index(WHOLE) if grid.rows and WHOLE in grid.rows[0] else -1
    told = shown(grid.rows[1][at]) if at >= 0 and len(grid.rows) > 1 and at < len(grid.rows[1]) else ""
    found = re.match(r'\{"kind": "(\w+)"', told)
    return found[1] if found and found[1] in RECORD_KINDS else ""


def _may_begin(grid: Grid, row: int) -> bool:
    """A further table begins after a row that is empty or a title by itself, and holds no figures."""
    before = [cell for cell in grid.rows[row - 1] if not is_empty(cell)]
    here = [cell for cell in grid.rows[row] if not is_empty(cell)]
    return (
        len(before) <= 1 and len(here) > FEW and all(isinstance(cell, str) and not cell[:1].isdigit() for cell in here)
    )


def _as_header(grid: Grid, row: int, kind: str) -> tuple[float, str, tuple[Match, ...]]:
    cells = grid.rows[row]
    if sum(isinstance(cell, str) and not is_empty(cell) for cell in cells) < FEW:
        return 0.0, kind, ()
    matches = tuple(match(cell if isinstance(cell, str) else None, kind) for cell in cells)
    certain = {one.field.place for one in matches if one.field is not None and one.certain}
    worth = len(certain) + 0.25 * len({p for p in certain if _own(p, kind)}) + _kinds_told(grid, row, matches, kind)
    named = any(one.field is not None and one.field.place in ("id", "name") for one in matches)
    return (worth if named else 0.0), kind, matches


def _kinds_told(grid: Grid, row: int, matches: Sequence[Match], kind: str) -> float:
    """The share of the first rows whose kind is one of these records'."""
    at = next((at for at, one in enumerate(matches) if one.certain and one.field and one.field.place == "kind"), None)
    if at is None:
        return 0.0
    known = kind_names(kind)
    told = [_plain(shown(cells[at])) for cells in grid.rows[row + 1 : row + 51] if at < len(cells)]
    return sum(one in known for one in told) / max(len(told), 1)


@cache
def kind_names(kind: str) -> dict[str, str]:
    """What a list may call the kinds of a record, in plain letters.

    >>> kind_names("part")["fitting"]
    'adapter'
    """
    kinds = RECORD_KINDS[kind]
    words = {row["word"]: row["meaning"] for row in table("list_words.csv") if row["asked"] == "kind"}
    names = {**{one: one for one in kinds}, **{word: one for word, one in words.items() if one in kinds}}
    return {_plain(word): one for word, one in names.items()}


@cache
def _own(place: str, kind: str) -> bool:
    return any(one.place == place and one.kind == kind for one in fields_of(kind))


def certain_places(columns: Sequence[Match]) -> set[str]:
    """Places that are certain."""
    return {one.field.place for one in columns if one.field is not None and one.certain}

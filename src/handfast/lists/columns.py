"""What each column of a table is and how its cells are read, once hiding and answers have been counted in."""

from __future__ import annotations

from handfast.lists.cells import Reading, Refused, ways_of
from handfast.lists.grid import Grid, letter
from handfast.lists.headers import RECORD_KINDS, Header, Match, fields_of
from handfast.lists.proposal import LEAVE, Asking

MONEY = ("price", "list_price", "cost")  # never read where it is hidden
WORDS = ("text", "kind", "interface", "actuation", "class", "choice", "ends", "day", "record")  # no figures in them
UNITS_ASKED = {
    "mass": ("lb", "kg"),
    "length": ("in", "ft", "mm", "cm", "m"),
    "pressure": ("psi", "bar"),
    "flow": ("gpm", "L/min"),
    "volume": ("ft3", "yd3", "m3", "L"),
    "power": ("hp", "kW"),
}


def key_of(grid: Grid, at: int, header: str) -> str:
    """The name under which an answer about a column is kept."""
    return f"{grid.name}!{letter(at)}:{header}"


def columns_of(grid: Grid, header: Header, asking: Asking) -> list[Match]:
    """What each column is; a field is filled by one column."""
    by_place = {one.place: one for one in fields_of(header.kind)}
    found: list[Match] = []
    taken: set[str] = set()
    for at, one in enumerate(header.columns):
        if one.field is not None and at in grid.hidden_columns and not _seen(grid, at, one, asking):
            found.append(Match(one.header, None))
            continue
        place = one.field.place if one.field is not None else ""
        if one.asked or place in taken:
            words = f"What is column {letter(at)}, “{one.header}”?"
            answer = asking.put(key_of(grid, at, one.header), words, (*(one.asked or (place,)), LEAVE))
            chosen = by_place.get(answer) if answer not in taken else None
            one = Match(one.header, chosen, one.unit, one.currency, one.likeness)
        if one.field is not None:
            taken.add(one.field.place)
        found.append(one)
    return found


def _seen(grid: Grid, at: int, one: Match, asking: Asking) -> bool:
    """A hidden column is read where that was said; a hidden price or cost never is."""
    read = asking.hidden(key_of(grid, at, one.header) + "!hidden", f"Column {letter(at)}, “{one.header}”, is")
    return read and one.field is not None and one.field.place not in MONEY


def readings_of(grid: Grid, header: Header, columns: list[Match], currency: str, asking: Asking) -> dict[int, Reading]:
    """How each column is read: its unit, its decimal mark."""
    measured = {at for at, one in enumerate(columns) if one.field is not None and one.field.dimension not in WORDS}
    ways = {at: ways_of(_texts(grid, header, at)) for at in measured}
    whole = set().union(*ways.values()) if ways else set()
    found: dict[int, Reading] = {}
    for at, one in enumerate(columns):
        if one.field is None:
            continue
        key = key_of(grid, at, one.header)
        locale, two_ways = _mark_of(ways.get(at, set()), whole, asking.answers.get(key + "!mark", ""))
        unit = one.unit or asking.answers.get(key + "!unit", "")
        kinds = RECORD_KINDS[header.kind]
        found[at] = Reading(one.field, unit, locale, one.currency, currency, two_ways, kinds)
    return found


def _texts(grid: Grid, header: Header, at: int) -> list[str]:
    cells = (row[at] for row in grid.rows[header.row + 1 : header.end] if at < len(row))
    return [cell for cell in cells if isinstance(cell, str)]


def _mark_of(own: set[str], whole: set[str], answer: str) -> tuple[str, bool]:
    """The locale of a column's numbers, and whether its mark must be asked."""
    if answer in ("comma", "point"):
        return ("de_DE" if answer == "comma" else "en_US"), False
    for seen in (own, whole):
        if "comma" in seen and "point" not in seen:
            return "de_DE", False
        if "point" in seen and "comma" not in seen:
            return "en_US", False
    return "en_US", "either" in own or {"comma", "point"} <= own


def ask_about(refused: Refused, grid: Grid, at: int, header: str, reading: Reading, asking: Asking) -> None:
    """Ask what a cell that can be read two ways turns on, once for its column."""
    if refused.ask.startswith("Which unit"):
        name, choices = "!unit", UNITS_ASKED.get(reading.field.dimension, ())
    elif refused.ask.startswith("Is the comma"):
        name, choices = "!mark", ("comma", "point")
    else:
        name, choices = "!currency", (LEAVE,)
    asking.put(key_of(grid, at, header) + name, f"Column {letter(at)}, “{header}”: {refused.ask}", choices)

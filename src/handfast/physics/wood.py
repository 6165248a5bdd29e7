"""How heavy wood and loose material are: species and materials by name, as a least, likely and greatest density."""

from __future__ import annotations

import difflib
import re
from functools import cache
from typing import NamedTuple

from handfast.quantities.tables import table

POUND_PER_CUBIC_FOOT = 0.45359237 / 0.3048**3
_SCATTER = 0.10  # one tree from another of its kind: at least this either way (Forest Products Laboratory, note 218)
_OUTER = 0.20  # and no further than this for a log that is all heartwood or all sapwood (the same note: occasionally)


class Density(NamedTuple):
    """A density with its ends [kg/m³] and where it comes from."""

    low: float
    likely: float
    high: float
    source: str


class _Row(NamedTuple):
    name: str
    words: tuple[str, ...]
    average: float
    parts: tuple[float, ...]  # all heartwood, all sapwood
    dry: float | None
    source: str


def species(name: str, dry: bool = False) -> Density:
    """Density of the wood of a species, or of all species that the name covers ("red oak", "oak").

    The likely value is the mean of the sources; the ends take in every source, heartwood and sapwood as far as 20 %
    from the likely value, and at least 10 % either way for one tree from another.

    Args:
        name: common name, any case, "Oak, red" or "red oak".
        dry: wood at 12 % moisture in place of green.

    Returns:
        Density(low, likely, high, source) [kg/m³].

    Raises:
        KeyError: no species of that name; the message has the nearest names.

    Source: USDA Forest Service species table, Wood Handbook table 4-1, Park Service green-log table.

    >>> round(species("Apple").likely)
    881
    """
    rows = _rows_of(name)
    if dry:
        return _dry(rows, name)
    average = [row.average for row in rows]
    likely = sum(average) / len(average)
    parts = [p for row in rows for p in row.parts] or [likely]
    low = min(*average, (1.0 - _SCATTER) * likely, max(min(parts), (1.0 - _OUTER) * likely))
    high = max(*average, (1.0 + _SCATTER) * likely, min(max(parts), (1.0 + _OUTER) * likely))
    return Density(low, likely, high, _sources(rows))


def loose_density(material: str) -> Density:
    """Density of loose material, rock or bales, as it lies in the tool.

    Args:
        material: soil, sand, gravel, mulch, woodchip, manure, silage, snow, rock, concrete, round_bales,
            square_bales, firewood, brush (the wood substance of it).

    Returns:
        Density(low, likely, high, source) [kg/m³].

    Raises:
        KeyError: no such material; the message has the nearest names.

    Source: material_density.csv, each row with its own.

    >>> loose_density("gravel").likely
    1700.0
    """
    found = _materials()
    key = material.strip().lower().replace(" ", "_").replace("-", "_")
    if key not in found:
        raise KeyError(_unknown(material, list(found)))
    return found[key]


def species_names() -> tuple[str, ...]:
    """Every species and trade name that `species` answers to, sorted.

    Returns:
        names, as the tables spell them.

    Source: wood.csv, green_log_lb_per_ft.csv, wood_names.csv.

    >>> "Apple" in species_names()
    True
    """
    return tuple(sorted({row.name for row in _rows()} | set(_trade_names()), key=str.lower))


def _rows_of(name: str) -> list[_Row]:
    words = _words(name)
    joined = "".join(words)
    named = _trade_names().get(" ".join(words))
    if named:
        return [row for row in _rows() if "".join(row.words) in named]
    exact = [row for row in _rows() if "".join(row.words) == joined]
    if len(words) > 1 and exact:
        return exact
    found = [row for row in _rows() if words and _covers(words, row.words)]
    if not (exact or found):
        raise KeyError(_unknown(name, list(species_names())))
    return exact + [row for row in found if row not in exact]


def _covers(asked: tuple[str, ...], row: tuple[str, ...]) -> bool:
    return row[-1].endswith(asked[-1]) and all(word in row[:-1] for word in asked[:-1])


def _words(name: str) -> tuple[str, ...]:
    front, comma, back = name.lower().partition(",")
    words = re.findall(r"[a-z']+", back + " " + front if comma else front)
    if words and words[-1].endswith("s") and not words[-1].endswith(("ss", "us", "cypress")):
        words[-1] = words[-1][:-1]
    return tuple(words)


def _unknown(name: str, names: list[str]) -> str:
    near = difflib.get_close_matches(name.lower(), [n.lower() for n in names], n=3, cutoff=0.5)
    return f"{name!r} is not in the table" + (f"; did you mean {', '.join(near)}?" if near else "")


def _dry(rows: list[_Row], name: str) -> Density:
    dry = [row.dry for row in rows if row.dry is not None]
    if not dry:
        raise KeyError(f"{name!r} has no dry density in the table")
    likely = sum(dry) / len(dry)
    return Density(min(*dry, 0.9 * likely), likely, max(*dry, 1.1 * likely), _sources(rows))


def _sources(rows: list[_Row]) -> str:
    return "; ".join(dict.fromkeys(row.source for row in rows))


@cache
def _rows() -> tuple[_Row, ...]:
    return (*map(_wood_row, table("wood.csv")), *map(_log_row, table("green_log_lb_per_ft.csv")))


def _wood_row(row: dict[str, str]) -> _Row:
    gravity = float(row["specific_gravity_green"])
    moist = [row[key] for key in ("green_mc_heartwood", "green_mc_sapwood") if row[key]]
    average = 1000.0 * gravity * (1.0 + float(row["green_mc_wood_average_pct"]) / 100.0)
    parts = tuple(1000.0 * gravity * (1.0 + float(m) / 100.0) for m in moist)
    name = row["species"]
    return _Row(name, _words(name), average, parts, float(row["density_12pct_kg_m3_computed"]), row["source"])


def _log_row(row: dict[str, str]) -> _Row:
    density = float(row["green_lb_per_ft3"]) * POUND_PER_CUBIC_FOOT
    return _Row(row["species"], _words(row["species"]), density, (), None, row["source"])


@cache
def _trade_names() -> dict[str, frozenset[str]]:
    names: dict[str, set[str]] = {}
    for row in table("wood_names.csv"):
        names.setdefault(" ".join(_words(row["name"])), set()).add("".join(_words(row["row"])))
    return {name: frozenset(rows) for name, rows in names.items()}


@cache
def _materials() -> dict[str, Density]:
    return {
        row["material"]: Density(
            float(row["low_kg_m3"]), float(row["likely_kg_m3"]), float(row["high_kg_m3"]), row["source"]
        )
        for row in table("material_density.csv")
    }

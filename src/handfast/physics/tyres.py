"""Tyres: what their marking lets them carry, and what liquid in them weighs."""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike
from handfast.quantities.tables import table

PRESSURE_EXPONENT = 0.585


class Spread(NamedTuple):
    """Least, likely and greatest density [kg/m³]."""

    low: float
    likely: float
    high: float


def load_of_index(index: ArrayLike) -> Array:
    """Load that one tyre of a load index carries at its rated pressure and speed.

    Args:
        index: load index, the number before the speed symbol on the tyre wall, any shape.

    Returns:
        Mass [kg]; nan outside the table.

    Source: load-capacity index after ISO 4223-1, data table load_index.csv.

    >>> load_of_index([100, 121]).tolist()
    [800.0, 1450.0]
    """
    marks, loads = _index_table()
    given = np.asarray(index, dtype=np.float64)
    at = np.clip(np.searchsorted(marks, given), 0, len(marks) - 1)
    return np.where(marks[at] == given, loads[at], np.nan)


def index_for_load(load: ArrayLike) -> Array:
    """Least load index that carries a load.

    Args:
        load: mass on one tyre [kg], any shape.

    Returns:
        Load index; nan above the table.

    Source: load-capacity index after ISO 4223-1, data table load_index.csv.

    >>> index_for_load([800.0, 801.0]).tolist()
    [100.0, 101.0]
    """
    marks, loads = _index_table()
    at = np.searchsorted(loads, np.asarray(load, dtype=np.float64))
    return np.where(at < len(marks), marks[np.minimum(at, len(marks) - 1)], np.nan)


def _index_table() -> tuple[Array, Array]:
    """Load indices and their loads, both rising."""
    rows = table("load_index.csv")
    return np.array([float(r["load_index"]) for r in rows]), np.array([float(r["max_load_kg"]) for r in rows])


def speed_of_symbol(symbol: str) -> float:
    """Speed for which the load index of a tyre holds.

    Args:
        symbol: speed symbol from the tyre wall, such as A8.

    Returns:
        Speed [m/s].

    Raises:
        KeyError: no such symbol in the table.

    Source: speed symbols of tyre markings, data table speed_symbol.csv.

    >>> round(speed_of_symbol("A8") * 3.6, 6)
    40.0
    """
    speeds = {r["symbol"]: float(r["km_h"]) for r in table("speed_symbol.csv")}
    return speeds[symbol.strip().upper()] / 3.6


def load_at_pressure(rated_load: ArrayLike, pressure: ArrayLike, rated_pressure: ArrayLike) -> Array:
    """What a tyre carries when it is not at its rated pressure.

    Args:
        rated_load: load at the rated pressure [kg].
        pressure: inflation now [Pa above the air outside].
        rated_pressure: inflation for which the rated load is given [Pa likewise].

    Returns:
        Load [kg]: rated load times the pressure ratio to the power 0.585, never above the rated load.

    Source: form of the tyre makers' load formula, from memory; a load table of the tyre replaces it.

    >>> [round(float(v), 1) for v in load_at_pressure(1000.0, [1.2e5, 2.4e5, 3.0e5], 2.4e5)]
    [666.6, 1000.0, 1000.0]
    """
    ratio = np.asarray(pressure, dtype=np.float64) / np.asarray(rated_pressure, dtype=np.float64)
    return np.asarray(rated_load, dtype=np.float64) * np.clip(ratio, 0.0, 1.0) ** PRESSURE_EXPONENT


def fill_volume(size: str) -> float:
    """Liquid that one tyre takes up to the valve at twelve o'clock, about 75 %.

    Args:
        size: size as printed on the tyre, such as 16.9-30 or 16.9R30.

    Returns:
        Volume [m³]; nan for a size that the table does not hold.

    Source: public liquid ballast chart, data table tyre_liquid_fill.csv.

    >>> fill_volume("16.9 R 30")
    0.2763
    """
    key = _size_key(size)
    return next(
        (float(r["litres"]) * 1e-3 for r in table("tyre_liquid_fill.csv") if _size_key(r["tyre"]) == key), np.nan
    )


def _size_key(size: str) -> str:
    """A tyre size without blanks, ply marks and the letter that tells radial from bias."""
    bare = size.upper().replace("–", "-").strip()
    found = re.match(r"(\d+(?:\.\d+)?L?)\s*[-RX]\s*(\d+(?:\.\d+)?)(?![\d.X])", bare)
    return f"{found[1]}-{found[2]}" if found else bare


def fluid_density(fluid: str) -> Spread:
    """Density of a liquid that is filled into tyres.

    Args:
        fluid: its name as people say it, such as calcium chloride, beet juice, washer fluid.

    Returns:
        Spread [kg/m³].

    Raises:
        KeyError: no such liquid in the table.

    Source: data table fluids.csv with a source in each row.

    >>> fluid_density("Beet juice").likely
    1318.0
    """
    name = fluid.strip().lower()
    for row in table("fluids.csv"):
        if name in (row["fluid"], *row["also"].split(";")):
            return Spread(*(float(row[f"density_{k}"]) for k in Spread._fields))
    raise KeyError(fluid)


def calcium_chloride_density(salt: ArrayLike) -> Array:
    """Density of calcium chloride solution; the salt swells the water, so it gains less than its own mass.

    Args:
        salt: mass of salt per volume of water before mixing [kg/m³], any shape.

    Returns:
        Density [kg/m³], between the rows of the table in straight lines; nan beyond it.

    Source: tyre liquid ballast table at 18 °C, data table calcium_chloride.csv.

    >>> [float(v) for v in calcium_chloride_density([0.0, 600.0])]
    [1000.0, 1300.0]
    """
    rows = table("calcium_chloride.csv")
    per_water = [1e3 * float(r["salt_kg_per_litre_water"]) for r in rows]
    return np.interp(
        np.asarray(salt, dtype=np.float64),
        per_water,
        [float(r["density_kg_m3"]) for r in rows],
        left=np.nan,
        right=np.nan,
    )


def fill_mass(volume: ArrayLike, density: ArrayLike) -> Array:
    """Mass of the liquid in tyres; it stands at the height of the wheel's middle.

    Args:
        volume: of all filled tyres of an axle together [m³].
        density: of the liquid [kg/m³].

    Returns:
        Mass [kg].

    Source: definition.

    >>> round(float(fill_mass(0.38, 1180.0)), 6)
    448.4
    """
    return np.asarray(volume, dtype=np.float64) * np.asarray(density, dtype=np.float64)

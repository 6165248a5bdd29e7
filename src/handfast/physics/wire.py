"""Copper wire: gauge numbers, areas, resistivity."""

from __future__ import annotations

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

RESISTIVITY_20 = 1.7241e-8
"""Annealed copper at 20 °C [Ω·m] (International Annealed Copper Standard)."""

PER_KELVIN = 0.00393
"""Rise of copper's resistance with temperature [1/K] (same standard)."""

KELVIN_20 = 293.15


def gauge_number(gauge: str) -> int:
    """Number of a wire gauge as written; the larger the wire the smaller the number.

    Args:
        gauge: Wire gauge as text, as "8", "AWG 8", "8 AWG", "2/0" [-].

    Returns:
        Gauge number, 0 for 1/0, −1 for 2/0 and so on.

    Raises:
        ValueError: The text is no gauge.

    Source: ASTM B258 counts 1/0 as 0, 2/0 as −1.

    >>> gauge_number("AWG 8"), gauge_number("2/0")
    (8, -1)
    """
    text = gauge.upper().replace("AWG", "").replace("#", "").strip()
    if text.endswith("/0") and text[:-2].isdigit():
        return 1 - int(text[:-2])
    if text.isdigit():
        return int(text)
    raise ValueError(f"no wire gauge: {gauge!r}")


def wire_diameter(gauge: ArrayLike) -> Array:
    """Diameter of solid wire of a gauge.

    Args:
        gauge: Gauge number as from `gauge_number` [1], any shape.

    Returns:
        Diameter [m], same shape.

    Source: ASTM B258, 0.005 in · 92^((36 − n)/39).

    >>> round(float(wire_diameter(8)) * 1e3, 3)
    3.264
    """
    return np.asarray(0.005 * 0.0254 * 92.0 ** ((36.0 - np.asarray(gauge, float)) / 39.0))


def wire_area(gauge: ArrayLike) -> Array:
    """Copper area of solid wire of a gauge.

    Args:
        gauge: Gauge number [1], any shape.

    Returns:
        Area [m²], same shape.

    Source: ASTM B258.

    >>> round(float(wire_area(8)) * 1e6, 2)
    8.37
    """
    return np.asarray(np.pi / 4.0 * wire_diameter(gauge) ** 2)


def copper_resistivity(temperature: ArrayLike) -> Array:
    """Resistivity of copper at a temperature.

    Args:
        temperature: Copper temperature [K], any shape.

    Returns:
        Resistivity [Ω·m], same shape.

    Source: International Annealed Copper Standard.

    >>> round(float(copper_resistivity(348.15)) * 1e8, 3)
    2.097
    """
    return np.asarray(RESISTIVITY_20 * (1.0 + PER_KELVIN * (np.asarray(temperature, float) - KELVIN_20)))

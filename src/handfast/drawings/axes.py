"""Round figures for axes."""

from __future__ import annotations

import math


def nice_step(least: float, twelves: bool = False) -> float:
    """The smallest round step that is at least so large: 1, 2, 5 times a power of ten; 12, 24 … for inches.

    >>> nice_step(13.0)
    20.0
    """
    if twelves:
        return next((float(s) for s in (6, 12, 24, 36, 48) if s >= least), 60.0)
    power = 10.0 ** math.floor(math.log10(least))
    return next(power * m for m in (1.0, 2.0, 5.0, 10.0) if power * m >= least - 1e-12)


def nice_ticks(most: float, least_step: float, twelves: bool = False) -> list[float]:
    """Ticks from nought to the most that is shown.

    >>> nice_ticks(900.0, 150.0)
    [0.0, 200.0, 400.0, 600.0, 800.0]
    """
    step = nice_step(least_step, twelves)
    return [step * k for k in range(math.floor(most / step + 1e-9) + 1)]


def tick_text(value: float) -> str:
    """A tick's figure, without needless places.

    >>> tick_text(1200.0), tick_text(0.5)
    ('1,200', '0.5')
    """
    return f"{value:,.0f}" if abs(value - round(value)) < 1e-9 else f"{value:g}"

"""From an outfit in depth to its drawings: what moves the margin, how sure each check is."""

from __future__ import annotations

from handfast.advice.depth import Depth, Odd
from handfast.drawings.odds_bars import OddsRow, OddsView
from handfast.drawings.tornado import TornadoRow, TornadoView

TENTHS = ("hardly ever", "1 time in 10", "2 times in 10", "3 times in 10", "4 times in 10", "half the time",
          "6 times in 10", "7 times in 10", "8 times in 10", "9 times in 10")  # fmt: skip


def tornado_of(depth: Depth) -> TornadoView | None:
    """The tornado of an outfit; None where nothing uncertain moves its margins."""
    found = depth.tornado
    if found is None:
        return None
    rows = tuple(TornadoRow(s.title, s.low, s.high, s.at_low, s.at_high) for s in found.swings)
    rest = f"{found.rest} more unknowns move it less." if found.rest else ""
    return TornadoView(found.title, rows, found.middle, found.middle_text, rest, f"What moves it: {found.title}")


def odds_of(depth: Depth) -> OddsView:
    """How sure each check is, the least sure first, all of them together on top."""
    return OddsView(tuple(OddsRow(o.title, o.share, o.error, odd_words(o), o.asked) for o in depth.odds))


def odd_words(odd: Odd) -> str:
    """A share in plain words, never kinder than it is.

    >>> odd_words(Odd("", 0.97, 0.9)), odd_words(Odd("", 1.0, 0.9)), odd_words(Odd("", 0.0, 0.9))
    ('more than 9 in 10', 'always', 'never')
    """
    if odd.share >= 1.0:
        return "always"
    if odd.share <= 0.0:
        return "never"
    return "more than 9 in 10" if odd.share > 0.9 else TENTHS[int(10 * odd.share + 1e-9)]

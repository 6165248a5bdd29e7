"""Password guessing slowed: after a few wrong ones the next has to wait, twice as long each time."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from threading import Lock

FREE = 3  # wrong ones that cost nothing: people mistype
LONGEST = 900.0  # s
FORGOTTEN = 86_400.0  # s after the last wrong one
KEPT = 4096  # names and addresses in memory


def delay(wrong: int) -> float:
    """How long the next guess waits after so many wrong ones [s].

    >>> [delay(wrong) for wrong in (0, 2, 3, 4, 10, 20)]
    [0.0, 0.0, 1.0, 2.0, 128.0, 900.0]
    """
    return 0.0 if wrong < FREE else min(2.0 ** min(wrong - FREE, 30), LONGEST)


@dataclass
class Guesses:
    """The wrong guesses lately made, by name and by address."""

    clock: Callable[[], float] = time.monotonic
    wrong: OrderedDict[str, tuple[int, float]] = field(default_factory=OrderedDict)
    lock: Lock = field(default_factory=Lock)

    def begin(self, keys: Iterable[str]) -> float:
        """Count a guess as wrong before it is looked at, so that many at once are no way round.

        Args:
            keys: what it is counted under.

        Returns:
            How long to wait before it may be made [s]; where that is not 0 it was neither made nor counted.
        """
        with self.lock:
            now, keys = self.clock(), tuple(keys)
            waits = max((self._free_at(key, now) - now for key in keys), default=0.0)
            if waits > 0.0:
                return waits
            for key in keys:
                self.wrong[key] = (self._count(key, now) + 1, now)
                self.wrong.move_to_end(key)
            while len(self.wrong) > KEPT:
                self.wrong.popitem(last=False)
            return 0.0

    def right(self, keys: Iterable[str]) -> None:
        """Forget the wrong guesses: the last was right."""
        with self.lock:
            for key in keys:
                self.wrong.pop(key, None)

    def _count(self, key: str, now: float) -> int:
        count, at = self.wrong.get(key, (0, now))
        return 0 if now - at > FORGOTTEN else count

    def _free_at(self, key: str, now: float) -> float:
        count, at = self.wrong.get(key, (0, now))
        return at + delay(count) if count and now - at <= FORGOTTEN else now

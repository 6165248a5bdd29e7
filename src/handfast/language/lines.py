"""A sentence that stands on several lines of a drawing: told as one, and set on as many lines."""

from __future__ import annotations

from collections.abc import Callable
from html import escape, unescape

GOES_ON = "\u200b"  # ends a line that goes on in the next, see handfast.drawings.svg


class Lines:
    """The lines of one sentence as they come."""

    def __init__(self, parts: list[str], say: Callable[[str], str]) -> None:
        self.parts, self.say = parts, say
        self.lines: list[tuple[str, list[int]]] = []  # what stands on a line, and where it is set: with its rim, twice

    def takes(self, at: int, text: str) -> bool:
        """Whether a text is a line of several; they are told when the last has come."""
        if not self.lines and not text.endswith(GOES_ON):
            return False
        if self.lines and text == self.lines[-1][0]:
            self.lines[-1][1].append(at)
            return True
        goes_on = bool(self.lines) and self.lines[-1][0].endswith(GOES_ON)
        if not goes_on:
            self.close()
        if not goes_on and not text.endswith(GOES_ON):
            return False
        self.lines.append((text, [at]))
        return True

    def close(self) -> None:
        """Tell the sentence that was gathered."""
        if not self.lines:
            return
        whole = " ".join(unescape(text).removesuffix(GOES_ON) for text, _ in self.lines)
        said = self.say(whole)
        told = in_so_many(said, len(self.lines)) if said != whole else []
        for line, (_, places) in zip(told, self.lines, strict=False):
            for place in places:
                self.parts[place] = escape(line, quote=False)
        self.lines = []


def in_so_many(text: str, count: int) -> list[str]:
    """Words on so many lines, the longest as short as can be.

    >>> in_so_many("one two three four", 2)
    ['one two', 'three four']
    """
    lines: list[str] = []
    for room in range(len(text) // count, len(text) + 1):
        lines = []
        for word in text.split():
            if lines and len(lines[-1]) + 1 + len(word) <= room:
                lines[-1] += " " + word
            else:
                lines.append(word)
        if len(lines) <= count:
            break
    return [*lines, *[""] * (count - len(lines))]

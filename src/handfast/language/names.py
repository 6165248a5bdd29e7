"""Names of the records: they stay as they were given, wherever they stand in a sentence."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable

FIRST = 0xE000  # names stand as single marks of Unicode's private use while the rest is read
MOST = 0x1000
MARK = re.compile(f"[{chr(FIRST)}-{chr(FIRST + MOST)}]")
WORD = re.compile(r"\w+")


class Names:
    """The names that must not be translated."""

    def __init__(self, names: Iterable[str]) -> None:
        self._by_first: defaultdict[str, list[str]] = defaultdict(list)
        for name in sorted({one.strip() for one in names}, key=lambda one: (-len(one), one)):
            words = WORD.findall(name)
            if len(words) > 1 and name.startswith(words[0]):  # a single word may be a word of the language too
                self._by_first[words[0]].append(name)

    def hide(self, text: str) -> tuple[str, list[str]]:
        """A text with a mark in place of each name, and the names in order.

        >>> Names(["Thimble 24"]).hide("on Thimble 24, with")[1]
        ['Thimble 24']
        """
        if MARK.search(text):
            return text, []
        found: list[str] = []
        out, at = [], 0
        for word in WORD.finditer(text):
            if word.start() < at or len(found) >= MOST:
                continue
            name = next((one for one in self._by_first.get(word[0], ()) if self._stands(text, word.start(), one)), None)
            if name is not None:
                out += [text[at : word.start()], chr(FIRST + len(found))]
                found.append(name)
                at = word.start() + len(name)
        return "".join([*out, text[at:]]), found

    @staticmethod
    def _stands(text: str, at: int, name: str) -> bool:
        after = text[at + len(name) : at + len(name) + 1]
        return text.startswith(name, at) and not after.isalnum()


def shown_again(text: str, names: list[str]) -> str:
    """A text with its names back in their places.

    >>> shown_again("con \\ue000", ["Thimble 24"])
    'con Thimble 24'
    """
    return MARK.sub(lambda mark: names[ord(mark[0]) - FIRST] if ord(mark[0]) - FIRST < len(names) else mark[0], text)

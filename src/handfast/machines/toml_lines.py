"""On which line each entry of a TOML text stands (the standard reader does not say)."""

from __future__ import annotations

import re

Path = tuple[str | int, ...]

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BASIC = re.compile(r'"(?:[^"\\\n]|\\.)*"')
_LITERAL = re.compile(r"'[^'\n]*'")
_LONG = (re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}', re.DOTALL), re.compile(r"'''.*?'{3,5}", re.DOTALL))
_SPACE = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")


class _Scanner:
    """Walks over a text that the standard reader has found well formed."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {}
        self.lengths: dict[Path, int] = {}  # how many tables an array of tables has so far
        self.header: Path = ()
        self._counted = 0
        self._line = 1

    def line(self) -> int:
        """Line of the place reached."""
        self._line += self.text.count("\n", self._counted, self.at)
        self._counted = self.at
        return self._line

    def skip(self) -> None:
        """Over spaces, line ends and remarks."""
        found = _SPACE.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def key(self) -> list[str]:
        """One dotted key."""
        parts: list[str] = []
        while True:
            self.skip()
            quoted = _BASIC.match(self.text, self.at) or _LITERAL.match(self.text, self.at)
            found = quoted or _BARE.match(self.text, self.at)
            if found is None:
                return parts
            parts.append(_unquoted(found[0]) if quoted else found[0])
            self.at = found.end()
            self.skip()
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

    def note(self, path: Path, line: int) -> None:
        """Keep the first line of an entry and of the tables above it."""
        for end in range(1, len(path) + 1):
            self.lines.setdefault(path[:end], line)

    def within(self, keys: list[str]) -> Path:
        """Path of a header's keys: an array of tables stands for its last table."""
        path: Path = ()
        for key in keys:
            path = (*path, key)
            if path in self.lengths:
                path = (*path, self.lengths[path] - 1)
        return path

    def take_header(self) -> None:
        """`[table]` or `[[table]]`."""
        line = self.line()
        twice = self.text.startswith("[[", self.at)
        self.at += 2 if twice else 1
        keys = self.key()
        self.at += 2 if twice else 1
        if twice:
            array = (*self.within(keys[:-1]), keys[-1])
            self.lengths[array] = self.lengths.get(array, 0) + 1
        self.header = self.within(keys)
        self.note(self.header, line)

    def take_entry(self, above: Path) -> bool:
        """`key = value`; False when there is none."""
        self.skip()
        line = self.line()
        keys = self.key()
        if not keys:
            return False
        path = (*above, *keys)
        self.note(path, line)
        self.at += 1
        self.take_value(path)
        return True

    def take_value(self, path: Path) -> None:
        """A value, with the lines of whatever is in it."""
        self.skip()
        self.note(path, self.line())
        opening = self.text[self.at : self.at + 1]
        if opening in ("[", "{"):
            self.take_many(path, opening)
            return
        for pattern in (*_LONG, _BASIC, _LITERAL):
            found = pattern.match(self.text, self.at)
            if found:
                self.at = found.end()
                return
        plain = re.compile(r"[^,\]}#\n]*").match(self.text, self.at)
        self.at = plain.end() if plain else self.at

    def take_many(self, path: Path, opening: str) -> None:
        """An array or an inline table."""
        closing = "]" if opening == "[" else "}"
        self.at += 1
        count = 0
        while True:
            self.skip()
            if self.at >= len(self.text) or self.text[self.at] == closing:
                self.at += 1
                return
            if self.text[self.at] == ",":
                self.at += 1
            elif opening == "[":
                self.take_value((*path, count))
                count += 1
            elif not self.take_entry(path):
                return

    def scan(self) -> dict[Path, int]:
        """All entries."""
        while True:
            self.skip()
            if self.at >= len(self.text):
                return self.lines
            if self.text[self.at] == "[":
                self.take_header()
            elif not self.take_entry(self.header):
                return self.lines


def _unquoted(key: str) -> str:
    """A quoted key without its quotes; escapes are rare enough to be left as written."""
    return key[1:-1]


def line_numbers(text: str) -> dict[Path, int]:
    """Lines of all entries of a well-formed TOML text.

    Args:
        text: TOML text.

    Returns:
        line (from 1) by path, such as ("attachment", 0, "mass").

    >>> line_numbers('[machine]\\nmass = "850 lb"')[("machine", "mass")]
    2
    """
    return _Scanner(text).scan()


def line_of(path: Path, lines: dict[Path, int]) -> int:
    """Line of an entry, or of the nearest table above it.

    Args:
        path: path of the entry.
        lines: what `line_numbers` gave.

    Returns:
        line, 1 when nothing of the path is in the text, 0 when there are no lines at all.

    >>> line_of(("machine", "mass"), {("machine",): 3})
    3
    """
    for end in range(len(path), 0, -1):
        if path[:end] in lines:
            return lines[path[:end]]
    return 1 if lines else 0

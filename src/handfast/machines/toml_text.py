"""From bytes to TOML data: too large, binary, empty or ill-formed input is refused here."""

from __future__ import annotations

import re
import tomllib
from functools import cache, partial
from pathlib import Path as FilePath
from typing import Any

from handfast.machines.checking import Lines, path_of
from handfast.machines.faults import Fault, Faults
from handfast.machines.toml_lines import Path, line_numbers, line_of
from handfast.quantities.amounts import quoted

LARGEST = 1_000_000  # bytes of one text that are read
DEEPEST = 30  # tables within tables; no record has so many
_LONG_KEY = re.compile(
    rf"""(?:^|[\[{{,])[ \t]*(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){{{DEEPEST}}}""", re.MULTILINE
)
_NOT_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffd]")
_AT_LINE = re.compile(r"\s*\(at (?:line (?P<line>\d+), column \d+|end of document)\)")


def bytes_of(path: FilePath) -> bytes:
    """Bytes of a file that is not too large.

    Args:
        path: the file.

    Returns:
        its bytes.

    Raises:
        Faults: no such file, not readable, or too large.

    >>> len(bytes_of(FilePath(__file__))) > 0
    True
    """
    try:
        size = path.stat().st_size
        if size > LARGEST:
            raise too_large(size, path.name)
        return path.read_bytes()
    except OSError as error:
        raise whole_fault(path.name, error.strerror or "no file", "a file that can be read") from None


def text_of(data: bytes, file: str) -> str:
    """Bytes of a file as text.

    Args:
        data: the bytes.
        file: name of the file, for the faults.

    Returns:
        text.

    Raises:
        Faults: too large, empty, or not text.

    >>> text_of(b"title = 'x'", "a.toml")
    "title = 'x'"
    """
    if len(data) > LARGEST:
        raise too_large(len(data), file)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise whole_fault(file, "bytes that are not UTF-8 text", "a text file, not a binary one", line) from None
    return readable(text, file)


def readable(text: str, file: str) -> str:
    """The text with line ends of one kind, refused when it can't be an input.

    Args:
        text: any text.
        file: name of the file, for the faults.

    Returns:
        text.

    Raises:
        Faults: too large, empty, or with characters that no text has.

    >>> readable("a = 1\\r\\n", "a.toml")
    'a = 1\\n'
    """
    if len(text) > LARGEST:
        raise too_large(len(text), file)
    strange = _NOT_TEXT.search(text)
    if strange:
        line = text.count("\n", 0, strange.start()) + 1
        raise whole_fault(file, f"the character U+{ord(strange[0]):04X}", "a text file, not a binary one", line)
    if not text.strip("\ufeff \t\r\n"):
        raise empty(file)
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def whole_fault(file: str, found: str, expected: str, line: int = 0) -> Faults:
    """One fault of a whole file."""
    return Faults([Fault(file, line, "", found, expected)])


def too_large(size: int, file: str) -> Faults:
    """The fault of a file beyond the limit."""
    return whole_fault(file, f"{size / 1e6:.3g} MB", "a file of at most 1 MB")


def empty(file: str) -> Faults:
    """The fault of a file without entries."""
    return whole_fault(file, "an empty file", "entries such as [machine] and [[work]]")


def parse(text: str, file: str) -> tuple[dict[str, Any], Lines]:
    """TOML text as plain data, with a way to ask for the line of each entry.

    Args:
        text: TOML text.
        file: name of the file, for the faults.

    Returns:
        data, and a function that gives the line by path.

    Raises:
        Faults: not TOML, too large, empty or not text.

    >>> data, lines = parse("a = 1", "x.toml")
    >>> data, lines()
    ({'a': 1}, {('a',): 1})
    """
    text = readable(text, file)
    if _LONG_KEY.search(text):  # the standard reader needs minutes for a key of a hundred thousand parts
        raise _too_deep(file)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise Faults([_syntax_fault(str(error), text, file)]) from None
    except (RecursionError, ValueError):
        raise _too_deep(file) from None
    if not data:
        raise empty(file)
    if _deeper_than(data, DEEPEST):
        raise _too_deep(file)
    return data, cache(partial(_lines, text))


def _too_deep(file: str) -> Faults:
    return whole_fault(file, "entries nested or written beyond what can be read", "plain TOML")


def _deeper_than(data: Any, limit: int) -> bool:
    """Whether tables and lists are nested deeper than a limit, without descending deeper than that."""
    level: list[Any] = [data]
    for _ in range(limit):
        within = [list(each.values()) if isinstance(each, dict) else each for each in level]
        level = [inner for each in within for inner in each if isinstance(inner, dict | list)]
        if not level:
            return False
    return True


def located(error: Faults, text: str, file: str) -> Faults:
    """Faults found after the reading, such as a record that is not on the shelf, with their file and lines.

    Args:
        error: faults without lines.
        text: the TOML text that was read.
        file: its name.

    Returns:
        the same faults, placed.

    >>> lost = Faults([Fault("inquiry", 0, "machine.record", "x", "y")])
    >>> located(lost, "[machine]\\nrecord = 'x'", "a.toml").faults[0].line
    2
    """
    lines = line_numbers(readable(text, file))
    return Faults(
        Fault(file, each.line or line_of(path_of(each.place), lines), each.place, each.found, each.expected)
        for each in error.faults
    )


def _lines(text: str) -> dict[Path, int]:
    return line_numbers(text)


def _syntax_fault(message: str, text: str, file: str) -> Fault:
    place = _AT_LINE.search(message)
    rows = text.rstrip("\n").split("\n")
    line = int(place["line"]) if place and place["line"] else len(rows)
    row = rows[min(line, len(rows)) - 1].strip()
    return Fault(file, line, "", quoted(row), f"TOML ({_AT_LINE.sub('', message)})")

"""Who tells papers and the terminal in another language: set around the work, and asked where words are set down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from handfast.language.markup import Say, translate_markup

AS_THEY_ARE = frozenset(("kind", "mark", "band", "dealer", "number", "serials", "align", "paper", "customer"))
"""Entries of a paper's values that are no words of ours."""


@dataclass(frozen=True)
class Telling:
    """A language and who tells texts in it."""

    language: str
    say: Say


ENGLISH = Telling("en", str)
_NOW: ContextVar[Telling] = ContextVar("telling", default=ENGLISH)


@contextmanager
def telling(language: str, say: Say | None) -> Iterator[None]:
    """Have what is set down meanwhile told in a language.

    >>> with telling("xx", str.upper):
    ...     tell("words")
    'WORDS'
    """
    before = _NOW.set(ENGLISH if say is None else Telling(language, say))
    try:
        yield
    finally:
        _NOW.reset(before)


def now() -> Telling:
    """The language that is being set down.

    >>> now().language
    'en'
    """
    return _NOW.get()


def tell(text: str) -> str:
    """A text in the language that is being set down, line by line.

    >>> tell("words")
    'words'
    """
    say = _NOW.get().say
    return "\n".join(map(say, text.split("\n"))) if "\n" in text else say(text)


def tell_values(value: Any) -> Any:
    """A paper's values with every text told; drawings keep their lines.

    >>> with telling("xx", str.upper):
    ...     tell_values({"a": ["some", 1], "kind": "some"})
    {'a': ['SOME', 1], 'kind': 'some'}
    """
    if isinstance(value, str):
        drawn = value.startswith("<svg")
        return translate_markup(value, _NOW.get().say, _NOW.get().language) if drawn else tell(value)
    if isinstance(value, Mapping):
        kept = AS_THEY_ARE | ({"name"} if value.get("kind") == "picture" else frozenset())
        return {name: one if name in kept else tell_values(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [tell_values(one) for one in value]
    return value

"""A page in the other language: its text and the attributes that are read out, in one pass; markup stays as it is."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from html import escape, unescape
from typing import NamedTuple

from handfast.language.figures import has_words
from handfast.language.lines import Lines

Say = Callable[[str], str]
SPLIT = re.compile(r"(<!--.*?-->|<(?:[^<>\"']|\"[^\"]*\"|'[^']*')*>)", re.DOTALL)  # text, tag, text, tag …
NAME = re.compile(r"</?([a-zA-Z][^\s/>]*)")
ATTRIBUTE = re.compile(r"([^\s=\"'<>/]+)\s*=\s*\"([^\"]*)\"")
READ_OUT = frozenset(
    "title aria-label aria-description placeholder alt aria-valuetext aria-roledescription data-zero".split()
)
TYPED = "data-typed"  # marks a placeholder that shows what may be typed, and so stays as the door reads it
SAY = "data-say"  # begins the names of attributes whose words a page's script shows
TOLD = re.compile(r"\b(?:" + "|".join(sorted(READ_OUT)) + rf"|{SAY}[a-z-]*)\s*=")
KEPT = frozenset("bdi textarea script style code pre".split())
BARE = ("<path", "<circle", "<g", "<rect", "<li>", "<div>", "<td", "<tr")  # drawn or framed: nothing to read in the tag
VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())


def is_kept(name: str, tag: str) -> bool:
    """Whether an element holds the user's own words, or what no one reads."""
    return name in KEPT or 'translate="no"' in tag or (name == "blockquote" and "said" in tag)


def translate_markup(page: str, say: Say, language: str) -> str:
    """A page, or a part of one, in the other language.

    Args:
        page: HTML or SVG.
        say: tells a text in the other language.
        language: its tag, for the page's own `lang`.

    Returns:
        The same markup with other words; `lang` of its root set.

    >>> translate_markup('<p title="as">as <bdi>as</bdi></p>', str.upper, "xx")
    '<p title="AS">AS <bdi>as</bdi></p>'
    """
    parts = SPLIT.split(page)
    lines, inside, option = Lines(parts, say), Inside(), -1
    for at, part in enumerate(parts):
        if at % 2:
            if part.startswith(BARE):
                continue
            look = look_at(part)
            option = at if look.sends_text else -1
            if inside.step(look):
                parts[at] = _tag(part, say, language)
        elif len(part) > 1 and not inside.kept and not lines.takes(at, part) and has_words(part):
            parts[at] = _told(part, say)
            if option >= 0 and parts[at] != part:  # an option without a value sends its text
                parts[option] = f'{parts[option][:-1]} value="{escape(unescape(part).strip())}">'
    lines.close()
    return "".join(parts)


class Look(NamedTuple):
    """What there is to know of a tag before it is told."""

    name: str
    opens: int  # 1 opens an element, -1 closes one, 0 stands alone
    kept: bool
    told: bool  # whether it has attributes that are read out
    sends_text: bool


@lru_cache(maxsize=20_000)
def look_at(tag: str) -> Look:
    """A tag looked at once: pages have the same ones again and again."""
    found = NAME.match(tag)
    name, closes = (found[1].lower() if found else ""), tag.startswith("</")
    alone = not name or name in VOID or tag.endswith("/>")
    told = bool(name) and not closes and (name == "html" or ("=" in tag and TOLD.search(tag) is not None))
    sends = name == "option" and not closes and " value" not in tag
    return Look(name, -1 if closes else 0 if alone else 1, not closes and not alone and is_kept(name, tag), told, sends)


class Inside:
    """Whether the place that was reached lies within something that is kept as it is."""

    def __init__(self) -> None:
        self.kept, self.depth = "", 0

    def step(self, look: Look) -> bool:
        """Go past a tag; whether its attributes are to be told."""
        if self.kept:
            if look.name == self.kept:
                self.depth += look.opens
                self.kept = self.kept if self.depth else ""
            return False
        if look.kept:
            self.kept, self.depth = look.name, 1
        return look.told


def _told(text: str, say: Say) -> str:
    plain = unescape(text) if "&" in text else text
    said = say(plain)
    return text if said == plain else escape(said, quote=False)


def _tag(tag: str, say: Say, language: str) -> str:
    if tag.startswith("<html"):
        return re.sub(r'\blang="[^"]*"', f'lang="{language}"', tag)

    def other(found: re.Match[str]) -> str:
        name, value = found[1], found[2]
        typed = name == "placeholder" and TYPED in tag
        if typed or not (name in READ_OUT or name.startswith(SAY)) or not has_words(value):
            return found[0]
        said = say(plain := unescape(value))
        return found[0] if said == plain else f'{name}="{escape(said)}"'

    return ATTRIBUTE.sub(other, tag)


def texts_of(page: str) -> list[str]:
    """What a reader meets in a page, in order: the texts that `translate_markup` asks for.

    >>> texts_of('<p title="one">two</p><textarea>three</textarea>')
    ['one', 'two']
    """
    found: list[str] = []

    def note(text: str) -> str:
        found.append(text)
        return text

    translate_markup(page, note, "en")
    return found

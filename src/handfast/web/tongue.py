"""The visitor's language: chosen at the foot of a page, or the house's, or the browser's; a page is told in it."""

from __future__ import annotations

from dataclasses import dataclass, field

from starlette.requests import Request

from handfast.counter.house import settings
from handfast.language.markup import translate_markup
from handfast.language.names import Names
from handfast.language.phrasebook import LANGUAGES, Speaker, book_of
from handfast.machines.shelf import Shelf, names_on


@dataclass
class Tongue:
    """What tells pages in a language, with the names on the shelf kept as they are."""

    shelf: Shelf | None = None
    names: Names = field(default_factory=lambda: Names(()))

    def speaker(self, language: str, shelf: Shelf) -> Speaker | None:
        """Who tells texts in a language; None where that is English."""
        book = book_of(language)
        if book is None:
            return None
        if self.shelf is not shelf:
            self.names, self.shelf = Names(names_on(shelf)), shelf
        return Speaker(book, self.names)


def language_of(request: Request) -> str:
    """The visitor's language: the one chosen, or the house's, or the first of the browser's that the pages speak."""
    chosen = request.cookies.get("lang", "")
    if chosen in LANGUAGES:
        return chosen
    if not hasattr(request.state, "house_language"):
        request.state.house_language = settings(request.app.state.desk.workspace).language
    if request.state.house_language in LANGUAGES:
        return str(request.state.house_language)
    for one in request.headers.get("accept-language", "").split(","):
        tag, _, how = one.strip().partition(";")
        if tag[:2].lower() in LANGUAGES and how.replace(" ", "") != "q=0":
            return tag[:2].lower()
    return "en"


def told(text: str, speaker: Speaker | None, language: str) -> str:
    """A drawn page, or a part of one, in a language."""
    return text if speaker is None else translate_markup(text, speaker, language)

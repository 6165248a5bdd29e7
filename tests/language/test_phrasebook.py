"""The phrase book: its lines, how phrases are found in a text, and that figures and names stay."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handfast.language.figures import figures_of, quantity
from handfast.language.names import Names
from handfast.language.phrase_file import SLOT, PhraseError, phrases_of, read_phrases
from handfast.language.phrasebook import LANGUAGES, Book, Speaker, book_of

LINES = """
unit lb || lb
unit in || pulg
oak || roble
wire || alambre
and || y
Lifts {a} over {b} || Sobre {b} levanta {a}
Lifts {a} over the {b} || Por encima del {b} levanta {a}
{n} outfits || {n} conjuntos
Found {raw}, not {x} || Se encontró {raw}, no {x}
"""
BOOK = Book(read_phrases(LINES))


def said(text: str) -> str:
    return BOOK.read(text).text


def test_slots_are_told_too_and_may_change_places() -> None:
    assert said("Lifts oak over wire") == "Sobre alambre levanta roble"
    assert said("  Lifts 400 lb over 8 in. ") == "  Sobre 8 pulg levanta 400 lb. "


def test_the_phrase_with_more_fixed_letters_wins() -> None:
    assert said("Lifts oak over the wire") == "Por encima del alambre levanta roble"


def test_capitals_follow_the_text() -> None:
    assert said("Oak") == "Roble" and said("lifts oak over wire") == "sobre alambre levanta roble"


def test_what_is_not_known_stays_and_is_told() -> None:
    assert BOOK.read("something else") == BOOK.read("something else")
    assert BOOK.read("something else").missing == ("something else",)
    assert BOOK.read("Oak and elm").missing == ("elm",)


def test_raw_slots_and_numbers() -> None:
    assert said("Found oak, not wire") == "Se encontró oak, no alambre"
    assert said("12 outfits") == "12 conjuntos"
    assert BOOK.read("several outfits").missing


def test_names_stay_whole() -> None:
    speaker = Speaker(BOOK, Names(["Oak and wire 40"]))
    assert speaker("Lifts Oak and wire 40 over wire") == "Sobre alambre levanta Oak and wire 40"
    assert speaker("Lifts oak over wire") == "Sobre alambre levanta roble"


@pytest.mark.parametrize("line", ["one", "one || ", " || uno", "a {x} || un {y}", "{x} {x} || {x} {x}", "a || un {x}"])
def test_a_line_that_loses_something_is_refused(line: str) -> None:
    with pytest.raises(PhraseError):
        read_phrases(line)


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != "en"])
def test_every_phrase_is_said_once_and_keeps_its_slots_and_figures(language: str) -> None:
    phrases, seen = phrases_of(language), dict[str, str]()
    assert len(phrases) > 1000
    for one in phrases:
        assert seen.setdefault(one.english, one.other) == one.other, one
        assert sorted(one.slots) == sorted(SLOT.findall(one.other)), one
        assert sorted(figures_of(SLOT.sub("", one.english))) == sorted(figures_of(SLOT.sub("", one.other))), one


@given(st.lists(st.sampled_from(["400", "lb", "in", "1,240.5", "-", "8", "3/4", "to"]), min_size=1, max_size=8))
def test_a_quantity_keeps_its_figures(parts: list[str]) -> None:
    text = " ".join(parts)
    told = quantity(text, {"lb": "lb", "in": "pulg", "to": "a"})
    assert told is None or figures_of(told) == figures_of(text)


@given(st.text(max_size=60))
def test_any_text_is_taken(text: str) -> None:
    book = book_of("es")
    assert book is not None
    told = book.read(text)
    assert sorted(figures_of(told.text)) == sorted(figures_of(text))

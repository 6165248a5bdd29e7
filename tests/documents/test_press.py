"""The press: refuses any warning, knows its papers and dates."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from handfast.documents import press as pressing
from handfast.documents.press import PaperError, date_of, press, sheet_of


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder of templates for one test."""
    monkeypatch.setattr(pressing, "TEMPLATES", tmp_path)
    pressing._template.cache_clear()
    yield tmp_path
    pressing._template.cache_clear()


HEAD = '#set document(title: "x", date: datetime(year: 2000, month: 1, day: 1))\n'


def test_a_warning_is_an_error(own: Path) -> None:
    (own / "odd.typ").write_text(HEAD + '#set text(font: "No Such Lettering")\nwords')
    with pytest.raises(PaperError, match=r"(?i)no such lettering"):
        press("odd", {})


def test_a_picture_without_words_is_an_error(own: Path) -> None:
    """PDF/UA-1, 7.3: figures carry an alternative text."""
    (own / "mute.typ").write_text(
        HEAD
        + '#image(bytes("<svg xmlns=\\"http://www.w3.org/2000/svg\\" width=\\"9\\" height=\\"9\\"/>"), format: "svg")'
    )
    with pytest.raises(PaperError, match=r"(?i)alt"):
        press("mute", {})


def test_a_missing_face_is_an_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pressing, "FONTS", tmp_path)
    pressing._fonts.cache_clear()
    with pytest.raises(PaperError, match="Alegreya Sans is not whole"):
        pressing._fonts()
    pressing._fonts.cache_clear()


def test_papers_are_the_standards_sizes() -> None:
    """ISO 216: A4 is 210 by 297, A6 landscape 148 by 105; ANSI/ASME Y14.1: A is 8.5 by 11 in."""
    a4, letter, card = sheet_of("a4"), sheet_of("us-letter"), sheet_of("a6")
    assert (a4.width, a4.height) == (210, 297)
    assert (card.width, card.height) == (148, 105)
    assert (letter.width / 25.4, letter.height / 25.4) == (8.5, 11.0)
    with pytest.raises(ValueError, match="us-letter, a4"):
        sheet_of("foolscap")


def test_dates_come_from_what_is_written() -> None:
    assert date_of("2025-03-04") == date(2025, 3, 4)
    assert date_of("the fourth of March") == date_of("") == date(1970, 1, 1)

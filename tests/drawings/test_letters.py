"""What text becomes before it is set; held against the shipped faces as fontTools reads them, and the press itself."""

from __future__ import annotations

import json
import unicodedata
from pathlib import Path

import pytest
import typst
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from handfast.documents.press import FAMILY, FONTS, STANDARDS
from handfast.drawings.letters import _SHOWN, NOT_SHOWN, SOFT, paragraphs, plain, shown

FACES = sorted(FONTS.glob("*.ttf"))


def test_three_faces_and_their_licence() -> None:
    assert [face.stem for face in FACES] == ["AlegreyaSans-Bold", "AlegreyaSans-Medium", "AlegreyaSans-MediumItalic"]
    assert "SIL OPEN FONT LICENSE" in (FONTS / "OFL.txt").read_text(encoding="utf-8").upper()


@pytest.mark.parametrize("face", FACES, ids=lambda face: face.stem)
def test_every_letter_of_the_faces_is_kept(face: Path) -> None:
    codes = {c for c in TTFont(face).getBestCmap() if unicodedata.category(chr(c))[0] not in "CM"}
    assert len(codes) > 200
    kept = {c for c in codes if shown(chr(c))}
    missing = {hex(c) for c in codes - kept if not 0xE000 <= c <= 0xF8FF and c < 0xFB00}
    assert missing == set()


def test_the_press_has_every_letter_that_is_kept(tmp_path: Path) -> None:
    """A PDF/A may hold no letter without a shape: the press refuses one that no face has."""
    template = tmp_path / "letters.typ"
    template.write_text(
        '#set document(title: "x", date: datetime(year: 2000, month: 1, day: 1))\n'
        f'#set text(font: "{FAMILY}", weight: 500, lang: "en")\n'
        "#for one in json(bytes(sys.inputs.data)) [#one ]\n"
    )
    letters = [f"a{chr(c)}" for first, last in _SHOWN for c in range(first, last + 1)]
    fonts = typst.Fonts(include_system_fonts=False, font_paths=[FONTS])
    sheet = typst.Compiler(template, font_paths=fonts)
    sheet.compile(format="pdf", sys_inputs={"data": json.dumps(letters)}, pdf_standards=STANDARDS, timestamp=0)
    with pytest.raises(typst.TypstError, match="could not be displayed"):
        sheet.compile(format="pdf", sys_inputs={"data": json.dumps(["中"])}, pdf_standards=STANDARDS, timestamp=0)


def test_what_misleads_goes_and_what_lacks_is_seen() -> None:
    assert plain("pay \u202e001$\u202c now\x07") == "pay 001$ now"
    assert plain("中文 log") == f"{NOT_SHOWN}{NOT_SHOWN} log"
    assert plain(" a \t b\n") == "a b"
    assert plain("12345", 4) == "123…"
    assert paragraphs("one\r\n\r\n two") == ["one", "two"]


@given(st.text(max_size=400))
def test_nothing_unsettable_comes_through(text: str) -> None:
    made = plain(text)
    assert all(shown(c) or c == SOFT for c in made)
    assert plain(made.replace(SOFT, "")) == made
    assert max((len(run) for word in made.split(" ") for run in word.split(SOFT)), default=0) <= 24

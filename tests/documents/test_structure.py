"""What PDF/A-2b and PDF/UA-1 ask of the files, read without our own program: poppler, and the bytes unpacked by zlib.

Sources: ISO 19005-2 (6.2.11.4 fonts embedded, 6.6.4 identification in XMP); ISO 14289-1 (5 identification, 7.1 marked,
title shown, 7.2 language, 7.3 alternative texts, 7.5 table headers, 7.4.2 headings begin at the first level).
"""

from __future__ import annotations

import re
import zlib
from functools import cache
from typing import Any

import pytest

from handfast.advice.advise import advise
from handfast.advice.result import Advice
from handfast.documents.kinds import KINDS
from handfast.documents.papers import paper_of
from handfast.documents.quotation import quotation
from handfast.documents.work_paper import Options
from handfast.language.names import Names
from handfast.language.phrasebook import Speaker, book_of
from handfast.language.telling import telling
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import names_on

CALLS = ("3-nothing-spare-little-money", "4-long-wet-logs")
EVERY = [*KINDS, "quotation"]
TABLES = ("pick-list", "purchase-order", "parts-order", "receiving", "hand-over", "hose-order", "install-sheet")


@cache
def asked(name: str) -> tuple[Inquiry, Advice]:
    given = demo_inquiries()[name]
    return given, advise(given, demo_shelf())


@cache
def press(name: str, kind: str, language: str) -> bytes:
    given, advice = asked(name)
    one, book = advice.outfits[0], book_of("es")
    assert book is not None
    speaker = Speaker(book, Names(names_on(demo_shelf()))) if language == "es" else str
    with telling(language, speaker):
        if kind == "quotation":
            return quotation(advice, one.id, number="1", made="2026-03-04", valid_until="2026-04-04")
        paper = "a4" if language == "es" else "us-letter"
        return paper_of(kind, advice, one.id, given, demo_shelf(), Options(paper, made="2026-03-04", number="0417"))


def unpacked(pdf: bytes) -> str:
    """The bytes with every packed stream unpacked."""
    whole = [pdf]
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.S):
        try:
            whole.append(zlib.decompress(found[1]))
        except zlib.error:
            continue
    return b"\n".join(whole).decode("latin-1")


cases = pytest.mark.parametrize(
    ("name", "kind", "language"), [(n, k, s) for n in CALLS for k in EVERY for s in ("en", "es")]
)


@cases
def test_catalogue_and_identification(name: str, kind: str, language: str) -> None:
    text = unpacked(press(name, kind, language))
    assert re.search(r"/MarkInfo\s*<<[^>]*/Marked true", text)
    assert "/StructTreeRoot" in text
    assert re.search(rf"/Lang\s*\({language}-US\)", text)
    assert re.search(r"/ViewerPreferences\s*<<[^>]*/DisplayDocTitle true", text)
    assert re.search(r"pdfaid:part(>|=\")2", text) and re.search(r"pdfaid:conformance(>|=\")B", text)
    assert re.search(r"pdfuaid:part(>|=\")1", text)
    assert re.search(r"<dc:title>.*?\S.*?</dc:title>", text, re.S)
    assert "/Encrypt" not in text and "/JavaScript" not in text
    assert "/OutputIntent" in text


@cases
def test_tags_alternatives_and_headers(words: Any, name: str, kind: str, language: str) -> None:
    tree = words(press(name, kind, language), "pdfinfo", "-enc", "UTF-8", "-struct-text")
    lines = [line.strip() for line in tree.splitlines() if line.strip()]
    heads = [line[:2] for line in lines if re.match(r"H\d\b", line)]
    assert heads and heads[0] == "H1"
    figures, alternatives = len(re.findall(r"^Figure\b", "\n".join(lines), re.M)), unpacked(press(name, kind, language))
    assert len(re.findall(r"/S ?/Figure\b", alternatives)) == figures
    for one in re.finditer(r"<<(?:(?!>>\s*endobj).)*?/S ?/Figure\b.*?endobj", alternatives, re.S):
        assert re.search(r"/Alt\s*[(<]", one[0])
    if kind in TABLES and "\nTable" in "\n".join(lines):
        assert any(line.startswith("TH") for line in lines)


@cases
def test_every_letter_is_in_the_file(words: Any, name: str, kind: str, language: str) -> None:
    """`pdffonts`: embedded, subset, with a map to Unicode."""
    rows = words(press(name, kind, language), "pdffonts").splitlines()[2:]
    assert rows
    for row in rows:
        assert re.search(r"\byes yes yes\b", row), row


def headers(words: Any, kind: str) -> list[str]:
    """The words of every table header."""
    tree = words(press(CALLS[1], kind, "en"), "pdfinfo", "-enc", "UTF-8", "-struct-text")
    found = re.split(r"^\s*TH\b.*$", tree, flags=re.M)[1:]
    return ["".join(re.findall(r'"(.*)"', re.split(r"^\s*(?:TD|TR|TBody)\b", part, flags=re.M)[0])) for part in found]


@pytest.mark.parametrize("kind", TABLES)
def test_no_header_is_empty(words: Any, kind: str) -> None:
    found = headers(words, kind)
    if kind != "purchase-order":
        assert found
    assert all(one.strip() for one in found), found

"""Every page, paper and terminal text of the demonstration in the second language, and nothing else changed.

Complete means: each text with words in it is in the phrase book, or is a name or words of the demonstration's records.
"""

from __future__ import annotations

import re
from collections import Counter

import crawl
from click.testing import CliRunner

from handfast.advice.advise import advise
from handfast.cli.main import main
from handfast.documents.quotation import quotation
from handfast.drawings.letters import CUT
from handfast.language.figures import figures_of
from handfast.language.markup import texts_of, translate_markup
from handfast.language.patterns import kind_of
from handfast.language.phrase_file import SLOT
from handfast.language.telling import telling
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.quantities.tables import DATA, table

TOLD_COLUMNS = {
    "cautions.csv": ("text",),
    "circuit_rules.csv": ("sentence", "remedy"),
    "comeback_checks.csv": ("look", "found", "cure"),
    "comeback_payers.csv": ("why",),
    "glossary.csv": ("term", "group", "says"),
    "install_steps.csv": ("step", "note"),
    "measurements.csv": ("title", "how"),
    "order_questions.csv": ("question", "how"),
    "paper_points.csv": ("words", "note"),
    "power_routes.csv": ("title", "control", "note"),
    "questions.csv": ("question", "answers", "how"),
    "record_words.csv": ("label", "group", "hint"),
    "route_parts.csv": ("name", "from_port", "to_port"),
    "work_answers.csv": ("note",),
}
SAID_BACK = ("Found ", "Inquiry ", "Tables: ", "Write ", "between commas")


def test_every_page_is_told(told_pages, spanish, is_own) -> None:
    lost = Counter[str]()
    for address, page in told_pages:
        for text in texts_of(page):
            lost.update(f"{one} @ {address}" for one in spanish.read(text).missing if not is_own(one))
    assert not lost, "\n".join(one for one, _ in lost.most_common(60))


def test_figures_stay(told_pages, spanish) -> None:
    for address, page in told_pages:
        for text in set(texts_of(page)):
            assert sorted(figures_of(spanish(text))) == sorted(figures_of(text)), (address, text, spanish(text))


def test_telling_twice_changes_nothing(told_pages, spanish) -> None:
    """Texts that say back what somebody wrote are left out: their words are nobody's to tell."""
    texts = {text for _, page in told_pages for text in texts_of(page)}
    texts = {text for text in texts if not spanish.read(text).missing and not text.strip().startswith(SAID_BACK)}
    changed = [(text, once, spanish(once)) for text in texts if spanish(once := spanish(text)) != once]
    assert not changed, changed[:20]


def test_the_markup_around_stays(told_pages, spanish) -> None:
    for address, page in told_pages[:40]:
        told = translate_markup(page, spanish, "es")
        assert 'lang="es"' in told or "<html" not in page, address
        assert told.count("<") == page.count("<")


def test_every_paper_is_told(spanish, is_own) -> None:
    texts = crawl.paper_texts()
    assert len(texts) > 1500
    lost = Counter(one for text in texts for one in spanish.read(text).missing if not is_own(one) and CUT not in text)
    assert not lost, lost.most_common(60)
    for text in texts:
        assert sorted(figures_of(spanish(text))) == sorted(figures_of(text)), (text, spanish(text))


def test_a_paper_names_its_language(spanish) -> None:
    """/Lang of the document's catalogue is what a reader of PDF/UA speaks by (ISO 14289-1, 7.2)."""
    advice = advise(next(iter(demo_inquiries().values())), demo_shelf())
    one = advice.outfits[0]
    with telling("es", spanish):
        paper = quotation(advice, one.id, number="1", made="2026-03-04")
    assert re.search(rb"/Lang\s*\(es", paper)
    assert re.search(rb"/Lang\s*\(en", quotation(advice, one.id, number="1", made="2026-03-04"))


def test_every_line_of_the_terminal_is_told(spanish, is_own, tmp_path) -> None:
    texts = crawl.terminal_texts(tmp_path)
    assert len(texts) > 1000
    lost = Counter(one for text in texts for one in spanish.read(text).missing if not is_own(one))
    assert not lost, lost.most_common(60)
    for text in texts:
        assert sorted(figures_of(spanish(text))) == sorted(figures_of(text)), (text, spanish(text))


def test_the_terminal_speaks_spanish(tmp_path) -> None:
    words = ["--language", "es", "advise", str(DATA / "demo" / "inquiries" / "1-heavy-grapple-on-line.toml")]
    told = CliRunner().invoke(main, words, env={"HANDFAST_HOME": str(tmp_path)})
    assert told.exit_code == 0 and "Conjuntos, el mejor primero" in told.output and "Outfits" not in told.output
    again = CliRunner().invoke(main, words[2:], env={"HANDFAST_HOME": str(tmp_path)})
    assert "Outfits, the best first" in again.output


def test_the_tables_sentences_are_told(spanish) -> None:
    """What the demonstration does not happen to say stands in the tables: cautions, steps, questions, remedies."""
    lost = []
    for name, columns in TOLD_COLUMNS.items():
        for row in table(name):
            for column in columns:
                for text in row[column].split("|"):
                    lost += [(name, one) for one in spanish.read(SLOT.sub("12 lb", text)).missing]
    assert not lost, lost[:40]


def test_no_text_has_two_readings(told_pages, spanish) -> None:
    """Of the phrases with slots that a text fits wholly, those with as many fixed letters say the same."""
    book = spanish.book
    for text in {" ".join(text.split()) for _, page in told_pages for text in texts_of(page)}:
        hidden, _ = spanish.names.hide(text)
        said: dict[int, set[str]] = {}
        for pattern in book.index.near(hidden):
            slots = pattern.slots(hidden)
            if slots is None or any(book.read(one).missing for one in slots.values()):
                continue
            filled = {
                name: one if kind_of(name) not in ("", "q") else book.read(one).text for name, one in slots.items()
            }
            said.setdefault(pattern.weight, set()).add(pattern.said(filled))
        assert all(len(one) == 1 for one in said.values()), (text, said)

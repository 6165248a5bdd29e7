"""Every page, paper and terminal text of the demonstration in the second language, and nothing else changed.

Complete means: each text with words in it is in the phrase book, or is a name or words of the demonstration's records.
"""

from __future__ import annotations

from handfast.language.figures import figures_of
from handfast.language.markup import texts_of, translate_markup

SAID_BACK = ("Found ", "Inquiry ", "Tables: ")


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

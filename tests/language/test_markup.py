"""Translating markup: the same elements, only what is read is told; held against the standard library's parser."""

from __future__ import annotations

from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from handfast.language.markup import translate_markup


class Reader(HTMLParser):
    """Elements with their attributes, and what stands between them, as the standard library reads them."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.shape: list[tuple[str, ...]] = []
        self.texts: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.shape.append(("<", tag, *sorted(name for name, _ in attrs)))
        self.texts += [value or "" for _, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        self.shape.append((">", tag))

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def told(page: str) -> str:
    return translate_markup(page, str.upper, "xx")


def test_what_is_read_is_told() -> None:
    page = '<html lang="en"><p title="a title" class="some class">some text &amp; more<img alt="words" src="x y"></p>'
    assert told(page) == (
        '<html lang="xx"><p title="A TITLE" class="some class">SOME TEXT &amp; MORE<img alt="WORDS" src="x y"></p>'
    )


def test_what_people_wrote_stays() -> None:
    for page in (
        "<bdi>own words</bdi>",
        '<blockquote class="it said" dir="auto">own words</blockquote>',
        "<textarea>own words</textarea>",
        "<bdi>own <b>words</b> and <i>more</i></bdi>",
        '<p translate="no">own <b>words</b></p>',
        '<input value="own words">',
        "<script>var words</script>",
        "<style>p {color: red}</style>",
        "<!-- some words -->",
        "<!doctype html>",
    ):
        assert told(page) == page
    assert told("<bdi>own</bdi> told <bdi>own</bdi>") == "<bdi>own</bdi> TOLD <bdi>own</bdi>"


def test_an_option_sends_what_it_sent() -> None:
    assert told("<option>one way</option>") == '<option value="one way">ONE WAY</option>'
    assert told('<option value="1">one way</option>') == '<option value="1">ONE WAY</option>'


def test_a_sentence_on_several_lines_is_told_as_one() -> None:
    lines = "<text>one two\u200b</text><text>three</text><text>apart</text>"
    assert translate_markup(lines, lambda text: f"[{text}]" if "two" in text else text, "xx") == (
        "<text>[one two</text><text>three]</text><text>apart</text>"
    )
    rims = "<text>one\u200b</text><text>one\u200b</text><text>two</text><text>two</text>"
    assert told(rims) == "<text>ONE</text><text>ONE</text><text>TWO</text><text>TWO</text>"


WORDS = st.sampled_from(["some words", "a < b", "x & y", "“said”", "12 lb", "", "a > b", "it's"])
NAME = st.sampled_from(["p", "b", "bdi", "textarea", "text", "title", "option", "span"])


def escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")


ELEMENTS = st.recursive(
    WORDS.map(escaped),
    lambda inside: st.builds(
        lambda name, title, parts: f'<{name} title="{escaped(title)}" data-x="a > b">{"".join(parts)}</{name}>',
        NAME.filter(lambda name: name not in ("textarea", "title")),
        WORDS,
        st.lists(inside, max_size=3),
    ),
    max_leaves=12,
)


@given(ELEMENTS)
def test_the_standard_parser_reads_the_same_page(page: str) -> None:
    before, after = Reader(page), Reader(translate_markup(page, lambda text: text + "!", "xx"))
    bare = [tuple(part for part in one if part != "value") for one in after.shape]
    assert bare == [tuple(part for part in one if part != "value") for one in before.shape]


@given(ELEMENTS)
def test_saying_the_same_changes_nothing(page: str) -> None:
    assert translate_markup(page, lambda text: text, "en") == page

"""Whatever is pasted: nothing falls over, and every fact says its own words."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handfast.machines.reading import demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.mail.amounts import amounts
from handfast.mail.cleaning import joined, own_words, plain
from handfast.mail.read import MOST, TooLongError, read_mail
from handfast.quantities.reading import QuantityError, read_quantity

SHELF = demo_shelf()
PIECES = st.sampled_from(
    [
        *(
            "I have a ",
            "my neighbour has ",
            "no ",
            "not ",
            "if I had ",
            "is it ",
            "? ",
            ". ",
            ", ",
            "\n",
            "> ",
            " and ",
            " but ",
        ),
        *(
            "Thimble 24 ",
            "Satchl 33",
            "24 hp",
            "14 in",
            "5'6\"",
            "8 ft ",
            "1/2 ",
            "twenty-one ninety",
            "1.250 kg",
            "$2,600 ",
            "30 %",
        ),
        *(
            "oak ",
            "logs ",
            "round bales ",
            "third function",
            "two rear remotes",
            "pins ",
            "tires ",
            "calcium ",
            "gate ",
            "box blade ",
        ),
        *(
            "on the back ",
            "weighs ",
            "lifts ",
            "at the pins ",
            "\x00",
            "\ud800",
            "İ",
            "½",
            "(",
            ")",
            "4x5 ",
            "by ",
            "x ",
            "16.9-30 ",
        ),
        *(
            "Thanks,\n",
            "On Monday Jo wrote:\n",
            "--\n",
            "Q1 [site.gate]: 9 ft\n",
            "online for ",
            "555-0142 ",
            "0/0 ",
            "9" * 40,
        ),
    ]
)
LETTERS = st.lists(st.one_of(PIECES, st.text(max_size=12)), max_size=40).map("".join)


def check(text: str) -> None:
    reading = read_mail(text, SHELF)
    assert reading.text == text
    for one in reading.facts:
        assert 0 <= one.start < one.end <= len(text)
        assert text[one.start : one.end].strip()
        assert one.why and one.place
    starts = [one.start for one in reading.facts]
    assert starts == sorted(starts)


@settings(max_examples=250, deadline=None)
@given(LETTERS)
def test_any_letter_is_read(text: str) -> None:
    check(text)


@settings(max_examples=250, deadline=None)
@given(st.text(max_size=300))
def test_making_plain_moves_no_character(text: str) -> None:
    assert len(plain(text)) == len(text)
    assert len(own_words(plain(text))) == len(text) == len(joined(own_words(plain(text))))


@settings(max_examples=200, deadline=None)
@given(LETTERS)
def test_every_amount_is_read_by_the_record_or_is_a_bare_number(text: str) -> None:
    for one in amounts(plain(text)):
        assert 0 <= one.start < one.end <= len(text)
        if one.dimension not in ("count", "money", "hours"):
            try:
                read_quantity(one.entry, one.dimension)
            except QuantityError as error:
                assert "upright" in error.expected or "finite" in error.expected


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.sampled_from(["I have a Thimble 24.", "Gate is 9 ft.", "Oak logs 14 in thick.", "No remotes."]),
        min_size=1,
        max_size=4,
        unique=True,
    )
)
def test_what_is_quoted_says_nothing(lines: list[str]) -> None:
    assert read_mail("ok then\n\nOn Monday Jo wrote:\n" + "\n".join(f"> {line}" for line in lines), SHELF).facts == ()


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["my neighbour has", "my brother runs", "I used to have", "if I had", "I sold", "my buddy bought"]),
    st.sampled_from(
        ["a 24 hp tractor with two rear remotes", "a Thimble 24 with a third function", "a 52 hp tractor with pins"]
    ),
)
def test_what_is_not_the_writers_is_no_fact(whose: str, what: str) -> None:
    assert read_mail(f"{whose} {what}.", SHELF).facts == ()


def test_too_long_is_refused_with_the_reason() -> None:
    with pytest.raises(TooLongError, match="at most 15,000"):
        read_mail("a" * (MOST + 1), SHELF)


SLOW = [
    "a" * MOST,
    "twenty " * (MOST // 7),
    "1" * MOST,
    "- " * (MOST // 2),
    "oak logs 12 in, " * (MOST // 16),
    "the " * (MOST // 4),
    "\n" * MOST,
    "(" * MOST,
    "1 x 2 x " * (MOST // 8),
    "my friend has " * (MOST // 14),
    "A" * MOST,
    "Bo Li " * (MOST // 6),
]


@pytest.mark.parametrize("text", SLOW, ids=lambda text: text[:12].strip() or "breaks")
def test_the_longest_letters_are_read(text: str) -> None:
    check(text)


def test_a_tractor_without_a_maker_spoils_no_letter() -> None:
    shelf = Shelf(machines={"t": Machine(id="t", model="Thimble 24", maker="")})
    found = read_mail("I run a Thimble 24 on the hill.", shelf).facts
    assert [one.entry for one in found if one.place == "machine.record"] == ["t"]


@pytest.mark.parametrize("word", ["rear ", "back tires ", "third function ", "nothing ", " ", "\n", "pairs of "])
def test_a_letter_of_one_word_is_read_to_its_end(word: str) -> None:
    """Rules that would go back and forth over such a run for ever never end."""
    assert read_mail(word * (MOST // len(word)), SHELF).text

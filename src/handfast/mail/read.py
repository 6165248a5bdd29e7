"""A letter read: every fact that its writer states, with the characters that say it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from handfast.machines.shelf import Shelf
from handfast.mail.corrections import corrected, last_said
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.likeness import alike
from handfast.mail.rules_behind import behind
from handfast.mail.rules_caller import caller
from handfast.mail.rules_ends import both_ends
from handfast.mail.rules_ground import level
from handfast.mail.rules_lists import lists
from handfast.mail.rules_machine import lengths, masses, oil, powers
from handfast.mail.rules_names import attachments, models, strange_tractors, tractors
from handfast.mail.rules_outlets import outlets
from handfast.mail.rules_scale import scale
from handfast.mail.rules_seen import seen
from handfast.mail.rules_site import site, wishes
from handfast.mail.rules_words import words
from handfast.mail.rules_work import work

MOST = 15_000  # characters of one letter; what is longer is no letter


class TooLongError(ValueError):
    """A text that is too long for a letter."""


@dataclass(frozen=True)
class Reading:
    """A letter and the facts found in it, in the order in which the text says them."""

    text: str
    facts: tuple[Found, ...]

    @property
    def places(self) -> set[str]:
        """Every place that is told."""
        return {one.place for one in self.facts}


def read_mail(text: str, shelf: Shelf, subject: str = "") -> Reading:
    """Read a letter by rules.

    Args:
        text: the letter as it was pasted.
        shelf: whose tractors, attachments and towns are known by name.
        subject: its subject, where it came apart from the text; read as its first line.

    Returns:
        The reading; its text is the subject, a line break and the letter where a subject was given.

    Raises:
        TooLongError: more characters than a letter has.

    >>> [(one.place, one.entry) for one in read_mail("24 horse, no remotes.", Shelf()).facts]
    [('machine.engine_power', '24 hp'), ('machine.rear_remotes', 0)]
    """
    whole = f"{subject}\n{text}" if subject else text
    if len(whole) > MOST:
        raise TooLongError(f"{len(whole):,} characters; a letter has at most {MOST:,}. Paste the part that matters.")
    words_of = sorted({word for word, _ in models(shelf)})
    letter = Letter(whole, tuple(words_of))
    told = _apart(_all(letter, shelf))
    kept = _once(corrected(letter, [*told, *alike(letter, told)]), letter)
    return Reading(whole, tuple(sorted(kept, key=lambda one: (one.start, one.place))))


def _all(letter: Letter, shelf: Shelf) -> Iterator[Found]:
    rules: tuple[Iterable[Found | None], ...] = (
        caller(letter, shelf),
        lists(letter),
        tractors(letter, shelf),
        attachments(letter, shelf),
        strange_tractors(letter, shelf),
        powers(letter),
        oil(letter),
        words(letter),
        both_ends(letter),
        outlets(letter),
        tyre_sizes(letter),
        seen(letter),
        behind(letter),
        lengths(letter),
        wishes(letter),
        scale(letter),
        masses(letter),
        site(letter),
        level(letter),
        work(letter),
    )
    for rule in rules:
        yield from (one for one in rule if one is not None)


def _apart(found: Iterable[Found]) -> list[Found]:
    """No two facts from the same figure: the rule that knew it first keeps it."""
    kept: list[Found] = []
    for one in found:
        figure = any(character.isdigit() for character in str(one.entry)) and not one.place.endswith(".kind")
        crossed = [
            other for other in kept if other.start < one.end and one.start < other.end and _same_figure(other, one)
        ]
        if figure and crossed:
            continue
        kept.append(one)
    return kept


def _same_figure(one: Found, other: Found) -> bool:
    if one.place == other.place:
        return True
    if one.why == other.why and (one.start, one.end) == (other.start, other.end):
        return False  # one saying that makes two facts
    return _is_figure(one) and _is_figure(other)


def _is_figure(one: Found) -> bool:
    return (
        (isinstance(one.value, int | float) and not isinstance(one.value, bool))
        or one.place in ("machine.record", "machine.name", "attachment[0].record", "caller.number")
        or one.place.endswith("tyre.size")
    )


def _once(found: list[Found], letter: Letter) -> list[Found]:
    """The same said twice is one fact; two values for one place are a conflict, both shown, neither sure."""
    by_place: dict[str, list[Found]] = {}
    for one in found:
        said = by_place.setdefault(one.place, [])
        if not any(_same(one, other) for other in said):
            said.append(one)
    kept = []
    for said in by_place.values():
        said = last_said(letter, _without_a_record(said, by_place))
        kept += [replace(one, conflict=True, sure=False) for one in said] if len(said) > 1 else said
    return kept


def _without_a_record(said: list[Found], by_place: dict[str, list[Found]]) -> list[Found]:
    """A tractor that is on the shelf needs no name; pins beat a quick attach that the same writer calls it."""
    if said[0].place == "machine.name" and "machine.record" in by_place:
        return []
    if said[0].place == "machine.quick_attach" and any(one.value == "universal_plate_narrow" for one in said):
        return [one for one in said if one.value != "universal_plate"]
    if (
        said[0].place == "machine.tyre_fill"
        and any(one.value == "none" for one in said)
        and "machine.tyre_fill.fluid" in by_place
    ):
        return [one for one in said if one.value != "none"]
    return said


def _same(one: Found, other: Found) -> bool:
    if isinstance(one.value, float | int) and isinstance(other.value, float | int) and not isinstance(one.value, bool):
        return abs(one.value - other.value) <= 0.02 * max(abs(one.value), abs(other.value))
    return one.value == other.value


_SIZE = re.compile(
    r"(?<![\w.$/-])(?:\d{1,2}(?:\.\d{1,2})?[l]?[ ]?x[ ]?\d{1,2}(?:\.\d{1,2})?[ ]?-[ ]?\d{2}(?:\.\d)?|\d{1,2}(?:\.\d{1,2})?l?[ ]?(?:-|r)[ ]?\d{2}(?:\.\d)?|\d{3}/\d{2} ?[r-] ?\d{2})(?![\w/]|\.\d|-\d)"
)


def tyre_sizes(letter: Letter) -> Iterator[Found]:
    """Tyre sizes, front or rear by the word beside them."""
    for match in _SIZE.finditer(letter.low):
        start, end = letter.sentence(match.start())
        before, after = (
            letter.low[max(start, match.start() - 44) : match.start()],
            letter.low[match.end() : min(end, match.end() + 24)],
        )
        near = letter.low[max(start, match.start() - 70) : min(end, match.end() + 40)]
        if not re.search(
            r"\b(?:tires?|tyres?|tiers|rears?|fronts?|r1|r4|ags?|turfs?|rubber|size)\b", near
        ) or not letter.own(match.start()):
            continue
        if re.match(r" ?(?:in\b|inch|\"|ft|foot|'|lb|hp|gpm|psi|hours|%|deg|years|min)", after):
            continue
        sides = list(re.finditer(r"\b(?P<side>rear|back|front)s?\b", before))
        said = re.match(
            r"[ ]*(?:s |r\d |ags? |turfs? |industrials? )?(?:tires? )?(?:on|in|at|for)?[ ]?(?:the )?(?P<side>rear|back|front)s?\b",
            after,
        )
        side = said["side"] if said and not sides else sides[-1]["side"] if sides else said["side"] if said else ""
        if (
            said
            and sides
            and letter.low[match.end() : match.end() + 12].lstrip().startswith(("on ", "in ", "front", "rear", "back"))
            and "," not in after[: said.end()]
        ):
            side = said["side"]
        if side:
            end_ = "front" if side == "front" else "rear"
            size = letter.raw[match.start() : match.end()].replace(" ", "")
            yield letter.fact(
                f"machine.{end_}_tyre.size",
                size,
                match.start(),
                match.end(),
                f"a size beside the word for the {end_} tyres",
            )

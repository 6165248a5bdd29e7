"""Second thoughts within a letter: "12 inch. No wait, 15": only what was said last counts."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity

_CORRECTS = re.compile(
    r"\b(?:no,? wait|wait,? no|wait|sorry|scratch that|strike that|correction|make that|make it|i mean(?:t)?|oops|whoops|my mistake|my bad|i misspoke|excuse me|pardon|er+,|uh,|no,? (?:that's|it's|i|make|actually|sorry|more like)|actually,? (?:it's|they're|no|that's|i measured|make)|let me correct|that's wrong|i lied|should (?:be|have been|say)|rather,|on second thought|it's more like|they're more like|more like|turns out (?:it's|they're)|i take that back|wrong,)"
)


_BEFORE = re.compile(
    r"\b(?:i(?: had|'d)? (?:said|told you|wrote|put)|instead of|rather than|not|used to)(?: you)?(?: it was)? ?(?:about )?$"
)
COUNT_MOST = 6  # outlets and lids are no more


def corrected(letter: Letter, found: list[Found]) -> list[Found]:
    """The facts with each corrected amount in the place of the one that it corrects."""
    pairs = list(_pairs(letter))
    if not pairs:
        return found
    gone = {one.start for one, _ in pairs}
    later = {one.start: other for one, other in pairs}
    kept: list[Found] = []
    for fact in found:
        old = next((one for one, _ in pairs if fact.start <= one.number < fact.end), None)
        if old is None or old.start not in gone or isinstance(fact.value, str | bool):
            kept.append(fact)
            continue
        new = later[old.start]
        if isinstance(fact.value, int) and (new.dimension != "count" or new.low > COUNT_MOST):
            kept.append(fact)  # what has a unit corrects no count
            continue
        if not any(each.place == fact.place and each.start <= new.number < each.end for each in found):
            made = _again(letter, fact, new)
            kept += [made] if made is not None else []
    return kept


def _again(letter: Letter, fact: Found, new: Amount) -> Found | None:
    try:
        return quantity(letter, fact.place, new, fact.why + ", as corrected")
    except KeyError:
        return replace(fact, value=int(new.low), entry=int(new.low), start=new.start, end=new.end)


def _pairs(letter: Letter) -> Iterator[tuple[Amount, Amount]]:
    """An amount and the one that corrects it: next of its kind, with words of second thoughts between."""
    amounts = letter.amounts
    for at, one in enumerate(amounts):
        for other in amounts[at + 1 : at + 3]:
            between = letter.low[one.end : other.start]
            if len(between) > 90:
                break
            same = other.dimension == one.dimension or (one.dimension == "count" and other.dimension != "count")
            if (
                other.dimension == "count"
                and one.dimension in ("length", "mass")
                and re.match(r"[ ]*(?:[.,;!\n]|$)", letter.low[other.end : other.end + 3])
            ):
                other, same = replace(other, dimension=one.dimension, unit=one.unit), True
            if same and between.count("\n\n") == 0 and _CORRECTS.search(between) and not _BEFORE.search(between):
                yield one, other
                break


def last_said(letter: Letter, said: list[Found]) -> list[Found]:
    """Of several values for one place the last, where words of second thoughts stand between them."""
    said = sorted(said, key=lambda one: one.start)
    for at in range(len(said) - 1, 0, -1):
        between = letter.low[said[at - 1].end : said[at].start]
        if len(between) < 90 and _CORRECTS.search(between):
            return said[at:]
    return said

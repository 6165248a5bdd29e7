"""The whole answer as a page of text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from handfast.advice.best_of import best_of
from handfast.advice.result import Advice, OutfitAdvice, Question
from handfast.advice.say import limited
from handfast.cli.measured_page import measured_lines
from handfast.cli.page import about_load, band, behind, heading, labelled, paragraph, price, tally, total, width
from handfast.language.telling import tell

CHANGED = 3  # outfits of which is said what would have to change
SHOWN = 8  # outfits in full, and what was seen elsewhere; --all shows every one


def advice_page(advice: Advice, units: str, everything: bool = False) -> str:
    """Ranked outfits, what to ask, what can be said, what must not be promised."""
    return "\n".join(_lines(advice, units, everything)) + "\n"


def _lines(advice: Advice, units: str, everything: bool) -> Iterator[str]:
    yield advice.title or tell("An inquiry")
    yield from paragraph(advice.machine)
    shown = [one for at, one in enumerate(advice.outfits) if everything or at < SHOWN or one.seen_elsewhere]
    yield from heading("Outfits, the best first")
    if not shown:
        yield from paragraph("Nothing on the shelf comes into question; the reasons are below.")
    for outfit in shown:
        yield from _outfit(outfit, advice.currency, units)
    if len(advice.outfits) > len(shown):
        yield from paragraph(f"and {len(advice.outfits) - len(shown)} more: --all shows them.")
    bests = best_of(advice, units)
    if len(advice.outfits) > 1 and bests:
        yield from heading("What each is best at")
        for one in bests:
            yield from paragraph(f"{one.text} [{one.outfit}]", "    ", "  - ")
    yield from _talk(advice)
    if advice.measured is not None:
        yield from measured_lines(advice, advice.measured, units)
    yield from _rejected(advice, everything)
    yield ""
    yield from paragraph(f"Seed {advice.seed}, {advice.samples} samples. --outfit ID shows one in depth.", "")


def _outfit(outfit: OutfitAdvice, currency: str, units: str) -> Iterator[str]:
    marks = [outfit.verdict]
    if outfit.verdict != "does not fit":
        marks.append(tally(outfit.held))
    if outfit.best_at:
        marks.append(outfit.best_at)
    if outfit.seen_elsewhere:
        marks.append("seen elsewhere")
    yield ""
    yield from paragraph(f"{outfit.rank:2}  {outfit.title}: {', '.join(marks)}", "    ", "")
    yield from paragraph(outfit.verdict_text, "    ")
    for condition in outfit.conditions[1:]:
        yield from paragraph(f"and if {condition.text}", "      ", "    ")
    cost = outfit.cost
    most, where = limited(outfit), "at the height asked" if outfit.payload.lift_to else "at full height"
    lifts = f"{band(most, 'kg', units)} {where}"
    if most is not None and most.p50 <= 0.0:
        lifts = f"nothing {where}: it alone is too heavy there"
    yield from labelled(
        [
            ("lifts", "; ".join(part for part in (lifts, about_load(outfit.load_text)) if part)),
            ("fitted", total(cost)),
            ("behind", behind(outfit.ballast, units)),
            ("id", outfit.id),
        ],
        indent="    ",
    )


def _talk(advice: Advice) -> Iterator[str]:
    if advice.ask_next:
        yield from heading("Ask next")
        for number, question in enumerate(advice.ask_next, 1):
            yield from paragraph(f"{number}. {question.question}", "     ", "  ")
            yield from paragraph(_why(question, advice.currency), "     ")
    if advice.enough:
        if not advice.ask_next:
            yield from heading("Ask next")
        yield from paragraph(advice.enough)
    if advice.say_now:
        yield from heading("You can say now")
        yield from paragraph(advice.say_now)
    for title, texts in (
        ("Don't promise yet", advice.do_not_promise),
        ("Cautions", advice.cautions),
        ("Notes", advice.notes),
    ):
        if texts:
            yield from heading(title)
            for text in texts:
                yield from paragraph(text, "    ", "  - ")
    yield from _changes(advice)


def _why(question: Question, currency: str) -> str:
    """Why it is asked; the money only where there is any and the words don't name it."""
    worth = price(question.worth, currency)
    said = question.why[:1].upper() + question.why[1:]
    return said if question.worth < 1.0 or worth in said else f"{said}; worth about {worth}"


def _changes(advice: Advice) -> Iterator[str]:
    """What would make the first few hold that do not; several at once are needed together."""
    names = {outfit.id: outfit.title for outfit in advice.outfits}
    by_outfit: dict[str, list[str]] = {}
    for change in advice.one_change:
        by_outfit.setdefault(change.outfit, []).append(f"{change.change} ({change.check})")
    if by_outfit:
        yield from heading("What would have to change")
    for outfit, said in list(by_outfit.items())[:CHANGED]:
        yield from paragraph(f"{names.get(outfit, outfit)}: {', and '.join(said)}", "    ", "  - ")


def _rejected(advice: Advice, everything: bool) -> Iterator[str]:
    if not advice.rejected:
        return
    yield from heading(f"Does not come into question: {len(advice.rejected)}")
    if everything:
        for one in advice.rejected:
            yield from paragraph(f"{one.title}: {one.why}", "    ", "  - ")
        return
    for why, count in Counter(one.why for one in advice.rejected).most_common(5):
        yield from paragraph(tell(why)[: 2 * width()], "       ", f"  {count:3}  ")

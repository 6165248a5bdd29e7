"""A letter read, at the terminal: one line a fact, with the characters that say it."""

from __future__ import annotations

from handfast.cli.page import heading, paragraph
from handfast.language.telling import tell
from handfast.mail.read import Reading
from handfast.mail.wording import called, said

QUOTED_MOST = 60  # characters of a fact's words in the table


def mail_page(reading: Reading) -> str:
    """The facts as a table of text."""
    lines = [tell(f"{len(reading.facts)} facts found" if len(reading.facts) != 1 else "One fact found")]
    for one in reading.facts:
        words = " ".join(reading.text[one.start : one.end].split())[:QUOTED_MOST]
        lines += heading(f"{called(one.place)}: {said(one)}")
        lines += paragraph(f'{one.place}, characters {one.start} to {one.end}: "{words}"')
        lines += paragraph(f"{'two answers in the letter' if one.conflict else one.certainty}; by {one.why}")
    return "\n".join(lines) + "\n"

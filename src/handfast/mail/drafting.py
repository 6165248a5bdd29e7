"""What is still open, and a reply that asks for it: plain, numbered, short."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.advice.requests import FIRST, MOST, Request, requests_of
from handfast.advice.result import Question
from handfast.mail.found import Found
from handfast.mail.wording import told

LONGEST = 1_200  # characters of a reply


def draft_reply(facts: Sequence[Found], questions: Sequence[Question], dealer: str, units: str = "us") -> str:
    """A reply to a letter: what was understood, then at most three questions with how to find out.

    Args:
        facts: those that are taken.
        questions: what is worth asking, in the order in which it pays.
        dealer: whose name stands below.
        units: "us" or "metric".

    Returns:
        The reply, at most 1,200 characters.

    >>> draft_reply([], [], "The dealer").splitlines()[0]
    'Hello,'
    """
    name = next((str(one.value) for one in facts if one.place == "caller.name"), "")
    asked = requests_of(questions)
    for most in range(min(MOST, len(asked)), -1, -1):
        for how in (True, False):
            text = _reply(name, told(facts, units), asked[:most], how, dealer)
            if len(text) <= LONGEST:
                return text
    return _reply("", "", (), False, dealer)[:LONGEST]


def _reply(name: str, understood: str, asked: Sequence[Request], how: bool, dealer: str) -> str:
    lines = [f"Hello {name}," if name and len(name) < 60 else "Hello,", "", "thank you for writing."]
    if understood:
        lines[-1] += f" This is how I read you: {understood}. Tell me if any of it is wrong."
    lines.append("")
    if asked:
        counted = {1: "One thing I still need", 2: "Two things I still need", 3: "Three things I still need"}[
            len(asked)
        ]
        lines.append(f'{counted}; "can\'t say" helps as much as any answer. {FIRST if how else ""}'.strip())
        lines += [f"{one.number}. {one.question}{' ' + one.how if how else ''}" for one in asked]
    else:
        lines.append("I have what I need, and will come back to you with what fits and what it costs.")
    return "\n".join([*lines, "", dealer])

"""A supplier's list at the terminal: what it would do, what is asked, what was refused and why."""

from __future__ import annotations

import sys
from pathlib import Path

import click
from click.termui import progressbar

from handfast.cli.given import Refused
from handfast.counter import lists
from handfast.counter.verbs import open_workspace
from handfast.language.telling import tell
from handfast.lists.grid import ListError
from handfast.lists.proposal import Proposal

FAULTS_SHOWN = 40


def bring_in(home: Path, file: Path, supplier: str, answers: tuple[str, ...], take: bool) -> None:
    """Bring a list in, show what it would do, take it where that was said. Raises Refused where it can't be read."""
    workspace = open_workspace(home)
    try:
        number = lists.bring_list(workspace, file.name, file.read_bytes(), supplier)
        lists.answer_list(workspace, number, dict(_pair(one) for one in answers))
        shown = progressbar(length=100, label=file.name, file=sys.stderr)
        with shown as bar:
            looked = lists.look_at_list(workspace, number, lambda at, whole: bar.update(100 * at // whole - bar.pos))
            bar.update(100 - bar.pos)
        for line in told(looked.proposal):
            click.echo(tell(line))
        if take:
            click.echo(tell(f"List {number}: {lists.take_list(workspace, number)} records put on the shelf."))
        else:
            waits = f"List {number} waits; nothing was put on the shelf. Take it with --take, or at /lists/{number}."
            click.echo(tell(waits))
    except ListError as error:
        raise Refused([str(error)]) from error


def _pair(text: str) -> tuple[str, str]:
    key, mark, choice = text.rpartition("=")
    if not mark or not key:
        raise Refused([f"--answer {text}: expected KEY=CHOICE"])
    return key, choice


def told(proposal: Proposal) -> list[str]:
    """Lines that say what a list would do."""
    counted = proposal.counted()
    lines = [
        f"{counted['add']} new, {counted['change']} changed, {counted['same']} the same, {counted['ask']} waiting, "
        f"{counted['refuse']} refused, {counted['pass']} passed over"
    ]
    lines += [
        f"  asked: {one.words} ({', '.join(one.choices)}): --answer '{one.key}=...'"
        for one in proposal.questions
        if not one.answer
    ]
    lines += [f"  note: {one}" for one in proposal.notes]
    faults = [
        f"  {row.state} {row.id or 'row'}: {'; '.join(map(str, row.why))}" for row in proposal.rows("ask", "refuse")
    ]
    more = [f"  and {len(faults) - FAULTS_SHOWN} more rows"] if len(faults) > FAULTS_SHOWN else []
    return [*lines, *faults[:FAULTS_SHOWN], *more]

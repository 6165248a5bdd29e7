"""The verbs of the API beside inquiries, quotes and the shelf: Reckoning, letters, the whole workspace, health."""

from __future__ import annotations

import tomllib
from functools import partial
from importlib import import_module
from typing import Any

from handfast.counter import moving
from handfast.counter import verbs as counter
from handfast.data.release import TABLES, VERSION
from handfast.machines.faults import Fault, Faults
from handfast.mail.plain import plain_facts
from handfast.mail.read import TooLongError, read_mail
from handfast.reckoning.thread import OPTIONS, reckon_thread
from handfast.web.api_body import FILE, JSON, TOML
from handfast.web.api_models import LetterGiven, ThreadMeasured
from handfast.web.api_verb import Given, Verb
from handfast.web.mail_in import cleaned
from handfast.web.pages_reckoning import CHAPTERS, example, model

ZIP = "application/zip"
LETTER = {
    "text": "Hi, I run a Thimble 24 with the standard loader up at Fallow Ridge. Oak logs, 14 inches thick. No remotes."
}
THREAD = {"od": "20.7 mm", "pitch": "1.814 mm", "flare": "30"}


def _reckon(chapter: str, given: Given) -> Any:
    assert given.body is not None
    module = import_module(f"handfast.reckoning.{chapter}")
    try:
        with given.desk.reckons:
            return getattr(module, f"reckon_{chapter}")(given.body.toml(), FILE)
    except Faults as error:
        raise given.body.placed(error) from None


def _thread(given: Given) -> Any:
    assert given.body is not None
    try:
        return reckon_thread({name: getattr(given.record, name) for name in OPTIONS})
    except Faults as error:
        named = [Fault(FILE, 0, one.place.removeprefix("--"), one.found, one.expected) for one in error.faults]
        raise given.body.placed(Faults(named)) from None


def _letter(given: Given) -> Any:
    text, subject = cleaned(given.record.text), cleaned(given.record.subject)
    try:
        return {"facts": plain_facts(read_mail(text, counter.shelf(given.workspace), subject))}
    except TooLongError as error:
        found, _, expected = str(error).partition("; ")
        raise Faults([Fault(FILE, 0, "text", found, expected)]) from None


def _export(given: Given) -> Any:
    return counter.export(given.workspace)


def _archive(given: Given) -> Any:
    return moving.pack(given.workspace)


def _health(given: Given) -> Any:
    count = len(counter.inquiries(given.workspace))
    return {"state": "well", "version": VERSION, "tables": TABLES, "inquiries": count}


def verbs() -> list[Verb]:
    """These verbs."""
    whole, letters, reckoning = "The whole workspace", "Letters", "Reckoning"
    return [
        Verb("POST", "/api/letters/read", "read_mail", letters,
             "Reads a letter: its facts, each with the characters that say it.",
             "read", _letter, "FactList", (), LetterGiven, example=LETTER),
        *(Verb("POST", f"/api/reckoning/{chapter}", f"reckon_{chapter}", reckoning,
             says, "read", partial(_reckon, chapter),
               "Reckoned", (), model(chapter), (JSON, TOML), example=tomllib.loads(example(chapter)),
               example_text=example(chapter), reads_itself=True) for chapter, (_, says) in CHAPTERS.items()),
        Verb("POST", "/api/reckoning/thread", "reckon_thread", reckoning,
             "Which thread this is, from caliper and pitch.",
             "read", _thread, "Reckoned", (), ThreadMeasured, example=THREAD),
        Verb("GET", "/api/export", "export", whole,
             "Hands out everything as one JSON document.", "move", _export, "Exported"),
        Verb("GET", "/api/archive", "archive", whole,
             "Hands out one archive that another workspace reads whole.", "move",
             _archive, "", gives=ZIP),
        Verb("GET", "/api/health", "health", whole, "Tells whether the workspace answers.", "read", _health, "Health"),
    ]  # fmt: skip

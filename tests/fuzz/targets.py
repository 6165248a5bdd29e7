"""Every reader of what comes from outside, with the only errors that it may raise."""

from __future__ import annotations

import hashlib
import io
import json
import logging
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from random import Random
from tempfile import mkdtemp
from typing import Any

import grammars
import mutate
import samples

from handfast.counter.moving import pack
from handfast.counter.picture_head import PictureError, head_of
from handfast.counter.verbs import Workspace, fill_demo, open_workspace
from handfast.language.phrase_file import PhraseError, read_phrases
from handfast.language.phrasebook import book_of
from handfast.lists.grid import ListError
from handfast.lists.propose import grids_of, propose
from handfast.machines.attachment import Attachment
from handfast.machines.faults import Faults
from handfast.machines.inquiry import Inquiry, Site, Work
from handfast.machines.loader import Loader
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.reading import demo_shelf, read_data, read_held, read_inquiry, read_model
from handfast.machines.shelf_files import ShelfFile
from handfast.machines.toml_text import text_of
from handfast.machines.tractor import Machine
from handfast.mail.read import TooLongError, read_mail
from handfast.quantities.reading import QuantityError, read_quantity
from handfast.quantities.units import find_unit
from handfast.reckoning.thread import OPTIONS, reckon_thread
from handfast.store.archive import read_archive
from handfast.store.database import StoreError
from handfast.store.photo_rows import PhotoRow
from handfast.web.answers_back import read_answers
from handfast.web.fields import groups
from handfast.web.form import checked, text_of_form
from handfast.web.photo_marks import NAMES, fields_of, sighting_of
from handfast.web.typed import read_line

SHELF = demo_shelf()
MODELS = (Machine, Attachment, Part, Inquiry, PriceBook, Loader, Site, Work)
KEYS = tuple(sorted({name for model in MODELS for name in model.model_fields}))
PLACES = tuple(field.place for group in groups(3) for field in group.fields)
PHOTO = PhotoRow(1, "thimble-24", "a.jpg", "image/jpeg", 1600, 1200, "", "{}", "2026-01-01")
SEATS = ("37 deg", "cone 30", "o-ring port", "flat face", "washer", "none", "37", "thread", "unknown")


@dataclass(frozen=True)
class Target:
    """One reader: what it is given, how it is called, what it may raise, how often it is tried among a million."""

    name: str
    make: Callable[[Random], Any]
    read: Callable[[Any], object]
    errors: tuple[type[Exception], ...]
    share: float


def _quantity(random: Random) -> tuple[object, str, str]:
    dimension = random.choice(grammars.DIMENSIONS)
    given: object = grammars.quantity(random, dimension)
    if random.random() < 0.06:
        keys = ("value", "spread", "low", "likely", "high", "origin", "text")
        given = grammars.plain(random, keys)
    return given, dimension, random.choice(grammars.LOCALES)


def _unit(random: Random) -> tuple[str, str | None]:
    spelling = random.choice(grammars.SPELLINGS)
    return mutate.text(random, spelling, grammars.SPELLINGS, 300), random.choice((None, *grammars.DIMENSIONS))


def _toml_of(samples_of: Callable[[], tuple[str, ...]]) -> Callable[[Random], str]:
    def made(random: Random) -> str:
        if random.random() < 0.3:
            return grammars.toml(random, KEYS)
        return mutate.text(random, random.choice(samples_of()), _words(), 60_000)

    return made


@cache
def _words() -> tuple[str, ...]:
    literals = (
        "= ",
        "[",
        "]",
        "[[",
        "]]",
        "{",
        "}",
        '"',
        "'",
        '"""',
        "'''",
        "#",
        "\n",
        ".",
        ",",
        "true",
        "nan",
        "inf",
        "\\u0000",
    )
    return (*literals, *KEYS, *grammars.SPELLINGS)


@cache
def _records() -> tuple[str, ...]:
    found = []
    for folder in ("machines", "attachments", "parts"):
        for text in samples.records(folder):
            head = next(line for line in text.splitlines() if line.startswith("[["))
            found += [f"{head}\n{one}" for one in text.split(head)[1:]]
    return (*found, samples.DEMO.joinpath("price_book.toml").read_text("utf-8"))


@cache
def _plain_records() -> tuple[tuple[type, dict[str, Any]], ...]:
    import tomllib

    kinds = {"machine": Machine, "attachment": Attachment, "part": Part}
    whole = [tomllib.loads(text) for text in _records()]
    found = [(kinds[kind], one) for each in whole for kind, rows in each.items() if kind in kinds for one in rows]
    return (*found, *((Inquiry, tomllib.loads(text)) for text in samples.inquiries()))


def _json(random: Random) -> tuple[type, str]:
    """A record's body as JSON, its data changed, or its characters."""
    model, data = random.choice(_plain_records())
    text = json.dumps(grammars.changed(random, data, KEYS))
    if random.random() < 0.2:
        text = mutate.text(random, text, _words(), 60_000)
    return model, text


def _read_json(given: tuple[type, str]) -> object:
    try:
        data = json.loads(given[1])
    except (ValueError, RecursionError):
        return None  # what takes a body says so itself
    return read_data(given[0], data) if isinstance(data, dict) else None


def _chapter(random: Random) -> tuple[str, str]:
    chapter, text = random.choice(samples.reckoned())
    return chapter, mutate.text(random, text, (*_words(), *grammars.CALL), 40_000)


def _read_chapter(given: tuple[str, str]) -> object:
    chapter, text = given
    return getattr(import_module(f"handfast.reckoning.{chapter}"), f"reckon_{chapter}")(text, f"{chapter}.toml")


def _call(random: Random) -> str:
    if random.random() < 0.3:
        return f"{random.choice(grammars.CALL).split()[0]} {grammars.quantity(random)}, {grammars.quantity(random)}"
    return grammars.talk(random, grammars.CALL, (", ", "; ", "\n", " "), 9)


def _mail(random: Random) -> str:
    return grammars.talk(random, grammars.MAIL, (" ", " ", ", ", "\n", ". "), 60)


def _replies(random: Random) -> str:
    return grammars.talk(random, grammars.REPLY, ("\n", "\r\n", "; ", "\n> "), 9)


def _form(random: Random) -> tuple[str, dict[str, str]]:
    values = (*grammars.CALL, *KEYS, "yes", "no", "")
    given = {}
    for _ in range(random.randrange(1, 6)):
        value = grammars.quantity(random) if random.random() < 0.6 else random.choice(values)
        given[random.choice(PLACES)] = value
    return random.choice(("", *samples.inquiries())), given


def _read_form(given: tuple[str, dict[str, str]]) -> object:
    return checked(text_of_form(*given, SHELF), SHELF)


def _csv(random: Random) -> bytes:
    given = random.choice(samples.csv_files())
    if random.random() < 0.5:
        return mutate.data(random, given)
    return mutate.text(random, given.decode("latin-1"), (*KEYS, ",", ";", "\t", '"', "\n"), 60_000).encode(
        "utf-8", "replace"
    )


def _book(kind: str) -> Callable[[Random], bytes]:
    given: Callable[[], bytes] = getattr(samples, kind)
    words = (
        "<row",
        "<c r=",
        't="e"',
        "<f>",
        "<v>",
        'hidden="1"',
        'r="XFD1048576"',
        's="99"',
        "&#0;",
        "<!DOCTYPE",
        *mutate.NUMBERS,
    )
    return lambda random: mutate.data(random, given()) if kind == "xls" else mutate.packed(random, given(), words)


class _Loud(logging.Handler):
    """A fault of ours in the process that reads workbooks comes out here too."""

    def emit(self, record: logging.LogRecord) -> None:
        """Raise what is told."""
        raise RuntimeError(record.getMessage())


logging.getLogger("handfast.lists.apart").handlers[:] = [_Loud()]


def _read_list(data: bytes) -> object:
    return propose(grids_of(data, "list"), SHELF, {}, "Wherry")


@cache
def workspace() -> Workspace:
    """An empty workspace that archives are put into, and taken back out of."""
    return open_workspace(Path(mkdtemp(prefix="handfast-fuzz-")))


@cache
def _archive() -> bytes:
    filled = open_workspace(Path(mkdtemp(prefix="handfast-fuzz-")))
    fill_demo(filled)
    return pack(filled)


def _read_archive(data: bytes) -> object:
    with workspace().engine.connect() as connection, connection.begin() as transaction:
        counted = read_archive(connection, data)
        transaction.rollback()
    return counted


def _archived(random: Random) -> bytes:
    if random.random() < 0.6:
        return _signed(random)
    return mutate.packed(
        random, _archive(), ('"rows"', '"sha256"', '"name"', '"format"', "handfast-workspace", "{", "}", "[", "null")
    )


def _signed(random: Random) -> bytes:
    """An archive whose rows were changed and whose digests were made to fit, so that the rows themselves are read."""
    with zipfile.ZipFile(io.BytesIO(_archive())) as held:
        parts = {one.filename: held.read(one) for one in held.infolist()}
    told = json.loads(parts.pop("manifest.json"))
    name = random.choice([name for name, inner in parts.items() if inner])
    lines = parts[name].decode().splitlines(keepends=True)
    at = random.randrange(len(lines))
    if random.random() < 0.6:
        row = grammars.changed(random, json.loads(lines[at]), (*json.loads(lines[at]), "base64", "extra"))
        lines[at] = json.dumps(row, ensure_ascii=random.random() < 0.5) + "\n"
    else:
        lines[at] = mutate.text(random, lines[at], ("{", "}", "null", '"', "\n", ","), 60_000)
    parts[name] = "".join(lines).encode("utf-8", "surrogatepass")
    bare = name.removesuffix(".jsonl")
    told["sha256"][bare], told["rows"][bare] = hashlib.sha256(parts[name]).hexdigest(), parts[name].count(b"\n")
    if random.random() < 0.2:
        told = grammars.changed(random, told, tuple(told))
    return mutate.packed_from([("manifest.json", json.dumps(told).encode()), *parts.items()], zipfile.ZIP_STORED)


def _thread(random: Random) -> dict[str, str]:
    given = {random.choice(("od", "id")): f"{random.uniform(5, 70):.2f} mm"}
    likely = {
        "pitch": "1.814 mm",
        "tpi": "14",
        "taper": "yes",
        "seat": random.choice(SEATS),
        "flare": "37",
        "tolerance": "0.1 mm",
    }
    for option in random.sample(sorted(likely), random.randrange(4)):
        given[option] = likely[option]
    if random.random() < 0.6:
        wild = (grammars.number(random), grammars.quantity(random, "length"), random.choice(SEATS), "yes", "")
        given[random.choice((*OPTIONS, "colour"))] = random.choice(wild)
    return given


def _photo(random: Random) -> dict[str, str]:
    given = {
        f"{name}-{side}": f"{random.uniform(0, 1600):.1f}" for name in random.sample(sorted(NAMES), 9) for side in "xy"
    }
    given |= {"what": random.choice(("photo", "drawing")), "known": random.choice(("", "55 in"))}
    for _ in range(random.choice((0, 1, 1, 2, 4))):
        key = random.choice(("what", "known", "marking", "away", "out_of_plane", "askew", *given))
        given[key] = grammars.quantity(random, "length") if random.random() < 0.5 else grammars.number(random)
    return given


def _phrases(random: Random) -> str:
    rows = random.choice(samples.phrase_files()).splitlines()
    at = random.randrange(max(len(rows) - 12, 1))
    return mutate.text(random, "\n".join(rows[at : at + 12]), (" || ", "{a}", "{b}", "||", "#", "{", "\n"))


@cache
def _sentences() -> tuple[str, ...]:
    book = book_of("es")
    assert book is not None
    return (
        (*book.whole, *(pattern.english for pattern in book.index.patterns))[:6000]
        if hasattr(book.index, "patterns")
        else (*book.whole,)
    )


def _sentence(random: Random) -> str:
    joints = (". ", ", ", " · ", "; ", ": ", " and ", " (", "\n")
    said = random.choice(joints).join(random.choice(_sentences()) for _ in range(random.randrange(1, 4)))
    return mutate.text(random, said, (*joints, *grammars.SPELLINGS, "24 hp"), 2000)


def _tell(text: str) -> object:
    book = book_of("es")
    assert book is not None
    return book._read(text)


def _bytes(random: Random) -> bytes:
    if random.random() < 0.3:
        return random.randbytes(random.randrange(200))
    return mutate.data(random, random.choice(samples.inquiries()).encode("utf-8"))


def _picture(random: Random) -> bytes:
    return mutate.data(random, random.choice((samples.png, samples.jpeg))())


def _recorded(text: str) -> object:
    return read_model(ShelfFile, text, "record.toml")


TARGETS = (
    Target("quantities", _quantity, lambda given: read_quantity(*given), (QuantityError,), 280),
    Target("unit spellings", _unit, lambda given: find_unit(*given), (), 120),
    Target("picture heads", _picture, head_of, (PictureError,), 120),
    Target("thread options", _thread, reckon_thread, (Faults,), 50),
    Target("phrase files", _phrases, lambda text: read_phrases(text, "x.txt"), (PhraseError,), 60),
    Target("texts told", _sentence, _tell, (), 15),
    Target("bytes of a file", _bytes, lambda data: text_of(data, "a.toml"), (Faults,), 40),
    Target("inquiry TOML", _toml_of(samples.inquiries), read_inquiry, (Faults,), 50),
    Target("inquiry held", _toml_of(samples.inquiries), lambda text: read_held(text, "a.toml", SHELF), (Faults,), 15),
    Target("record TOML", _toml_of(_records), _recorded, (Faults,), 50),
    Target("JSON bodies", _json, _read_json, (Faults,), 40),
    Target("call line", _call, lambda line: read_line(line, SHELF), (), 40),
    Target("answers back", _replies, lambda text: read_answers(text, SHELF), (), 30),
    Target("letters", _mail, lambda text: read_mail(text, SHELF), (TooLongError,), 12),
    Target("inquiry forms", _form, _read_form, (Faults,), 15),
    Target("photo marks", _photo, lambda given: sighting_of(fields_of(given, PHOTO), PHOTO), (Faults,), 20),
    Target("reckoning files", _chapter, _read_chapter, (Faults,), 6),
    Target("lists, text", _csv, _read_list, (ListError,), 12),
    Target("lists, XLSX", _book("xlsx"), _read_list, (ListError,), 3),
    Target("lists, ODS", _book("ods"), _read_list, (ListError,), 2),
    Target("lists, XLS", _book("xls"), _read_list, (ListError,), 2),
    Target("archives", _archived, _read_archive, (StoreError,), 9),
)

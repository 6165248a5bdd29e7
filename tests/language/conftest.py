"""The demonstration told once in English, and who tells it in the second language."""

from __future__ import annotations

import importlib.util
import re
import sys
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from handfast.language.names import MARK, Names
from handfast.language.phrasebook import Speaker, book_of
from handfast.machines.reading import demo_shelf
from handfast.machines.shelf import names_on

DEMO = Path(__file__).parents[2] / "src" / "handfast" / "data" / "demo"


def load(name: str) -> ModuleType:
    """A module that stands beside this one."""
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


crawl = load("crawl")


def texts_in(value: Any) -> Iterator[str]:
    """Every text in a record."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts_in(one)
    elif isinstance(value, list):
        for one in value:
            yield from texts_in(one)


def plain(text: str) -> str:
    """Letters and the digits between them alone, so that what stands around a name does not count."""
    bare = re.sub(r"[\W_]+", " ", MARK.sub(" ", text.replace("\u200b", ""))).strip().casefold()
    return re.sub(r"^[\d ]+ | [\d ]+$", "", bare)


@pytest.fixture(scope="session")
def is_own() -> Callable[[str], bool]:
    """Whether words are the records' own: their names, titles and notes, or what the crawl itself typed."""
    every = [text for path in sorted(DEMO.rglob("*.toml")) for text in texts_in(tomllib.loads(path.read_text("utf-8")))]
    whole = f" {' | '.join(map(plain, [*every, *crawl.TYPED]))} "
    ids = {one.replace("\u200b", "") for one in every if re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", one)}

    def own(text: str) -> bool:
        if text.replace("\u200b", "") in ids:
            return True
        return f" {plain(text)} " in whole and (" " in plain(text) or not plain(text) or text in crawl.TYPED)

    return own


@pytest.fixture(scope="session")
def spanish() -> Speaker:
    """Who tells the demonstration in Spanish."""
    book = book_of("es")
    assert book is not None
    return Speaker(book, Names(names_on(demo_shelf())))


@pytest.fixture(scope="session")
def told_pages(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, str]]:
    """Every page in English: where it is and its markup."""
    return list(crawl.pages(crawl.demo_home(tmp_path_factory.mktemp("told")), "en"))

"""Every verb of the API in one table, from which the routes, the document and the readable page are made."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any

from handfast.machines.shelf_files import DEMO
from handfast.web import api_inquiries, api_quotes, api_rest, api_shelf
from handfast.web.api_verb import Verb
from handfast.web.toml_write import toml_text

INQUIRY = DEMO / "inquiries" / "1-heavy-grapple-on-line.toml"
RECORDS = {"machines": "thimble-24", "attachments": "billetjaw-32", "parts": "box-300"}


@cache
def verbs() -> tuple[Verb, ...]:
    """Every verb, in the order in which they are told."""
    text = INQUIRY.read_text("utf-8")
    return (
        *api_inquiries.verbs(tomllib.loads(text), text),
        *api_quotes.verbs(),
        *api_shelf.verbs(_records()),
        *api_rest.verbs(),
    )


def _records() -> dict[str, tuple[dict[str, Any], str, str]]:
    """An invented record of each folder: as data, as TOML text, and its id."""
    made = {}
    for folder, key in RECORDS.items():
        found = (
            one
            for path in sorted((DEMO / folder).glob("*.toml"))
            for one in tomllib.loads(path.read_text("utf-8"))[folder.removesuffix("s")]
        )
        data = next(one for one in found if one["id"] == key)
        made[folder] = (data, toml_text(data), key)
    book = tomllib.loads((DEMO / "price_book.toml").read_text("utf-8"))["price_book"]
    return {**made, "price-book": (book, toml_text(book), "price_book")}

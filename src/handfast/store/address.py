"""Which database holds a workspace: the file in its folder, or the PostgreSQL database that HANDFAST_DATABASE names."""

from __future__ import annotations

import os
import re

VARIABLE = "HANDFAST_DATABASE"
SCHEMES = ("postgresql://", "postgres://")


class StoreError(Exception):
    """The workspace can't be opened or written: said in a sentence that helps."""


def is_address(text: str) -> bool:
    """Whether a text names a PostgreSQL database, and not a folder."""
    return text.startswith(SCHEMES)


def address_given() -> str:
    """The address that HANDFAST_DATABASE names; "" where it names none. StoreError: it is no such address."""
    given = os.environ.get(VARIABLE, "").strip()
    if given and not is_address(given):
        raise StoreError(f"{VARIABLE} is {shown(given)!r}; an address that begins with postgresql:// is expected.")
    return given


def shown(address: str) -> str:
    """An address as it may be printed: without its password."""
    hidden = re.sub(r"^(\w+://[^:/@?]*):[^/?]*@", r"\1:***@", address)
    return re.sub(r"([?&]password=)[^&]*", r"\1***", hidden)


def psycopg_module() -> object:
    """The driver. StoreError: it is not installed."""
    try:
        import psycopg
    except ImportError as error:
        raise StoreError(
            "A workspace on PostgreSQL needs the package psycopg, which is not installed here: "
            "pip install 'handfast[postgresql]' brings it."
        ) from error
    return psycopg


def not_reached(address: str, error: Exception) -> StoreError:
    """The sentence that says why a PostgreSQL database can't be used, on one line."""
    why = re.sub(r"\s+", " ", str(getattr(error, "orig", None) or error)).strip().rstrip(".")
    return StoreError(f"The database {shown(address)} can't be opened: {why}.")

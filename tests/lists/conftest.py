"""Ugly lists of invented suppliers, written by a spreadsheet library and by hand."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pytest
import xlsxwriter

Write = Callable[[Any, Any], None]


@pytest.fixture
def workbook() -> Callable[[Write], bytes]:
    """Bytes of a workbook that a function fills."""

    def made(write: Write) -> bytes:
        buffer = io.BytesIO()
        with xlsxwriter.Workbook(buffer, {"in_memory": True, "default_date_format": "yyyy-mm-dd"}) as book:
            write(book, book.add_worksheet("Sheet1"))
        return buffer.getvalue()

    return made

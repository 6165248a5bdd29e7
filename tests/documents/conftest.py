"""The demo inquiries answered once, and two general tools that read a PDF back."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from handfast.advice.advise import advise
from handfast.advice.result import Advice
from handfast.machines.reading import demo_inquiries, demo_shelf

Words = Callable[..., str]
Dots = Callable[[bytes], NDArray[np.uint8]]


@pytest.fixture(scope="session")
def answers() -> dict[str, Advice]:
    """The eight demo inquiries' advice."""
    shelf = demo_shelf()
    return {name: advise(inquiry, shelf) for name, inquiry in demo_inquiries().items()}


def _tool(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        pytest.skip(f"{name} (poppler) is not installed")
    return found


def _run(tool: str, pdf: bytes, folder: Path, *options: str) -> bytes:
    file = folder / "paper.pdf"
    file.write_bytes(pdf)
    after = ["-"] if tool == "pdftotext" else []
    return subprocess.run([_tool(tool), *options, str(file), *after], check=True, capture_output=True).stdout


@pytest.fixture
def words(tmp_path: Path) -> Words:
    """Runs a tool of poppler on a PDF and gives what it says."""

    def read(pdf: bytes, tool: str = "pdftotext", *options: str) -> str:
        return _run(tool, pdf, tmp_path, *options).decode(errors="replace")  # poppler prints UTF-16 as it is

    return read


@pytest.fixture
def flat(words: Words) -> Callable[[bytes], str]:
    """A PDF's text in one line."""
    return lambda pdf: " ".join(words(pdf, "pdftotext", "-layout").split())


@pytest.fixture
def dots(tmp_path: Path) -> Dots:
    """The first page as grey dots, ten to the millimetre."""

    def draw(pdf: bytes) -> NDArray[np.uint8]:
        raw = _run("pdftoppm", pdf, tmp_path, "-r", "254", "-gray", "-f", "1", "-l", "1")
        kind, width, height, _ = raw.split(maxsplit=4)[:4]
        assert kind == b"P5"
        grey = np.frombuffer(raw[-int(width) * int(height) :], dtype=np.uint8)
        return grey.reshape(int(height), int(width))

    return draw

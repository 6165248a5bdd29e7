"""What every test shares: repeatable examples, and the real browser of the stories."""

from __future__ import annotations

import os
from collections.abc import Iterator
from functools import partialmethod
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from starlette.testclient import TestClient

CHROMIUM = Path("/usr/bin/chromium")
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

# The same examples in every run, and no clock: a slow machine must not decide a test.
settings.register_profile("repeatable", derandomize=True, deadline=None, database=None, max_examples=60)
settings.load_profile("repeatable")


# A browser without a screen sits at this machine, unless a test puts it elsewhere.
TestClient.__init__ = partialmethod(TestClient.__init__, client=("127.0.0.1", 50000))  # type: ignore[method-assign]


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One Chromium for the session; skipped where there is none, unless HANDFAST_NEEDS_BROWSER says it must be."""
    if not CHROMIUM.exists():
        if os.environ.get("HANDFAST_NEEDS_BROWSER"):
            pytest.fail(f"{CHROMIUM} is missing, and HANDFAST_NEEDS_BROWSER is set")
        pytest.skip(f"no browser at {CHROMIUM}: apt-get install chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=str(CHROMIUM), args=QUIET)
        yield chromium
        chromium.close()

"""The pages served for real, on a workspace of their own."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn

from handfast.counter.verbs import fill_demo, open_workspace
from handfast.web.app import make_app


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of the demonstration's pages."""
    workspace = open_workspace(Path(tmp_path_factory.mktemp("story")))
    assert fill_demo(workspace)
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.bind(("127.0.0.1", 0))
    listener.listen(64)  # so that who comes before the server runs waits for it
    server = uvicorn.Server(uvicorn.Config(make_app(workspace), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    server.should_exit = True
    thread.join(timeout=10)


@pytest.fixture
def page(browser, served: str) -> Iterator:
    """A page that fails the test where it says anything in its console or asks for anything from elsewhere."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, base_url=served)
    opened = context.new_page()
    said: list[str] = []

    def hear(message) -> None:
        refused = "status of 422" in message.text  # a form with faults: the browser notes it, the page says it
        if message.type in ("error", "warning") and not refused:
            said.append(message.text)

    opened.on("console", hear)
    opened.on("pageerror", lambda error: said.append(str(error)))
    opened.on("request", lambda ask: said.append(ask.url) if not ask.url.startswith((served, "data:")) else None)
    yield opened
    context.close()
    assert said == [], said

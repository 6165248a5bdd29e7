"""A small dealer's desk: the demonstration's workspace, and a browser without a screen."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from handfast.counter import verbs as counter
from handfast.web.app import create_app


class Desk:
    """The pages as a browser sees them, with the token that its forms carry."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.app = create_app(home)
        self.client = TestClient(self.app, base_url="http://127.0.0.1", follow_redirects=False)

    def token(self) -> str:
        found = re.search(r'name="token" value="([^"]+)"', self.client.get("/about").text)
        assert found
        return found[1]

    def post(self, path: str, headers: dict[str, str] | None = None, **fields: str):
        return self.client.post(path, data={"token": self.token(), **fields}, headers=headers)

    def count(self) -> int:
        return len(counter.inquiries(self.app.state.desk.workspace))


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workspace filled once with the demonstration."""
    home = tmp_path_factory.mktemp("desk")
    workspace = counter.open_workspace(home)
    assert counter.fill_demo(workspace)
    workspace.engine.dispose()
    return home


@pytest.fixture
def desk(demo_home: Path, tmp_path: Path) -> Iterator[Desk]:
    """A filled workspace of one's own."""
    home = tmp_path / "home"
    shutil.copytree(demo_home, home)
    yield Desk(home)


@pytest.fixture
def bare(tmp_path: Path) -> Desk:
    """An empty workspace."""
    return Desk(tmp_path / "bare")

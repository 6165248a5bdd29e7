"""The pages on either database: every page of the demonstration opens, and odd signs are refused, not failed at."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from handfast.web.app import make_app

PAGES = (
    "/", "/calls", "/inquiries/1", "/inquiries/1/history", "/quotes", "/quotes/1", "/shelf", "/shelf/parts/hose-none",
    "/settings", "/lists", "/care", "/numbers", "/?find=orchard", "/about", "/api/openapi.json",
)  # fmt: skip


@pytest.fixture
def client(filled, place) -> Iterator[TestClient]:
    with TestClient(
        make_app(filled(place())), base_url="http://127.0.0.1", raise_server_exceptions=False, follow_redirects=False
    ) as made:
        yield made


def test_every_page_opens(client) -> None:
    answers = {path: client.get(path).status_code for path in PAGES}
    assert {path for path, status in answers.items() if status == 200} >= {
        "/",
        "/calls",
        "/inquiries/1",
        "/quotes/1",
        "/shelf",
    }
    assert max(answers.values()) < 500, answers


def test_odd_signs_are_refused_or_kept(client) -> None:
    token = re.search(r'name="token" value="([^"]+)"', client.get("/about").text)
    assert token
    for odd in ("\0", "a\0b", "\ufffe", "💥" * 200, "x" * 5000):
        for path, name in (
            ("/inquiries/1/promises", "what"),
            ("/inquiries/1/cannot-say", "fact"),
            ("/shelf/parts/new", "name"),
            ("/inquiries/1", "title"),
        ):
            fields = {"token": token[1], "who": "we", "by": "", "kind": "hose", name: odd}
            assert client.post(path, data=fields).status_code < 500, (path, odd[:5])
        for path in (f"/shelf/parts/{odd[:300]}", f"/?find={odd[:300]}", f"/a/{odd[:300]}", f"/papers/{odd[:300]}"):
            assert client.get(path.replace("\0", "%00")).status_code < 500, (path[:20], odd[:5])
    assert client.get(f"/inquiries/{2**63 - 1}").status_code == client.get(f"/quotes/{2**40}").status_code == 404

"""One number names one hose: on the quote, in every workshop paper of it, and where the hose comes back."""

from __future__ import annotations

import json
import re
from pathlib import Path

from starlette.testclient import TestClient

from handfast.counter import aftercare
from handfast.counter import verbs as counter
from handfast.web.app import make_app

OUTFIT = "thicketjaw-42~pinned.ears-pins~diverter"


def test_one_number_names_one_hose_in_every_paper(tmp_path: Path, words) -> None:
    workspace = counter.open_workspace(tmp_path)
    assert counter.fill_demo(workspace)
    row = counter.quote(workspace, 1, OUTFIT)
    tags = [one["tag"] for one in json.loads(row.json)["hoses"]]
    assert tags == ["A1", "A2", "B1", "B2"]
    client = TestClient(make_app(workspace), base_url="http://127.0.0.1")
    for kind in ("hose-tags", "hose-order", "install-sheet", "circuit-sheet"):
        paper = client.get(f"/quotes/{row.number}/{kind}.pdf")
        assert paper.headers["content-type"] == "application/pdf", kind
        said = words(paper.content)
        assert f"quote {row.number}" in said, kind
        for tag in tags:
            assert re.search(rf"\b{tag}\b", said), (kind, tag)
    page = client.get(f"/quotes/{row.number}").text
    for tag in tags:
        assert f"{row.number}-{tag}" in page
        assert aftercare.named(f"quote {row.number} {tag}") == (row.number, tag)
        assert f"hose {tag}" in client.get(f"/comebacks/new?tag={row.number}-{tag}").text
    assert client.get(f"/quotes/{row.number}/nothing.pdf").status_code == 404
    assert client.get("/quotes/99/hose-tags.pdf").status_code == 404

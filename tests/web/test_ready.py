"""The call of nobody's that is answered at the start leaves nothing behind, and any shelf can answer it."""

from __future__ import annotations

from pathlib import Path

from handfast.counter import verbs as counter
from handfast.web.app import make_app
from handfast.web.ready import make_ready


def test_the_start_stores_nothing_and_ends(tmp_path: Path) -> None:
    workspace = counter.open_workspace(tmp_path)
    thread = make_ready(workspace, make_app(workspace))
    thread.join(60)
    assert not thread.is_alive()
    assert counter.inquiries(workspace) == []


def test_the_half_known_call_is_answered_from_the_demonstration(tmp_path: Path) -> None:
    from handfast.web.ready import HALF_KNOWN

    workspace = counter.open_workspace(tmp_path)
    counter.fill_demo(workspace)
    before = len(counter.inquiries(workspace))
    assert counter.try_answer(workspace, HALF_KNOWN).outfits
    assert len(counter.inquiries(workspace)) == before

"""What the pages keep in memory is bounded, and lets go of what is no longer true."""

from __future__ import annotations

import gc
import weakref
from pathlib import Path

from handfast.counter import verbs as counter
from handfast.web import drawn
from handfast.web.kept import Drawn, Sheet


def test_a_page_made_untrue_by_a_writing_is_let_go() -> None:
    kept = Drawn()
    for n in range(10):
        kept.keep((f"/{n}",), Sheet(7, 0.0, b"x", ()))
    kept.keep(("/new",), Sheet(8, 0.0, b"x", ()))
    assert list(kept.sheets) == [("/new",)]


def test_drawings_hold_a_bounded_number_of_answers(tmp_path: Path) -> None:
    """Each drawing kept its whole answer alive: five hundred of them were a gigabyte."""
    workspace = counter.open_workspace(tmp_path, address="")
    counter.fill_demo(workspace)
    text = counter.inquiry(workspace, 4).text
    seen = []
    for n in range(6):
        counter.change_inquiry(workspace, 4, text.replace('title = "', f'title = "{n} ', 1))
        advice = counter.answer(workspace, 4)
        drawn.scene(advice, advice.outfits[0], "us")
        seen.append(weakref.ref(advice))
    assert drawn._scene.cache_info().maxsize == drawn.side_and_chart.cache_info().maxsize == drawn.SCENES <= 64
    counter.settle(workspace)
    workspace.answers.clear()
    drawn._scene.cache_clear()
    drawn.side_and_chart.cache_clear()
    del advice
    gc.collect()
    assert not any(ref() is not None for ref in seen)  # nothing else holds an answer

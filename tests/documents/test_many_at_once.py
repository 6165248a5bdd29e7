"""Several papers of one kind at the same time, as when several people print."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from handfast.counter import verbs as counter
from handfast.documents.papers import paper_of
from handfast.documents.work_paper import Options
from handfast.machines.reading import read_held


def test_papers_asked_for_at_once_are_all_made(tmp_path: Path) -> None:
    """A compiler serves one at a time: the second used to be refused with "Already borrowed"."""
    workspace = counter.open_workspace(tmp_path, address="")
    counter.fill_demo(workspace)
    shelf, advice = counter.shelf(workspace), counter.answer(workspace, 4)
    inquiry = read_held(counter.inquiry(workspace, 4).text, "4", shelf)
    first = advice.outfits[0].id

    def made(_: int) -> bytes:
        return paper_of("fit-sheet", advice, first, inquiry, shelf, Options(system="us"))

    with ThreadPoolExecutor(6) as many:
        papers = list(many.map(made, range(6)))
    assert len(set(papers)) == 1 and papers[0].startswith(b"%PDF")

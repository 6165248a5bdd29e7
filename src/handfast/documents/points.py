"""What paper_points.csv has papers say, by paper and phase."""

from __future__ import annotations

from collections.abc import Iterator

from handfast.quantities.tables import table


def points(paper: str, phase: str, so: str | None = None) -> Iterator[tuple[str, str]]:
    """Sentences of a phase of a paper, each with its note; those for one case only where it is so.

    >>> [words for words, note in points("handover", "given")][0]
    "Operator's manual of the attachment"
    """
    for row in table("paper_points.csv"):
        if row["paper"] == paper and row["phase"] == phase and row["when"] in ("", so):
            yield row["words"], row["note"]

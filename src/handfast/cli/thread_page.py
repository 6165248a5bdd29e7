"""What a measured thread can be as a page of text."""

from __future__ import annotations

from typing import Any

from handfast.cli.page import columns, heading, paragraph


def thread_page(found: dict[str, Any]) -> str:
    """A result of `reckon_thread`: the candidates, what is taken for the first, the look that settles it."""
    candidates = found["candidates"]
    rows = [["", "family", "size", "thread", "end", "standard"]]
    for one in candidates:
        share = f"{100 * one['probability']:.0f} %" if one["probability"] >= 0.01 else "under 1 %"
        rows.append([share, one["name"], one["size"], one["designation"], one["gender"], one["standard"]])
    lines = columns(rows, right=(0,)) if candidates else paragraph("Nothing in the table comes near this.")
    if candidates and candidates[0]["look_alikes"]:
        lines += heading("Taken for the first")
        for text in candidates[0]["look_alikes"]:
            lines += paragraph(text, "    ", "  - ")
    if found["ask"]:
        lines += [*heading("What would settle it"), *paragraph(found["ask"])]
    return "\n".join(lines) + "\n"

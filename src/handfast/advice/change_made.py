"""The inquiry after a change, so that it can be answered again."""

from __future__ import annotations

from typing import TypeVar

from handfast.advice.result import Change
from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.work import Behind, Work
from handfast.outfits.ballast import HITCH_HEIGHT
from handfast.outfits.tools import estimate_of
from handfast.quantities.estimate import Estimate

Tool = TypeVar("Tool", bound=Attachment)
TOOL_ENTRIES = {"attachment": ("mass",), "opening": ("opening_tip", "opening_throat"), "width": ("width",)}


def with_change(inquiry: Inquiry, shelf: Shelf, change: Change) -> tuple[Inquiry, Shelf]:
    """The inquiry and the shelf as they are after one change.

    Args:
        inquiry: as it was.
        shelf: as it was.
        change: of `changes` or `pair`.

    Returns:
        Inquiry and shelf; what is not changed is the same object.

    Example:
        >>> from handfast.machines.work import Site
        >>> steep = Inquiry(site=Site(slope=Estimate.known(0.2)))
        >>> less = Change("", "slope.side", "", 0.1, "rad", "slope", "site.slope", 0.5)
        >>> with_change(steep, Shelf(), less)[0].site.slope.value
        0.1
    """
    if change.lever in TOOL_ENTRIES:
        return _with_tool(inquiry, shelf, change)
    if change.lever == "behind":
        hung = Behind(mass=Estimate.known(change.at), height=Estimate.known(HITCH_HEIGHT))
        return inquiry.model_copy(update={"behind": hung}), shelf
    if change.path.startswith("site."):
        name = change.path.partition(".")[2]
        site = inquiry.site.model_copy(update={name: getattr(inquiry.site, name).scaled(change.at)})
        return inquiry.model_copy(update={"site": site}), shelf
    return inquiry.model_copy(update={"work": _with_piece(inquiry.work or (Work(kind="free"),), change)}), shelf


def _with_piece(works: tuple[Work, ...], change: Change) -> tuple[Work, ...]:
    line, _, name = change.path.partition(".")
    number = int(line.removeprefix("work"))
    stated = getattr(works[number], name)
    if change.lever == "load":
        changed = Estimate.known(change.value)
    elif stated.is_unknown:  # a bite that nobody described is a whole one
        changed = Estimate.known(change.at, origin="typical")
    else:
        changed = stated.scaled(change.at)
    work = works[number].model_copy(update={name: changed})
    return (*works[:number], work, *works[number + 1 :])


def _with_tool(inquiry: Inquiry, shelf: Shelf, change: Change) -> tuple[Inquiry, Shelf]:
    wanted = change.outfit.partition("~")[0]
    named = [one for one in inquiry.attachment if wanted in (one.id, one.record)]
    if named:
        tools = tuple(_scaled(one, change) if one in named else one for one in inquiry.attachment)
        return inquiry.model_copy(update={"attachment": tools}), shelf
    if wanted in shelf.attachments:
        changed = {**shelf.attachments, wanted: _scaled(shelf.attachments[wanted], change)}
        return inquiry, shelf.model_copy(update={"attachments": changed})
    place = int(wanted.rpartition("-")[2]) - 1 if wanted.startswith("seen-") else None
    seen = tuple(
        _scaled(one, change) if wanted == one.id or place == k else one for k, one in enumerate(inquiry.seen_elsewhere)
    )
    return inquiry.model_copy(update={"seen_elsewhere": seen}), shelf


def _scaled(tool: Tool, change: Change) -> Tool:
    """A tool with some of its figures scaled; what is only typical of its kind is scaled too, and stays typical."""
    figures = {name: estimate_of(tool, name) for name in TOOL_ENTRIES[change.lever]}
    known = {name: one.scaled(change.at) for name, one in figures.items() if not one.is_unknown}
    return tool.model_copy(update=known)

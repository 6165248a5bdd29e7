"""Attachment × mount × power: every candidate outfit, and what does not come into question with the reason."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.machines.work import Work
from handfast.outfits.facts import machine_class
from handfast.outfits.mounting import KITS, MountRoute, mount_routes, words
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute, lid_key, power_routes
from handfast.quantities.tables import table

Routes = tuple[tuple[PowerRoute, ...], tuple[tuple[str, str], ...]]


@dataclass(frozen=True)
class Left:
    """Something that does not come into question, and why."""

    attachment: Attachment
    why: str
    route: str | None = None


@dataclass(frozen=True)
class Candidates:
    """The outfits to check, and what was left out."""

    outfits: tuple[Outfit, ...]
    left: tuple[Left, ...]


def candidates(inquiry: Inquiry, shelf: Shelf, interfaces: Sequence[str]) -> Candidates:
    """Every outfit that could answer the inquiry.

    Args:
        inquiry: resolved inquiry.
        shelf: what can be sold.
        interfaces: what the loader has, or may have.

    Returns:
        `Candidates`.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> [one.mount.route for one in candidates(inquiry(), Shelf(), ("pinned",)).outfits]
        ['direct']
    """
    parts = shelf.parts_of(*KITS, "valve_kit")
    outfits: list[Outfit] = []
    left: list[Left] = []
    seen = seen_attachments(inquiry)
    moved: dict[tuple[object, ...], Routes] = {}
    for attachment in (*_asked(inquiry, shelf, left), *seen):
        lid = lid_key(attachment)
        if lid not in moved:
            moved[lid] = _routes(inquiry, attachment, parts)
        outfits.extend(_outfits_of(inquiry, attachment, parts, interfaces, left, attachment in seen, moved[lid]))
    return Candidates(tuple(outfits), tuple(left))


def _outfits_of(
    inquiry: Inquiry,
    attachment: Attachment,
    parts: Sequence[Part],
    interfaces: Sequence[str],
    left: list[Left],
    seen: bool,
    moved: Routes,
) -> Iterable[Outfit]:
    mounts = mount_routes(interfaces, attachment, parts, machine_class(inquiry.machine))
    if not mounts:
        needs = " or ".join(words(one) for one in attachment.interfaces) or "a mount nobody has named"
        has = " or ".join(words(one) for one in interfaces)
        why = f"the loader has {has} and no kit joins them" if has else "how the loader's bucket hangs is not known"
        left.append(Left(attachment, f"hangs on {needs}; {why}"))
        return []
    routes, out = moved
    left.extend(Left(attachment, why, route) for route, why in out)
    if not routes:
        left.append(Left(attachment, "nothing on this tractor can move its lid: " + "; ".join(why for _, why in out)))
    return [
        Outfit(attachment, mount, power, seen) for mount in mounts for power in routes if _stands(mount, attachment)
    ]


def _routes(inquiry: Inquiry, attachment: Attachment, parts: Sequence[Part]) -> Routes:
    kinds = [work.kind for work in inquiry.work if work.kind] or ["free"]
    return power_routes(inquiry.machine, attachment, parts, machine_class(inquiry.machine), kinds)


def _stands(mount: MountRoute, attachment: Attachment) -> bool:
    return mount.to in attachment.interfaces


def _asked(inquiry: Inquiry, shelf: Shelf, left: list[Left]) -> Sequence[Attachment]:
    if inquiry.attachment:
        return inquiry.attachment
    works = inquiry.work or (Work(kind="free"),)
    wanted = []
    for attachment in shelf.attachments.values():
        if any(suits(work, str(attachment.kind)) for work in works):
            wanted.append(attachment)
        else:
            left.append(Left(attachment, "not a tool for this work"))
    return wanted


def answers(work: str, kind: str) -> float:
    """How well an attachment kind answers a kind of work, 0 to 1.

    Args:
        work: kind of work.
        kind: kind of attachment.

    Returns:
        Suitability; 0 when it does not.

    Source: work_answers.csv (common practice, no source).

    Example:
        >>> answers("pallets", "pallet_forks")
        1.0
    """
    return _answers().get((work, kind), (0.0, ""))[0]


def suits(work: Work, kind: str) -> float:
    """How well an attachment kind answers a line of work, 0 to 1.

    Args:
        work: the line; snow is a work of its own among what is loose.
        kind: kind of attachment.

    Returns:
        Suitability; 0 when it does not.

    Source: work_answers.csv (common practice, no source).

    Example:
        >>> suits(Work(kind="loose", material="snow"), "snow_pusher"), suits(Work(kind="loose"), "snow_pusher")
        (1.0, 0.0)
    """
    return answers(known_as(work), kind)


def known_as(work: Work) -> str:
    """What the table of answers calls a line of work.

    Args:
        work: the line.

    Returns:
        Its kind, or "snow".

    Example:
        >>> known_as(Work(kind="loose", material="wet snow"))
        'snow'
    """
    return "snow" if work.kind == "loose" and "snow" in work.material.casefold() else str(work.kind)


def answer_note(work: str, kind: str) -> str:
    """What to say about a kind of attachment at a kind of work; empty when nothing.

    Args:
        work: kind of work.
        kind: kind of attachment.

    Returns:
        A note.

    Example:
        >>> answer_note("pallets", "pallet_forks")
        ''
    """
    return _answers().get((work, kind), (0.0, ""))[1]


@cache
def _answers() -> dict[tuple[str, str], tuple[float, str]]:
    return {(r["work"], r["attachment_kind"]): (float(r["suits"]), r["note"]) for r in table("work_answers.csv")}


def seen_attachments(inquiry: Inquiry) -> tuple[Attachment, ...]:
    """What the caller found elsewhere, as attachments to be checked like any other.

    Args:
        inquiry: the inquiry.

    Returns:
        Attachment records with ids "seen-1" and so on.

    Source: a listing that names no mount is taken to be for the universal plate (common practice, no source).

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> seen_attachments(inquiry())
        ()
    """
    made = []
    for k, seen in enumerate(inquiry.seen_elsewhere, 1):
        interfaces = tuple(seen.interfaces) or ("universal_plate",)
        made.append(
            Attachment(
                id=f"seen-{k}",
                name=seen.name or f"{str(seen.kind).replace('_', ' ')} seen elsewhere",
                kind=seen.kind,
                width=seen.width,
                mass=seen.mass,
                price=seen.price,
                interfaces=interfaces,
                lids=seen.lids,
                actuation=seen.actuation or ("hydraulic" if seen.lids != 0 else "none"),
            )
        )
    return tuple(made)

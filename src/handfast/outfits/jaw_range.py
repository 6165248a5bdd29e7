"""The round pieces that an attachment's jaw takes, smallest to largest: for the page that moves a piece in it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.check_shape import FRICTION
from handfast.outfits.combine import seen_attachments
from handfast.outfits.gripping import sound_jaw
from handfast.physics.grip import piece_range

LEAST = 0.05  # m, where the jaw is not drawn: below that any lid closes on air


def attachment_of(inquiry: Inquiry, shelf: Shelf, called: str) -> Attachment | None:
    """The attachment that an outfit of an inquiry means by its id.

    Args:
        inquiry: resolved inquiry.
        shelf: what can be sold.
        called: the attachment's id.

    Returns:
        The record; None where there is none of that id.

    Example:
        >>> from handfast.outfits.example import inquiry, laid
        >>> attachment_of(inquiry(), Shelf(), laid().candidates.outfits[0].attachment.id).kind
        'brush_grapple'
    """
    own = (*inquiry.attachment, *seen_attachments(inquiry))
    return next((one for one in own if one.id == called), shelf.attachments.get(called))


def piece_takes(attachment: Attachment) -> tuple[float, float] | None:
    """Smallest and largest round piece that the jaw takes.

    Args:
        attachment: the record.

    Returns:
        Diameters [m]: those that the drawn jaw holds; where it is not drawn, up to its lesser known opening; None
        without a lid, and where neither is known.

    Source: `physics.grip.piece_range`; whether a piece is held does not depend on how hard the lid presses, so a force
        of one newton serves.

    Example:
        >>> piece_takes(Attachment(lids=1, opening_tip="0.7 m", opening_throat="0.6 m"))
        (0.05, 0.6)
        >>> piece_takes(Attachment(lids=0, opening_tip="30 in")) is None
        True
    """
    if not attachment.lids:
        return None
    held = _held(_Record(attachment))
    if held is not None:
        return held
    known = [one.value for one in (attachment.opening_tip, attachment.opening_throat) if not np.isnan(one.value)]
    return (LEAST, float(min(known))) if known and min(known) > LEAST else None


class _Record:
    """An attachment by identity: records hold estimates that do not compare."""

    def __init__(self, record: Attachment) -> None:
        self.record = record

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Record) and other.record is self.record

    def __hash__(self) -> int:
        return id(self.record)


@lru_cache(maxsize=256)
def _held(one: _Record) -> tuple[float, float] | None:
    made = sound_jaw(one.record)
    if made is None:
        return None
    least, most = piece_range(made, FRICTION, 1.0, 1.0)
    return (least, most) if np.isfinite(least) and most > least else None

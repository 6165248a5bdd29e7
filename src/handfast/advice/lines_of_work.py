"""Several lines of work in words: which an outfit serves, which it leaves, and what to mind at them."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.advice.cautions import LONG
from handfast.machines.work import Work
from handfast.outfits.combine import answer_note, known_as, suits
from handfast.quantities.showing import show


def line_name(work: Work) -> str:
    """A line of work as it is spoken of.

    Args:
        work: the line.

    Returns:
        Its material, else its kind.

    Example:
        >>> line_name(Work(kind="loose", material="manure")), line_name(Work(kind="round_bales"))
        ('manure', 'round bales')
    """
    return work.material or str(work.kind).replace("_", " ")


def parted(works: Sequence[Work], kind: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The lines of work that a kind of attachment serves, and those that it leaves.

    Args:
        works: the lines.
        kind: kind of attachment.

    Returns:
        (served, left) by name.

    Source: work_answers.csv (common practice, no source).

    Example:
        >>> parted([Work(kind="pallets"), Work(kind="brush")], "brush_grapple")
        (('brush',), ('pallets',))
    """
    does = [(line_name(work), suits(work, kind) > 0.0) for work in works]
    served = dict.fromkeys(name for name, so in does if so)
    left = dict.fromkeys(name for name, so in does if not so)
    return tuple(served), tuple(left)


def serves_words(served: Sequence[str], left: Sequence[str]) -> str:
    """The sentence that says which lines of work an outfit leaves; empty where it leaves none.

    Args:
        served: lines that it serves.
        left: lines that it leaves.

    Returns:
        One sentence.

    Example:
        >>> serves_words(("brush",), ("pallets", "snow"))
        'For the brush, not for the pallets or the snow.'
        >>> serves_words(("brush",), ())
        ''
    """
    if not left:
        return ""
    to_do = " and ".join(f"the {name}" for name in served)
    return (f"For {to_do}, not" if served else "Not") + f" for {' or '.join(f'the {name}' for name in left)}."


def notes_on(works: Sequence[Work], kind: str, system: str = "us") -> tuple[str, ...]:
    """What to say of a kind of attachment at the work it serves.

    Args:
        works: the lines.
        kind: kind of attachment.
        system: units.

    Returns:
        Notes, each a sentence.

    Source: work_answers.csv (common practice, no source).

    Example:
        >>> notes_on([Work(kind="brush")], "pallet_forks")
        ('Brush: sheds load without a lid.',)
    """
    found = [(line_name(work), answer_note(known_as(work), kind)) for work in works]
    said = [f"{name[:1].upper()}{name[1:]}: {note}." for name, note in found if note]
    said += [_halved(work, system) for work in works if work.kind == "logs" and work.length.greatest >= LONG]
    return tuple(dict.fromkeys(said))


def _halved(work: Work, system: str) -> str:
    half = show(0.5 * work.length.value, "length", system)
    return f"Logs: cut to {half} each weighs half and asks far less behind; carry low, the middle gripped."

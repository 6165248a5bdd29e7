"""The install sheet: stop points first, cautions, steps, ports, joints, tests, as built, hand-over."""

from __future__ import annotations

from math import isnan

from handfast.advice.result import Advice, OutfitAdvice
from handfast.costing.price_lines import shop_hours
from handfast.documents.circuit_sheet import ports_rows
from handfast.documents.work_paper import (
    NOT_KNOWN,
    Options,
    Row,
    Section,
    WorkPaper,
    blanks,
    bullets,
    head_of,
    length,
    note,
    press_paper,
    stops,
    table,
    text,
    ticks,
)
from handfast.outfits.fitting import Fitting
from handfast.outfits.hose_order import hose_order_of
from handfast.outfits.install import Step, joint_kinds, steps_of
from handfast.quantities.showing import show

NAME = "Install sheet"
NO_TORQUE = "by the maker's sheet: ______"
RING = "Before unpacking. One box that cannot be ticked: stop, leave the goods in the crate, ring the counter."


def install_sheet(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The install sheet of an outfit.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        fitting: the same outfit with its lines.
        options: paper, units, date, number.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    Source: install_steps.csv (common practice, no source); torques only as a part's own record states them.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> install_sheet(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    one = advice.outfit(outfit_id)
    steps = steps_of(fitting, behind_words(one, options.system))
    sections = _sections(one, fitting, steps, options.system)
    paper = WorkPaper(NAME, head_of(advice, fitting, options), sections)
    return press_paper(paper, advice, one, options)


def _sections(one: OutfitAdvice, fitting: Fitting, steps: tuple[Step, ...], system: str) -> list[Section]:
    by = {phase: [s for s in steps if s.phase == phase] for phase in ("stop", "caution", "step", "test", "hand")}
    care = [s.words for s in by["caution"]]
    hoses = [_numbers(fitting, system)] if fitting.numbers else []
    return [
        Section("Stop points", [text(RING, strong=True), stops(s.words for s in by["stop"])], whole=True),
        Section("At every step", [bullets(care)], whole=True),
        Section("Steps", [ticks((s.words, s.note) for s in by["step"])]),
        Section("Which hose on which port", ports_rows(fitting), whole=True),
        Section("Hoses, as built: lengths and ways as laid", [*hoses, *_as_laid(fitting)] if hoses else []),
        Section("Joints and torques", _torques(fitting, system), whole=True),
        Section("Tests", [ticks(((s.words, s.note) for s in by["test"]), numbered=True)], whole=True),
        Section("As built", _as_built(one, fitting), whole=True),
        Section("Hand-over: said and shown, initials of the buyer", _hand_over(by["hand"], one), whole=True),
    ]


def behind_words(one: OutfitAdvice, system: str) -> str:
    """What must hang behind, in words; empty where the offer leaves it open.

    >>> from handfast.advice.example import outfit
    >>> behind_words(outfit(), "us")
    'nothing more than it has now'
    """
    pieces = [_piece(piece.title, show(piece.mass, "mass", system)) for piece in one.ballast.chosen]
    if one.ballast.already > 0:
        pieces.insert(0, f"what hangs there now, {show(one.ballast.already, 'mass', system)}")
    if pieces:
        return " and ".join(pieces)
    return "" if one.ballast.needed > 0 or one.ballast.note else "nothing more than it has now"


def _piece(title: str, mass: str) -> str:
    return title if mass in title else f"{title}, {mass}"


def _numbers(fitting: Fitting, system: str) -> Row:
    """Every hose once: number, way, length ordered, length and way as laid."""
    rows = []
    for one in hose_order_of(fitting):
        whose = f"the {one.number.brought_by}'s" if one.number.brought_by else length(one.overall, system)
        rows.append([f"*{one.tag}", f"{one.number.start}\n{one.number.end}", whose, "____", "____"])
    return table(("no.", "from\nto", "ordered", "length as laid", "way, clamps, which side"), (0, 2, 0, 1, 1.6), rows)


def _as_laid(fitting: Fitting) -> list[Row]:
    return [note("What is measured here goes into the record and wins over what was reckoned, on the next order too.")]


def _torques(fitting: Fitting, system: str) -> list[Row]:
    kinds = joint_kinds(fitting)
    if not kinds:
        return [note("Fasteners of bracket, plate and lock: by their makers' sheets. Torques are not made up here.")]
    rows = [[f"*{k.thread}", str(k.count), k.where, _torque(k.torque, system)] for k in kinds]
    said = "Fasteners of bracket, plate and lock too: by their makers. What no sheet states is not made up here."
    return [table(("thread", "joints", "beside", "torque"), (1.4, 0, 1.6, 1.4), rows, "lrll"), note(said)]


def _torque(torque: float, system: str) -> str:
    return NO_TORQUE if isnan(torque) else f"{show(torque, 'torque', system)}, by the part's record"


def _as_built(one: OutfitAdvice, fitting: Fitting) -> list[Row]:
    hours = shop_hours(fitting.outfit, None, fitting.shelf)
    serial = fitting.inquiry.machine.serial or NOT_KNOWN
    items = [
        f"Tractor's serial ({serial})", "Attachment's serial", "Kit's serial", "Relief measured",
        "Closing, opening time", "Oil filled in", "Hours on the meter", f"Hours of work ({hours:.1f} reckoned)",
        "Parts run out for",
        "Fitted by", "Looked over by", "Date",
    ]  # fmt: skip
    return [blanks(items, (1, 1, 1))]


def _hand_over(steps: list[Step], one: OutfitAdvice) -> list[Row]:
    return [
        ticks(((s.words, "") for s in steps), numbered=False),
        bullets(one.cautions),
        blanks(("Buyer, name and signature", "Dealer, name and signature", "Date"), (1.4, 1.4, 0.8)),
    ]

"""A screen cut into parts: some machines each, named by what goes in, so that a part done twice is the same file."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from handfast.bulk.catalogue import Catalogue
from handfast.bulk.costs import Costs
from handfast.bulk.kin import hangs_like, moves_like
from handfast.bulk.screen import VERDICTS, WEIGHTED, Block, Places, Screen
from handfast.bulk.tally import NONE
from handfast.data.release import TABLES, VERSION
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.checks import CHECKS

IN_A_PART = 256  # machines
CODES = tuple(check.id for check in CHECKS)
CHOSEN = 1e6  # ratios beyond this are alike


@dataclass(frozen=True)
class Part:
    """Some machines of one line of work; `top` of each machine are kept, or all that fit where it is 0."""

    line: int
    machines: tuple[int, ...]
    top: int
    digest: str

    @property
    def name(self) -> str:
        """Name of its file."""
        return f"{self.line:03d}-{self.machines[0]:07d}-{self.digest[:16]}.parquet"


def parts_of(inquiry: Inquiry, machines: Sequence[Machine], shelf: Shelf, top: int = 0) -> list[Part]:
    """Every part of a screen, machines that are alike together.

    Args:
        inquiry: its lines of work are screened one by one.
        machines: the machines.
        shelf: attachments, kits, rates.
        top: rows kept of each machine; 0 keeps all that fit.

    Returns:
        Parts; each digest stands for all that its rows depend on.

    Example:
        >>> parts_of(Inquiry(), (), Shelf())
        []
    """
    named = Catalogue(inquiry, shelf).named
    alike: dict[object, dict[object, list[int]]] = {}
    for k, one in enumerate(machines):
        alike.setdefault(hangs_like(one), {}).setdefault(moves_like(one, named), []).append(k)
    order = [k for hung in alike.values() for group in hung.values() for k in group]
    slices = [tuple(order[at : at + IN_A_PART]) for at in range(0, len(order), IN_A_PART)]
    common = _digest(shelf.model_dump_json(exclude={"machines"}), inquiry.model_dump_json(), VERSION, TABLES, str(top))
    found = []
    for line in range(max(len(inquiry.work), 1)):
        for some in slices:
            own = "".join(machines[k].model_dump_json() for k in some)
            found.append(Part(line, some, top, _digest(common, str(line), json.dumps(some), own)))
    return found


def _digest(*texts: str) -> str:
    return hashlib.sha256("\0".join(texts).encode()).hexdigest()


def catalogue_of(inquiry: Inquiry, shelf: Shelf, line: int) -> Catalogue:
    """The catalogue of one line of work.

    Args:
        inquiry: with its lines of work.
        shelf: what is screened.
        line: which line.

    Returns:
        `Catalogue`.

    Example:
        >>> catalogue_of(Inquiry(), Shelf(), 0).attachments
        ()
    """
    return Catalogue(inquiry.model_copy(update={"work": inquiry.work[line : line + 1]}), shelf)


def rows_of_part(part: Part, machines: Sequence[Machine], catalogue: Catalogue, costs: Costs) -> pa.Table:
    """The rows of one part, in the order of machines and attachments.

    Args:
        part: which.
        machines: all machines.
        catalogue: of the part's line of work.
        costs: of the same catalogue.

    Returns:
        A table; figures SI, money in the shelf's currency.

    Example:
        >>> rows_of_part.__name__
        'rows_of_part'
    """
    screen = Screen([machines[k] for k in part.machines], catalogue)
    numbers = np.array(part.machines, dtype=np.int32)
    found = [_kept(block, part, numbers, screen, costs) for block in screen.blocks()]
    columns = {name: np.concatenate([one[name] for one in found]) for name in found[0]} if found else {}
    if not columns:
        return SCHEMA.empty_table()
    order = np.lexsort((columns["attachment_row"], columns["machine_row"]))
    return _table({name: column[order] for name, column in columns.items()}, part.line, catalogue, machines)


def part_file(part: Part, machines: Sequence[Machine], catalogue: Catalogue, costs: Costs) -> bytes:
    """One part as the bytes of a Parquet file: the same part, the same bytes.

    Args:
        part: which.
        machines: all machines.
        catalogue: of the part's line of work.
        costs: of the same catalogue.

    Returns:
        Bytes.

    Example:
        >>> part_file.__name__
        'part_file'
    """
    buffer = io.BytesIO()
    pq.write_table(rows_of_part(part, machines, catalogue, costs), buffer, compression="zstd")
    return buffer.getvalue()


def _kept(block: Block, part: Part, numbers: Any, screen: Screen, costs: Costs) -> dict[str, Any]:
    """The rows of a block that are kept."""
    rows, columns = _chosen(block, part.top)
    prices, mounts, ways = _priced(block, rows, columns, screen, costs)
    ratio = block.ratio[rows, columns]
    return {
        "machine_row": numbers[block.machines[columns]],
        "attachment_row": block.attachments[rows].astype(np.int32),
        "verdict": block.verdict[rows, columns].astype(np.int8),
        "governs": block.governs[rows, columns],
        "ratio": ratio,
        "payload": block.payload[rows, columns],
        "counterweight": block.counterweight[rows, columns],
        "total": prices,
        "mount": mounts,
        "power": ways,
    }


def _chosen(block: Block, top: int) -> tuple[Places, Places]:
    """All that fit, or so many of each machine, best first by verdict and room."""
    if not top or top >= len(block.attachments):
        rows, columns = np.nonzero(block.verdict >= (WEIGHTED if not top else 0))
        return rows, columns
    rank = block.verdict * (2.0 * CHOSEN) + np.minimum(block.ratio, CHOSEN)
    best = np.argsort(-rank, axis=0, kind="stable")[:top]
    machines = np.broadcast_to(np.arange(best.shape[1]), best.shape)
    return best.ravel(), machines.ravel()


def _priced(block: Block, rows: Places, columns: Places, screen: Screen, costs: Costs) -> tuple[Any, Any, Any]:
    """Total, mount and route of each row: each different one looked up once."""
    outfits = block.kin.rows.bench.outfits
    oil = screen.plumbing_of(block.machines)[columns]
    mount, route = block.mounts[rows, columns], block.routes[rows, columns]
    keys, at = np.unique(np.stack([mount, oil, route]), axis=1, return_inverse=True)
    totals, mounts, ways = [], [], []
    for row, kin, way in keys.T.tolist():
        hung, moved = outfits[row], screen.oil[kin]
        mounts.append(f"{hung.mount.interface}.{hung.mount.id}")
        if way == NONE:
            totals.append(float("nan"))
            ways.append("")
            continue
        power, join = moved.outfits[way].power, moved.joins[way]
        ways.append(power.route)
        totals.append(costs.of(int(block.kin.rows.tools[row]), hung.mount, power, join))
    at = at.ravel()
    return np.array(totals)[at], np.array(mounts, dtype=object)[at], np.array(ways, dtype=object)[at]


WORD = pa.dictionary(pa.int32(), pa.string())
SCHEMA = pa.schema(
    [
        ("line", pa.int16()), ("machine_row", pa.int32()), ("attachment_row", pa.int32()),
        ("machine", WORD), ("attachment", WORD), ("verdict", WORD), ("governs", WORD),
        ("ratio", pa.float64()), ("margin", pa.float64()), ("payload", pa.float64()), ("counterweight", pa.float64()),
        ("total", pa.float64()), ("mount", WORD), ("power", WORD),
    ]
)  # fmt: skip


def _table(columns: dict[str, Any], line: int, catalogue: Catalogue, machines: Sequence[Machine]) -> pa.Table:
    ids = [one.id or one.name or str(k) for k, one in enumerate(machines)]
    tools = [one.id for one in catalogue.attachments]
    with np.errstate(divide="ignore", invalid="ignore"):
        margin = 1.0 - 1.0 / columns["ratio"]
    made = {
        **columns,
        "line": np.full(len(margin), line, dtype=np.int16),
        "margin": margin,
        "machine": _words(columns["machine_row"], ids),
        "attachment": _words(columns["attachment_row"], tools),
        "verdict": _words(columns["verdict"], VERDICTS),
        "governs": _words(columns["governs"], (*CODES, "")),  # NONE is the last
        "mount": pa.array(columns["mount"]).dictionary_encode(),
        "power": pa.array(columns["power"]).dictionary_encode(),
    }
    return pa.table([pa.array(made[name]) if name not in WORDS else made[name] for name in SCHEMA.names], SCHEMA)


WORDS = tuple(one.name for one in SCHEMA if one.type == WORD)


def _words(codes: Any, names: Sequence[str]) -> Any:
    """Codes as words, only those in use, in the order of their codes."""
    used, at = np.unique(codes, return_inverse=True)
    words = pa.array([names[int(k)] for k in used], pa.string())
    return pa.DictionaryArray.from_arrays(pa.array(at.ravel().astype(np.int32)), words)

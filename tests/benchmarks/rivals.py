"""The same screen in other tools: what one kin of machines and its attachments come to, pair by pair.

Every rival gets the narrow columns (one figure a machine, one an attachment) ready made, and works out the pairs:
whether all hard checks of hanging hold, and the least of capacity over demand. The formulas are those of the chapters.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handfast.bulk.hang import BY_WEIGHT, REST, Rows
from handfast.bulk.tally import Answer, Tally
from handfast.outfits.bench import EMPTY, FURTHEST, TRAVEL, TRAVEL_HEIGHT, Bench
from handfast.outfits.gripping import _rate, lid_pressures
from handfast.outfits.tools import Same

Column = NDArray[np.float64]
CHECKED = (
    *("mount.width", "lift.needed_height", "lift.curl", "lift.attachment_rating", "grip.opening", "grip.hold"),
    *("balance.rear_share_loaded", "balance.front_share_empty", "balance.front_axle", "balance.rear_axle"),
    *("balance.front_tyres", "balance.rear_tyres", "balance.gross", "balance.slope_hold", "slope.side"),
)


@dataclass(frozen=True)
class Narrow:
    """Machines and attachments as columns."""

    machines: dict[str, Column]
    tools: dict[str, Column]


def ours(bench: Bench) -> Answer:
    """The screen by the program's own checks."""
    tally = Tally(frozenset(CHECKED))
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for check in (*REST, *BY_WEIGHT):
            if check.id in CHECKED:
                tally.take(check, *check.pair(bench))
    return tally.answer(bench.shape)


def narrow(rows: Rows) -> Narrow:
    """What depends on a machine alone, and on an attachment alone; straight mounts only."""
    bench = rows.bench.on(rows.bench.draws, rows.bench.frame)
    d, f, size = bench.draws, bench.frame, bench.draws.size
    made: dict[str, Column] = {
        "wb": f.wheelbase,
        "px": bench.draws["loader.plane_ahead"],
        "pz": -d["loader.plane_drop"],
    }
    needed = d["site.lift_to"] + 0.15 - made["pz"]
    rating, slope = f.rating_at(np.minimum(needed, f.height_max))
    made |= {"gate": d["site.gate"], "lam": slope, "cap": np.where(needed <= f.height_max, rating, 0.0)}
    made |= {"curl": 0.5 * d["loader.curl_at_500"], "press": lid_pressures(bench), "beta": d["site.slope"]}
    poses = (("f", FURTHEST, f.pivot.z, 1.0), ("e", EMPTY, f.height_max, 1.0), ("t", TRAVEL, TRAVEL_HEIGHT, 1.0))
    more = (("b", TRAVEL, TRAVEL_HEIGHT, bench.bump), ("h", TRAVEL, np.minimum(needed, f.height_max), 1.0))
    for name, pose, height, bump in (*poses, *more):
        at = np.asarray(height, dtype=np.float64)
        items = [i for i in bench.items(pose, bump=bump, height=at) if np.ndim(i.mass) < 2 and np.ndim(i.x) < 2]
        made[f"{name}m"] = sum(np.asarray(i.mass) for i in items)
        made[f"{name}x"] = sum(np.asarray(i.mass) * np.asarray(i.x) for i in items)
        made[f"{name}z"] = sum(np.asarray(i.mass) * np.asarray(i.z) for i in items)
        made[f"{name}p"], made[f"{name}h"] = f.pin_x(at), at + 0.0 * f.wheelbase
    axle = bench.front_axle
    made |= {"am": np.asarray(axle.mass), "az": np.asarray(axle.z), "half": 0.5 * d["rear_track"]}
    made |= {"up": d["front_pivot_height"], "bump": np.array([bench.bump])}
    made |= {"fa": d["front_axle_rating"], "ra": d["rear_axle_rating"], "gr": d["gross_rating"]}
    made |= {"ft": 2.0 * d["front_tyre.load_each"], "rt": 2.0 * d["rear_tyre.load_each"]}
    machines = {k: np.broadcast_to(np.asarray(v, dtype=np.float64), (size,)).copy() for k, v in made.items()}
    return Narrow(machines, _tools(bench))


def _tools(bench: Bench) -> dict[str, Column]:
    rows, t = len(bench.outfits), bench.tools
    slips = [_rate(Same(o.attachment), float(bench.load.diameter[0, 0]), 0.5) for o in bench.outfits]
    lids = np.array([float(o.attachment.lids or 0) for o in bench.outfits])
    made = {
        "tm": t["mass"], "cx": t["cg.x"], "cz": t["cg.z"], "w": t["width"], "rated": t["rated_load"],
        "l": bench.load.mass,
        "lx": bench.load.x, "lz": bench.load.z, "opens": np.fmin(t["opening_tip"], t["opening_throat"]),
        "dia": bench.load.diameter, "lids": np.where(lids > 0, 1.0, np.nan),
        "oil": np.array([a for a, _ in slips]) * lids, "motor": np.array([b for _, b in slips]) * lids,
    }  # fmt: skip
    return {k: np.broadcast_to(np.asarray(v, dtype=np.float64).reshape(-1), (rows,)).copy() for k, v in made.items()}


LETS = (
    ("tx", "px + cx"), ("sx", "px + lx"), ("tz", "pz + cz"), ("sz", "pz + lz"),
    ("g", "tm + l"), ("gm", "tm * tx + l * sx"), ("gz", "tm * tz + l * sz"),
    ("ftot", "fm + g"), ("ffr", "(fx + fp * g + gm) / wb"), ("frr", "ftot - ffr"),
    ("etot", "em + tm"), ("efr", "(ex + ep * tm + tm * tx) / wb"), ("err", "etot - efr"),
    ("btot", "bm + bump * g"), ("bfr", "(bx + bump * (bp * g + gm)) / wb"), ("brr", "btot - bfr"),
    ("ttot", "tm_ + g"), ("tgx", "(tx_ + tp * g + gm) / ttot"), ("tgz", "(tz_ + th * g + gz) / ttot"),
    ("htot", "hm + g"), ("hgx", "(hx + hp * g + gm) / htot"), ("hgz", "(hz + hh * g + gz) / htot"),
    ("tbm", "ttot - am"), ("tbx", "(ttot * tgx - am * wb) / tbm"), ("tbz", "(ttot * tgz - am * az) / tbm"),
    ("hbm", "htot - am"), ("hbx", "(htot * hgx - am * wb) / hbm"), ("hbz", "(htot * hgz - am * az) / hbm"),
    ("ta", "half * tbz - up * half"), ("tb", "wb * tbz - tbx * up"), ("tk", "wb * half - tbx * half"),
    ("ha", "half * hbz - up * half"), ("hb", "wb * hbz - hbx * up"), ("hk", "wb * half - hbx * half"),
    ("ts1", "max0(tk) * max0(tk) / (ta * ta + tb * tb)"), ("hs1", "max0(hk) * max0(hk) / (ha * ha + hb * hb)"),
    ("ts2", "max0(min2(tgx, wb - tgx)) * max0(min2(tgx, wb - tgx)) / (tgz * tgz)"),
    ("hs2", "max0(min2(hgx, wb - hgx)) * max0(min2(hgx, wb - hgx)) / (hgz * hgz)"),
    ("roll", "0.5 * min2(atan(sqrt(min2(ts1, ts2))), atan(sqrt(min2(hs1, hs2))))"),
    ("along", "9.80665 * ttot * sin(beta)"), ("grip", "0.5 * 9.80665 * ttot * cos(beta)"),
    ("front", "max3(ffr, efr, bfr)"), ("rear", "max3(frr, err, brr)"), ("gross", "max3(ftot, etot, ttot)"),
)  # fmt: skip
RATIOS = (
    "gate / w", "cap / (tm * (1 + lam * tx) + l * (1 + lam * sx))", "curl / (tm * tx + l * sx)", "rated / l",
    "opens / (1.2 * dia * lids)", "(oil * press + motor) / (1.5 * 9.80665 * l * lids)",
    "frr / ftot / 0.20", "efr / etot / 0.20", "fa / front", "ra / rear", "ft / front", "rt / rear", "gr / gross",
    "grip / along", "roll / beta",
)  # fmt: skip


def plain_numpy(n: Narrow) -> tuple[int, float]:
    """Whole arrays at once, no blocks: held pairs and the sum of the least ratios (capped at 10)."""
    space: dict[str, object] = {k: v[None, :] for k, v in _renamed(n.machines).items()}
    space |= {k: v[:, None] for k, v in n.tools.items()}
    space |= {"max0": lambda a: np.maximum(a, 0.0), "min2": np.minimum, "sqrt": np.sqrt, "atan": np.arctan}
    space |= {"sin": np.sin, "cos": np.cos, "max3": lambda a, b, c: np.maximum(np.maximum(a, b), c)}
    with np.errstate(all="ignore"):
        for name, text in LETS:
            space[name] = eval(text, {}, space)
        least: object = np.inf
        for text in RATIOS:
            least = np.fmin(least, eval(text, {}, space))  # type: ignore[call-overload]
    found = np.asarray(least)
    return int((found >= 1.0 - 1e-9).sum()), float(np.minimum(found, 10.0).sum())


def _renamed(machines: dict[str, Column]) -> dict[str, Column]:
    """The travelling pose's own sums would have the names of an attachment's columns."""
    return {{"tm": "tm_", "tx": "tx_", "tz": "tz_"}.get(k, k): v for k, v in machines.items()}


def in_sql(n: Narrow) -> tuple[int, float]:
    """DuckDB: one query over the cross join, two threads."""
    import duckdb
    import pyarrow as pa

    base = duckdb.connect(config={"threads": 2})
    base.register("machines", pa.table(_renamed(n.machines)))
    base.register("tools", pa.table(n.tools))
    base.execute("CREATE TABLE m AS SELECT * FROM machines; CREATE TABLE t AS SELECT * FROM tools")
    base.execute("CREATE MACRO max0(a) AS CASE WHEN a > 0 THEN a ELSE 0 END")
    base.execute("CREATE MACRO min2(a, b) AS CASE WHEN a < b THEN a ELSE b END")
    base.execute("CREATE MACRO max2(a, b) AS CASE WHEN a > b THEN a ELSE b END")
    base.execute("CREATE MACRO max3(a, b, c) AS max2(max2(a, b), c)")
    inner = "SELECT * FROM m CROSS JOIN t"
    layer: list[str] = []
    known: set[str] = set()
    for name, text in (*LETS, *((f"r{k}", text) for k, text in enumerate(RATIOS))):
        if any(_uses(text, other) for other in known):
            inner, layer, known = f"SELECT *, {', '.join(layer)} FROM ({inner})", [], set()
        layer.append(f"{text} AS {name}")
        known.add(name)
    inner = f"SELECT *, {', '.join(layer)} FROM ({inner})"
    kept = ", ".join(f"CASE WHEN isfinite(r{k}) THEN r{k} ELSE 1e300 END" for k in range(len(RATIOS)))
    asked = "count(*) FILTER (WHERE x >= 1 - 1e-9), sum(least(x, 10))"
    query = f"SELECT {asked} FROM (SELECT least({kept}) AS x FROM ({inner}))"
    held, total = base.execute(query).fetchone() or (0, 0.0)
    return int(held), float(total)


def _uses(text: str, name: str) -> bool:
    import re

    return re.search(rf"\b{name}\b", text) is not None


def in_frames(n: Narrow) -> tuple[int, float]:
    """Polars: a lazy cross join, its own threads."""
    import polars as pl

    frame = pl.DataFrame(_renamed(n.machines)).lazy().join(pl.DataFrame(n.tools).lazy(), how="cross")
    space: dict[str, object] = {k: pl.col(k) for k in (*_renamed(n.machines), *n.tools)}
    space |= {
        "max0": lambda a: pl.max_horizontal(a, 0.0),
        "min2": lambda a, b: pl.min_horizontal(a, b),
        "max3": lambda a, b, c: pl.max_horizontal(a, b, c),
        "sqrt": lambda a: a.sqrt(), "atan": lambda a: a.arctan(), "sin": lambda a: a.sin(), "cos": lambda a: a.cos(),
    }  # fmt: skip
    for name, text in LETS:
        frame = frame.with_columns(eval(text, {}, space).alias(name))
        space[name] = pl.col(name)
    ratios = [eval(text, {}, space) for text in RATIOS]
    least = pl.min_horizontal(*(pl.when(one.is_finite()).then(one).otherwise(1e300) for one in ratios))
    found = frame.select((least >= 1.0 - 1e-9).sum().alias("held"), pl.min_horizontal(least, 10.0).sum().alias("total"))
    row = found.collect(engine="streaming").row(0)
    return int(row[0]), float(row[1])


def scalar_loop(rows: Rows, pairs: int) -> tuple[int, float]:
    """The program's own checks, one pair at a time."""
    from handfast.bulk.side_by_side import some
    from handfast.outfits.frame import frame_of
    from handfast.outfits.loads import WorkLoad

    held, total, done = 0, 0.0, 0
    for column in range(rows.bench.draws.size):
        draws = some(rows.bench.draws, column, column + 1)
        for row in range(len(rows.tools)):
            whole = rows.bench.load
            each = (
                one[row : row + 1] if len(one) > 1 else one for one in (whole.mass, whole.x, whole.z, whole.diameter)
            )
            tools = {k: v[row : row + 1] for k, v in rows.bench.tools.items()}
            inquiry, outfit = rows.bench.inquiry, rows.bench.outfits[row : row + 1]
            found = ours(Bench(inquiry, draws, frame_of(inquiry, draws), outfit, tools, WorkLoad(*each)))
            held, total = held + int(found.holds[0, 0]), total + min(float(found.ratio[0, 0]), 10.0)
            done += 1
            if done == pairs:
                return held, total
    return held, total


def pure_python(n: Narrow, pairs: int) -> tuple[int, float]:
    """The formulas one pair at a time in plain floats."""
    space: dict[str, object] = {
        "max0": lambda a: max(a, 0.0), "min2": min, "max3": max, "sqrt": math.sqrt, "atan": math.atan, "sin": math.sin,
        "cos": math.cos,
    }  # fmt: skip
    lets = [(name, compile(text, name, "eval")) for name, text in LETS]
    ratios = [compile(text, "ratio", "eval") for text in RATIOS]
    machines = {k: v.tolist() for k, v in _renamed(n.machines).items()}
    tools = {k: v.tolist() for k, v in n.tools.items()}
    held, total, done = 0, 0.0, 0
    for column in range(len(next(iter(machines.values())))):
        space |= {k: v[column] for k, v in machines.items()}
        for row in range(len(next(iter(tools.values())))):
            space |= {k: v[row] for k, v in tools.items()}
            for name, code in lets:
                space[name] = eval(code, {}, space)
            each = [eval(code, {}, space) for code in ratios]
            least = min((one for one in each if one == one), default=math.inf)
            held, total, done = held + (least >= 1.0 - 1e-9), total + min(least, 10.0), done + 1
            if done == pairs:
                return held, total
    return held, total

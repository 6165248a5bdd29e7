"""Getting the work done: loads, cycle, hours and yearly cost of each outfit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from handfast.advice.odds import Judged
from handfast.machines.inquiry import Inquiry
from handfast.machines.price_book import PriceBook
from handfast.machines.work import Work
from handfast.outfits.lid import closing_time
from handfast.physics import job
from handfast.physics.volume import pile_volume
from handfast.quantities.arrays import row_quantiles
from handfast.quantities.units import to_si

# Common practice, no source; each is shown beside the figure and the dealer edits what the site says.
HAUL = 60.0  # m one way
LOADED, EMPTY = to_si(3.5, "mph"), to_si(5.0, "mph")
BITE = {"pallets": 25.0, "loose": 12.0, "square_bales": 35.0, "round_bales": 25.0}
OTHER_BITE, MANOEUVRE, LIFT, DUMP = 39.0, 24.0, 8.0, 18.0
LID_OTHERWISE = 3.0  # s a stroke where it is not known
LOAD_SHARE = 0.4  # of the engine's power, mean over loader work
PIECES_AT_ONCE = 1.0


@dataclass(frozen=True)
class WorkDone:
    """One outfit's job."""

    loads: float
    hours: float
    cycle: float
    per_hour: float
    fuel: float
    note: str


def work_done(judged: Judged, inquiry: Inquiry) -> list[WorkDone]:
    """Loads and hours of every outfit for the line of work that it is spoken of by.

    Args:
        judged: the outfits.
        inquiry: the work and the site.

    Returns:
        One `WorkDone` an outfit; NaN where the amount is not known.

    Source: `physics.job`; times of practice.

    Example:
        >>> from handfast.outfits.example import inquiry, laid
        >>> from handfast.machines.shelf import Shelf
        >>> from handfast.advice.odds import judge
        >>> work_done(judge(laid(), Shelf()), inquiry())[0].loads > 1
        True
    """
    bench = judged.bench
    lids = row_quantiles(closing_time(bench, 40.0), (0.5,))[0]
    payload = row_quantiles(np.atleast_2d(bench.hung_once.payload_at(bench.frame.height_max)), (0.5,))[0]
    one_bite = row_quantiles(np.atleast_2d(bench.load.mass), (0.5,))[0]
    done: list[WorkDone] = []
    cycles: dict[tuple[float, float, str], tuple[float, float]] = {}
    volumes = [pile_of(work) for work in inquiry.work]
    power = rated_power(inquiry)
    for row, outfit in enumerate(bench.outfits):
        hung = bench.hanging[row]
        carries = float(payload[hung if len(payload) > 1 else 0])
        bite = float(one_bite[row if len(one_bite) > 1 else 0])
        lid = lid_time(float(lids[row if len(lids) > 1 else 0]), bool(outfit.attachment.lids))
        work = bench.work_of(row)
        key = (lid, outfit.power.words.delay, str(work.kind))
        if key not in cycles:
            cycle = _cycle(inquiry, *key)
            cycles[key] = cycle, float(job.loads_per_hour(cycle))
        loads, note = _loads(
            work, volumes[bench.lines[row] if bench.lines else 0] if volumes else np.nan, carries, bite
        )
        done.append(_done(loads, note, *cycles[key], power))
    return done


def lid_time(seconds: float, has_lid: bool) -> float:
    """Closing and opening a lid together [s].

    Args:
        seconds: closing stroke [s]; not finite where not known.
        has_lid: whether there is a lid.

    Returns:
        Time [s].

    Example:
        >>> lid_time(4.0, True)
        8.0
    """
    if not has_lid:
        return 0.0
    return 2.0 * (seconds if np.isfinite(seconds) else LID_OTHERWISE)


def _cycle(inquiry: Inquiry, lid: float, delay: float, kind: str) -> float:
    haul = inquiry.site.haul_distance.value
    travel = job.travel_time(haul if np.isfinite(haul) else HAUL, LOADED, EMPTY)
    return float(job.cycle_time(travel, BITE.get(kind, OTHER_BITE), MANOEUVRE, LIFT, lid, DUMP, delay))


def _done(loads: float, note: str, cycle: float, per_hour: float, power: float) -> WorkDone:
    if not np.isfinite(loads):
        return WorkDone(np.nan, np.nan, cycle, per_hour, np.nan, note)
    seconds = float(job.job_time(loads, cycle))
    return WorkDone(loads, seconds / 3600.0, cycle, per_hour, float(job.fuel_used(power, LOAD_SHARE, seconds)), note)


def _loads(work: Work, volume: float, payload: float, bite: float) -> tuple[float, str]:
    """How many trips a line of work takes."""
    if work.kind in ("brush", "root_raking", "loose") and np.isfinite(volume) and bite > 0:
        amount = volume * _density_of(work, bite)
        trip = float(job.one_load(payload, bite))
        return float(np.ceil(job.loads_needed(amount, trip))), "pile over bite"
    if not work.count.is_unknown:
        at_once = (
            max(1.0, np.floor(payload / bite))
            if work.kind == "logs" and bite > 0 and work.diameter.value < 0.2
            else 1.0
        )
        return float(np.ceil(work.count.value / at_once)), "pieces over pieces a trip"
    return np.nan, "no amount of work named"


def pile_of(work: Work) -> float:
    """Gross volume of the pile: said, or half an ellipsoid of its three sizes.

    Args:
        work: the line of work.

    Returns:
        Volume [m³]; NaN where neither is said.

    Source: half-ellipsoid of piled-fuel guidance.

    Example:
        >>> pile_of(Work(kind="brush", volume=20.0))
        20.0
    """
    if not work.volume.is_unknown:
        return work.volume.value
    return float(pile_volume(work.width.value, work.length.value, work.height.value))


def _density_of(work: Work, bite: float) -> float:
    """Mass of a cubic metre of the pile as it lies."""
    if not work.density.is_unknown and not work.packing.is_unknown:
        return work.density.value * work.packing.value
    return LOOSE if np.isfinite(bite) else np.nan


LOOSE = to_si(250.0, "lb") / to_si(1.0, "yd3")  # kg/m³ of loose brush (common practice, no source)


def rated_power(inquiry: Inquiry) -> float:
    """The engine's power, else a usual one [W].

    Args:
        inquiry: the inquiry.

    Returns:
        Power [W].

    Example:
        >>> round(rated_power(Inquiry()))
        22371
    """
    power = inquiry.machine.engine_power.value
    return power if np.isfinite(power) else to_si(30.0, "hp")


def yearly_cost(total: float, hours: float, book: PriceBook) -> float:
    """Owning and repair of an outfit a year [money].

    Args:
        total: what it costs fitted.
        hours: worked a year; NaN counts as none.
        book: interest, life, resale and repair.

    Returns:
        Money a year.

    Source: capital recovery after ASABE EP496; rates from the price book (D497 lists no loader attachment).

    Example:
        >>> round(yearly_cost(1000.0, float("nan"), PriceBook()), 2)
        143.43
    """
    interest, years = _or(book.interest.value, 0.07), _or(book.life_years.value, 10.0)
    resale, repair = _or(book.resale.value, 0.4), _or(book.repair.value, 0.03)
    owning = float(job.capital_recovery(total, resale * total, interest, years))
    driver = _or(book.driver_per_hour.value, 28.0)
    return owning + repair * total + (hours if np.isfinite(hours) else 0.0) * driver


def _or(value: float, otherwise: float) -> float:
    return value if np.isfinite(value) else otherwise

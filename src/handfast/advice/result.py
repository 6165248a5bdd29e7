"""What advise() returns: plain frozen records, named as the JSON result names them."""

from __future__ import annotations

from dataclasses import dataclass, field

from handfast.advice.result_band import Band as Band
from handfast.advice.result_drawn import Axles as Axles
from handfast.advice.result_drawn import Curve as Curve
from handfast.advice.result_drawn import Geometry as Geometry
from handfast.advice.result_drawn import SlopeCurve as SlopeCurve
from handfast.advice.result_measured import Measured as Measured


@dataclass(frozen=True)
class CheckResult:
    """One check of one outfit: what is asked, what there is, what is to spare."""

    id: str
    title: str
    kind: str  # "S H", "H", "A": safety, hard, advisory
    unit: str
    demand: Band | None
    capacity: Band | None
    margin: Band | None
    held: float | None  # share of samples in which it holds; None = not decidable yet
    hard: bool
    safety: bool
    basis: str  # where and in which pose
    origin: str  # weakest origin among the facts it rests on
    source: str  # formula or rule and where it comes from
    sentence: str  # one sentence a dealer can read out


@dataclass(frozen=True)
class Mount:
    """How the attachment hangs on the loader."""

    route: str  # direct, ears, adapter, conversion
    title: str
    interface: str  # what the machine must have
    parts: tuple[str, ...]
    mass: float  # kg added at the loader
    forward: float  # m the mounting plane moves forward
    vertical: float  # m up
    payload_cost: float | None  # kg of payload the route costs against pinning straight on


@dataclass(frozen=True)
class Power:
    """How the lid is moved."""

    route: str
    title: str
    control: str
    parts: tuple[str, ...]
    convenience: int  # 0 (off the seat) to 5 (thumb switch)
    close_time: float | None  # s at 40 °C
    cold_time: float | None  # s at -10 °C
    stall_force: float | None  # N
    note: str


@dataclass(frozen=True)
class Condition:
    """Something that must be so before the verdict holds."""

    kind: str  # ballast, height, fact
    text: str
    value: float | None
    unit: str


@dataclass(frozen=True)
class PickUp:
    """What the outfit picks up, in the caller's terms."""

    what: str
    value: float
    unit: str
    text: str


@dataclass(frozen=True)
class BallastPiece:
    """One piece of the chosen ballast."""

    part: str
    title: str
    count: int
    mass: float  # kg in all
    behind: float  # m behind the rear axle
    at: str


@dataclass(frozen=True)
class BallastWorth:
    """What a piece of ballast on the shelf buys."""

    part: str
    title: str
    at: str
    mass: float  # kg; a pair of wheel weights is one piece
    behind: float  # m behind the rear axle
    price: float
    useful: float  # kg on the rear axle beyond the share that its own mass asks for
    off_front: float  # kg taken off the front axle; 0 at the wheels
    price_per_useful: float | None
    price_per_off_front: float | None  # None: no money takes anything off there


@dataclass(frozen=True)
class Ballast:
    """What must hang behind, and the set chosen."""

    needed: float  # kg at the hitch for the rule, 0 when none
    rule: float  # rear share asked, 0.20 or 0.25
    chosen: tuple[BallastPiece, ...]
    cost: float
    already: float  # kg hanging there now
    note: str
    worth: tuple[BallastWorth, ...] = ()  # the shelf's pieces, best buy first
    why: str = ""  # why weight at the wheels does not relieve the front axle


@dataclass(frozen=True)
class CostLine:
    """One line of the bill."""

    what: str
    group: str
    hidden: bool  # not in the price people see on-line
    low: float
    likely: float
    high: float
    origin: str


@dataclass(frozen=True)
class Cost:
    """Installed and delivered."""

    lines: tuple[CostLine, ...]
    p10: float
    p50: float
    p90: float
    ceiling: float  # "not more than": P90 rounded up
    hidden: float  # likely total of hidden lines
    currency: str

    @property
    def whole(self) -> bool:
        """Whether the attachment's own price is in it, so that a total may be said."""
        return any(line.group == "attachment" for line in self.lines)


@dataclass(frozen=True)
class Job:
    """Getting the work done."""

    loads: float | None
    hours: float | None
    cycle: float | None  # s
    loads_per_hour: float | None
    fuel: float | None  # m3
    yearly_cost: float | None
    note: str


@dataclass(frozen=True)
class Connection:
    """Hoses, fittings and couplers for the lid."""

    lines: tuple[str, ...]
    hoses: tuple[str, ...]
    price: float
    note: str


@dataclass(frozen=True)
class Payload:
    """kg in the jaws, after quick attach, route and attachment."""

    full_height: Band | None
    lift_to: Band | None
    level: Band | None


@dataclass(frozen=True)
class OutfitAdvice:
    """One whole answer."""

    id: str
    attachment: str
    title: str
    kind: str
    mount: Mount
    power: Power
    verdict: str  # fits, fits with conditions, does not fit, not enough known
    verdict_text: str  # the sentence
    held: float
    error: float
    over_checks: int
    governs: str | None
    conditions: tuple[Condition, ...]
    pareto: bool
    best_at: str | None  # lightest bill, most lift, least bother
    rank: int
    checks: tuple[CheckResult, ...]
    payload: Payload
    load: float | None  # kg of one piece, median
    load_text: str
    picks_up: tuple[PickUp, ...]
    ballast: Ballast
    connection: Connection
    cost: Cost
    job: Job
    axles: tuple[Axles, ...]
    slope_limit: float | None  # rad, a figure to refuse by
    curve: Curve
    geometry: Geometry
    cautions: tuple[str, ...]
    say: str
    seen_elsewhere: bool = False
    slopes: tuple[SlopeCurve, ...] = ()
    serves: tuple[str, ...] = ()  # lines of work that it is a tool for
    leaves: tuple[str, ...] = ()  # lines of work that it is not
    work_notes: tuple[str, ...] = ()  # what to mind at the work that it serves


@dataclass(frozen=True)
class Question:
    """What to ask next, in the caller's words."""

    fact: str
    question: str
    answers: tuple[str, ...]
    worth: float  # money, of an answer as accurate as answers are
    burden: float  # money-like scale of bother
    why: str
    how: str
    accuracy: float = 1.0  # what share of the truth an answer tells


@dataclass(frozen=True)
class Change:
    """One change that would do."""

    outfit: str
    check: str
    change: str
    value: float
    unit: str
    lever: str = ""  # piece, thickness, attachment, opening, width, behind, lift_to, slope
    path: str = ""  # of what is changed
    at: float = 1.0  # the share of it that is left, or for "behind" the kg that hang on the hitch


@dataclass(frozen=True)
class Rejected:
    """An attachment or route that does not come into question, and why."""

    attachment: str
    title: str
    why: str
    outfit: str | None = None


@dataclass(frozen=True)
class Fact:
    """A fact as read: for the page's left side and the title block."""

    path: str
    title: str
    text: str
    certainty: str  # sure, about, not known
    origin: str


@dataclass(frozen=True)
class Advice:
    """The whole answer to one inquiry."""

    title: str
    machine: str
    currency: str
    outfits: tuple[OutfitAdvice, ...]
    ask_next: tuple[Question, ...]
    one_change: tuple[Change, ...]
    rejected: tuple[Rejected, ...]
    say_now: str
    do_not_promise: tuple[str, ...]
    open_facts: tuple[str, ...]
    cautions: tuple[str, ...]
    facts: tuple[Fact, ...]
    notes: tuple[str, ...]
    seed: int
    samples: int
    thresholds: dict[str, float] = field(default_factory=dict)
    measured: Measured | None = None  # None where nothing was measured
    enough: str = ""  # why nothing more need be asked for the choice; empty while an answer pays

    def outfit(self, outfit_id: str) -> OutfitAdvice:
        """The outfit of that id; KeyError if there is none."""
        return {one.id: one for one in self.outfits}[outfit_id]

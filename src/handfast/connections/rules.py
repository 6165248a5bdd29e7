"""The rules of hydraulic circuits: which of them speak for a route, what breaks and what must be minded."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from math import isnan
from typing import Literal

from handfast.quantities.showing import show
from handfast.quantities.tables import table

Severity = Literal["breaks", "mind"]
Stage = Literal["choice", "fitting", "use"]
Figures = Mapping[str, tuple[float, str] | str]

NAN = float("nan")
SEVEN = 7
"""Lines at a loader valve with power beyond: pump, tank, four work lines, power beyond (trade practice)."""

IN_SERIES = frozenset(("power_beyond",))
"""What a kit needs when it stands in the row of open-centre valves."""

LEVERS = frozenset(("rear_remote_forward", "mid_outlet"))
BUTTONS = frozenset(("third_function", "front_outlets", "diverter", "separate_pump"))
OWN_PUMP = "separate_pump"


@dataclass(frozen=True)
class CircuitFacts:
    """What the rules look at: pressures [Pa], flows [m³/s], nan and None where nobody has said.

    `needs` and `brings` are the kit's words; `kit_centre` is empty where there is no kit or it suits every centre.
    """

    route: str
    centre: str | None = None
    kit_centre: tuple[str, ...] = ()
    needs: frozenset[str] = frozenset()
    brings: frozenset[str] = frozenset()
    has_kit: bool = True
    lines_at_valve: int | None = None
    power_beyond: bool | None = None
    relief: float = NAN
    tank_port: float = NAN
    flow: float = NAN
    kit_flow: float = NAN
    detent: bool | None = None
    steering_first: bool | None = None
    regenerative: bool | None = None
    lid_held: bool | None = None
    blocked: float = NAN
    coupler_bore: float = NAN
    line_bore: float = NAN
    flush_face: bool = True

    @property
    def in_series(self) -> bool:
        """Whether the added valve stands in the row of open-centre valves."""
        return bool(self.needs & IN_SERIES)


@dataclass(frozen=True)
class Rule:
    """One rule: its words, whether it breaks or must be minded, and when: at the choice, the fitting, in use."""

    id: str
    severity: Severity
    stage: Stage
    sentence: str
    remedy: str


@dataclass(frozen=True)
class RuleFinding:
    """A rule that speaks for a circuit, with the figures of its sentence."""

    rule: Rule
    figures: Figures = field(default_factory=dict)

    def sentence(self, system: str = "us") -> str:
        """The sentence with its figures in a system of units."""
        return self.rule.sentence.format(**_written(self.figures, system))

    def in_full(self, system: str = "us") -> str:
        """The sentence and what to do."""
        return f"{self.sentence(system)}: {self.rule.remedy}"


def _written(figures: Figures, system: str) -> dict[str, str]:
    return {name: v if isinstance(v, str) else show(v[0], v[1], system) for name, v in figures.items()}


@cache
def circuit_rules() -> dict[str, Rule]:
    """The table of circuit rules by id.

    Returns:
        Rules in the order of the table.

    Source: circuit_rules.csv.

    >>> circuit_rules()["regenerative"].severity
    'breaks'
    """
    return {
        row["rule"]: Rule(row["rule"], _severity(row), _stage(row), row["sentence"], row["remedy"])
        for row in table("circuit_rules.csv")
    }


def _severity(row: Mapping[str, str]) -> Severity:
    return "breaks" if row["severity"] == "breaks" else "mind"


def _stage(row: Mapping[str, str]) -> Stage:
    if row["stage"] == "choice":
        return "choice"
    return "fitting" if row["stage"] == "fitting" else "use"


def check_circuit(facts: CircuitFacts) -> tuple[RuleFinding, ...]:
    """Every rule that speaks for a circuit, what breaks first.

    Args:
        facts: The route, its kit and the machine.

    Returns:
        Findings, those that break before those to mind, in the order of the table.

    Source: circuit_rules.csv.

    >>> [f.rule.id for f in check_circuit(CircuitFacts("diverter", regenerative=True)) if f.rule.severity == "breaks"]
    ['regenerative']
    """
    found = []
    for name, rule in circuit_rules().items():
        figures = WHEN[name](facts)
        if figures is not None:
            found.append(RuleFinding(rule, figures))
    return tuple(sorted(found, key=lambda finding: finding.rule.severity != "breaks"))


def _when(applies: bool | None) -> Figures | None:
    return {} if applies else None


def _centre_open(f: CircuitFacts) -> Figures | None:
    wrong = f.centre in ("closed", "load_sensing") and f.kit_centre == ("open",)
    return {"centre": str(f.centre).replace("_", "-")} if wrong else None


def _centre_closed(f: CircuitFacts) -> Figures | None:
    return _when(f.centre == "open" and bool(f.kit_centre) and "open" not in f.kit_centre)


def _sense_line(f: CircuitFacts) -> Figures | None:
    return _when(f.centre == "load_sensing" and "sense_port" in f.needs)


def _no_power_beyond(f: CircuitFacts) -> Figures | None:
    return _when(f.in_series and f.power_beyond is False)


def _few_lines(f: CircuitFacts) -> Figures | None:
    lines = f.lines_at_valve
    few = f.in_series and f.power_beyond is None and lines is not None and lines < SEVEN
    return {"lines": str(lines)} if few else None


def _doubt(f: CircuitFacts) -> Figures | None:
    lines = f.lines_at_valve
    doubt = f.in_series and f.power_beyond is True and lines is not None and lines < SEVEN
    return {"lines": str(lines)} if doubt else None


def _tank_port(f: CircuitFacts) -> Figures | None:
    low = f.in_series and f.tank_port < f.relief
    return {"tank": (f.tank_port, "pressure"), "relief": (f.relief, "pressure")} if low else None


def _flow(f: CircuitFacts) -> Figures | None:
    above = f.has_kit and f.route != OWN_PUMP and f.flow > f.kit_flow * (1.0 + 1e-9)
    return {"flow": (f.flow, "flow"), "rated": (f.kit_flow, "flow")} if above else None


def _blocked(f: CircuitFacts) -> Figures | None:
    return None if isnan(f.blocked) else {"blocked": (f.blocked, "pressure")}


WHEN: dict[str, Callable[[CircuitFacts], Figures | None]] = {
    "centre_open_on_closed": _centre_open,
    "centre_closed_on_open": _centre_closed,
    "sense_line": _sense_line,
    "power_beyond_missing": _no_power_beyond,
    "power_beyond_lines": _few_lines,
    "power_beyond_doubt": _doubt,
    "power_beyond_sleeve": lambda f: _when(f.in_series),
    "series_order": lambda f: _when(f.in_series),
    "tank_port": _tank_port,
    "tank_port_unknown": lambda f: _when(f.in_series and isnan(f.tank_port)),
    "detent": lambda f: _when(f.route == "rear_remote_forward" and not f.in_series and f.detent is not False),
    "button_held": lambda f: _when(f.route in BUTTONS),
    "hitch_starved": lambda f: _when(f.centre != "closed" and f.route in BUTTONS | LEVERS and f.route != OWN_PUMP),
    "steering_shared": lambda f: _when(f.route != OWN_PUMP and f.steering_first is None),
    "lid_drifts": lambda f: _when(f.lid_held is False),
    "diverter_holds": lambda f: _when(f.route == "diverter"),
    "regenerative": lambda f: _when(f.route == "diverter" and f.regenerative),
    "regenerative_unknown": lambda f: _when(f.route == "diverter" and f.regenerative is None),
    "branch_relief": lambda f: _when(f.route == OWN_PUMP and "relief_valve" not in f.brings),
    "flow_above_kit": _flow,
    "coupler_not_home": _blocked,
    "coupler_not_home_plain": lambda f: _when(isnan(f.blocked)),
    "trapped_pressure": lambda f: {},
    "flush_face": lambda f: _when(f.flush_face),
    "small_couplers": lambda f: _when(f.coupler_bore < 0.75 * f.line_bore),
    "lines_swapped": lambda f: _when(f.has_kit and (f.in_series or f.route in ("diverter", OWN_PUMP))),
}
"""For each rule of the table when it speaks: figures for its sentence, or None."""

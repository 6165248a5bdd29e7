"""Simulated calls: how many questions it takes to reach the choice that all answers together would make.

A hidden true machine is drawn from the class tables, quantities that go together drawn together, and what hangs behind
it from the table of what callers have there; the caller knows its class and the log that is to be lifted, and answers
what is asked truly. Ways of asking, on the same calls: ours (worth over burden), a fixed list that was frozen in the
repository before it was first run (data/fixed_list.csv), random order, and greedy variance twice: the fact whose
knowing takes most off the variance of what the outfit chosen now costs, and of what the best outfit costs.

Counted are the questions to where the choice is first right, to where it is right for good, to our stop (nothing that
is open is worth its bother, applied to all alike), and to a stop of its own: ours the same, greedy variance where the
cost that it watches is known to a standard deviation of 50, the list and random order none but their end. Right: in
the samples that are left when every question of the list is answered, the choice costs less than 50 more than the best
act. So as to end in minutes, a part of the shelf is used: six attachments with every kit and valve. `--picture FILE`
draws it.
"""

from __future__ import annotations

import argparse
import csv
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import numpy as np
import pytest

import handfast.outfits.lay as laying
from handfast.advice.advise import _priced
from handfast.advice.ask import ask_next, fact_of
from handfast.advice.hanging import PATH, hung_kinds, losses_hung
from handfast.advice.knowing import worth_of_answers
from handfast.advice.odds import Judged, judge
from handfast.advice.rank import Losses, losses
from handfast.advice.work_done import work_done
from handfast.machines.inquiry import Behind, Inquiry
from handfast.machines.reading import demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.machines.work import Work
from handfast.outfits.draws import Draws, Plan, draw, typical
from handfast.outfits.lay import Laid
from handfast.quantities import sobol
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate

HERE = Path(__file__).parent
TOOLS = ("thicketjaw-48", "thicketjaw-55", "billetjaw-32", "billetjaw-36e", "stookwright-forkjaw-42c", "billetjaw-32c")
CLASSES = ("subcompact", "compact_small", "compact_large", "utility")
SAME = 50.0  # money: as good as the best
CALLS = 500


def fixed_list() -> list[str]:
    """The frozen list."""
    with (HERE / "data" / "fixed_list.csv").open(encoding="utf-8") as file:
        return [row["fact"] for row in csv.DictReader(file)]


def part_of_the_shelf() -> Shelf:
    shelf = demo_shelf()
    parts = {key: one for key, one in shelf.parts.items() if one.kind != "ballast"}
    return Shelf(attachments={key: shelf.attachments[key] for key in TOOLS}, parts=parts, price_book=shelf.price_book)


@dataclass(frozen=True)
class State:
    """What is known at a moment: the outfits with their losses."""

    ids: list[str]
    losses: Losses
    draws: Draws
    judged: Judged | None

    @property
    def choice(self) -> str:
        return self.ids[self.losses.choice]

    def regret(self, act: str) -> float:
        """What an act costs more on average than the best."""
        mean = self.losses.mean
        return float(mean[self.ids.index(act)] - mean.min()) if act in self.ids else np.inf

    @cached_property
    def asks(self) -> list[str]:
        """What pays to be asked, first what pays most."""
        values = worth_of_answers(self.judged, self.losses) if self.judged is not None else {}
        return [one.fact for one in ask_next(values, (), None, 0)]


@dataclass
class Call:
    """One caller with a hidden machine."""

    number: int
    shelf: Shelf
    states: dict[tuple[str, ...], State] = field(default_factory=dict)

    def __post_init__(self) -> None:
        rng = np.random.default_rng([self.number, 7])
        self.group = CLASSES[int(rng.integers(4))]
        inches = rng.uniform(8.0, 14.0) + 3.0 * CLASSES.index(self.group)
        self.work = Work(
            kind="logs",
            diameter=Estimate.known(0.0254 * inches),
            length=Estimate.known(0.3048 * rng.uniform(6.0, 10.0)),
        )
        hung = hung_kinds()[int(rng.choice(len(hung_kinds()), p=[one.share for one in hung_kinds()]))]
        part = rng.triangular(hung.low, hung.likely, hung.high) if hung.high > 0.0 else 0.0
        self.point = rng.random(256)
        self.none: float | None = None
        self.behind = Behind()
        self.truth = self._truth()
        heavy = part * float(self.truth.get("mass", typical(self.group, "mass")[0].likely))
        self.behind = Behind.model_validate({"kind": hung.kind}).model_copy(
            update={"mass": Estimate.known(heavy), "behind": Estimate.known(hung.behind)}
        )
        self.truth |= {PATH: heavy}
        self.none = float(self.at({}).losses.acts[-1, 0])

    def _inquiry(self, known: Mapping[str, str | float]) -> Inquiry:
        words = {path: value for path, value in known.items() if isinstance(value, str)}
        told: dict[str, object] = {}
        for path, word in words.items():
            number = path in ("rear_remotes", "front_functions")
            told[path] = int(word) if number else word == "yes" if path == "power_beyond" else word
        machine = Machine(class_=self.group).model_copy(update=told)
        return Inquiry(machine=machine, work=(self.work,), behind=self.behind if PATH in known else Behind())

    def _truth(self) -> dict[str, str | float]:
        """One draw of everything: figures, and names of categories."""
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(sobol, "points", lambda dimensions, seed: self.point[None, :dimensions])
            draws = self._laid({}).draws
        figures: dict[str, str | float] = {path: float(values[0]) for path, values in draws.values.items()}
        return figures | {path: names[int(draws.values[path][0])] for path, names in draws.choices.items()}

    def _laid(self, known: Mapping[str, str | float]) -> Laid:
        def settled(plan: Plan, seed: int, share: float | None = None) -> Draws:
            for path, value in known.items():
                if path in plan.wants and not isinstance(value, str):
                    plan.wants[path] = Estimate.known(value, "stated")
            return draw(plan, seed, share)

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(laying, "draw", settled)
            return laying.lay(self._inquiry(known).resolve(self.shelf), self.shelf, self.number + 1)

    def at(self, answers: Mapping[str, str | float]) -> State:
        """Where the call stands with these answers."""
        key = tuple(sorted(answers))
        if key not in self.states:
            self.states[key] = self._state(answers)
        return self.states[key]

    def _state(self, answers: Mapping[str, str | float]) -> State:
        laid = self._laid(answers)
        if not laid.benches:
            return State(["no sale"], Losses(np.full((1, 1), self.none or 0.0)), laid.draws, None)
        judged = judge(laid, self.shelf)
        inquiry = self._inquiry(answers).resolve(self.shelf)
        priced = _priced(judged, inquiry, self.shelf, work_done(judged, inquiry))
        found = losses(judged, priced, inquiry, self.shelf, self.none)
        ids = [outfit.id for outfit in judged.bench.outfits]
        return State([*ids, "no sale"], found, laid.draws, judged)

    def answer(self, fact: str) -> dict[str, str | float]:
        """What the caller says to a question."""
        return {path: value for path, value in self.truth.items() if fact_of(path) == fact}

    @cached_property
    def questions(self) -> list[str]:
        """The list's questions that are open in this call."""
        open_ones = {PATH, *(fact_of(one.path) for one in self.at({}).draws.inputs)}
        return [fact for fact in fixed_list() if fact in open_ones]

    @cached_property
    def full(self) -> State:
        """Every question answered."""
        return self.at({path: value for fact in self.questions for path, value in self.answer(fact).items()})


Way = Callable[[Call, State, list[str]], str]  # the next question of those that are left


def ours(call: Call, state: State, left: list[str]) -> str:
    return next(fact for fact in state.asks if fact in left)


def listed(call: Call, state: State, left: list[str]) -> str:
    return left[0]


def at_random(call: Call, state: State, left: list[str]) -> str:
    return left[int(np.random.default_rng([call.number, len(left), 11]).integers(len(left)))]


def _explained(state: State, watched: Array, hung: Array, share: Array) -> dict[str, float]:
    """What knowing each fact takes off the variance of a cost, in sixteen bins; what hangs behind in its cases."""
    found = {PATH: float(share @ (hung - share @ hung) ** 2)}
    for one in state.draws.inputs:
        order = np.argsort(state.draws.uniforms[:, one.column], kind="stable")
        spread = float(watched[order].reshape(16, -1).mean(axis=1).var())
        found[fact_of(one.path)] = max(spread, found.get(fact_of(one.path), 0.0))
    return found


def _watched(state: State, best: bool) -> tuple[Array, Array, Array]:
    """The cost that greedy variance watches: in every sample, and for what may hang behind with its shares."""
    acts = state.losses.acts
    given, share = (
        (acts.mean(axis=1)[:, None], np.ones(1)) if state.judged is None else losses_hung(state.judged, state.losses)
    )
    return (
        (acts.min(axis=0), given.min(axis=0), share)
        if best
        else (acts[state.losses.choice], given[state.losses.choice], share)
    )


def _greedy(state: State, left: list[str], best: bool) -> str:
    found = _explained(state, *_watched(state, best))
    return max(left, key=lambda fact: found.get(fact, -1.0))


def variance_of_choice(call: Call, state: State, left: list[str]) -> str:
    """The fact that takes most off the variance of what the outfit chosen now costs."""
    return _greedy(state, left, False)


def variance_of_best(call: Call, state: State, left: list[str]) -> str:
    """The fact that takes most off the variance of what the best outfit costs."""
    return _greedy(state, left, True)


def _known_to(state: State, best: bool) -> bool:
    """Whether the cost watched is known closely enough."""
    watched, hung, share = _watched(state, best)
    return bool(np.sqrt(watched.var() + share @ (hung - share @ hung) ** 2) <= SAME)


WAYS: dict[str, tuple[Way, Callable[[State], bool] | None]] = {  # and its own stop
    "ours": (ours, lambda state: not state.asks),
    "fixed list": (listed, None),  # its end
    "random order": (at_random, None),
    "variance of choice": (variance_of_choice, lambda state: _known_to(state, False)),
    "variance of best": (variance_of_best, lambda state: _known_to(state, True)),
}


@dataclass(frozen=True)
class Ended:
    """How a call went: what the choice costs more than the best, at first and after each answer to the last stop."""

    curve: tuple[float, ...]
    questions: int  # to our stop
    own: int  # to the way's own stop

    @property
    def right(self) -> bool:
        """Whether the choice at our stop is right."""
        return self.curve[self.questions] < SAME

    @property
    def right_own(self) -> bool:
        """Whether the choice at the way's own stop is right; it is once every question is answered."""
        return self.own >= len(self.curve) or self.curve[self.own] < SAME

    @property
    def first(self) -> int:
        """Questions to where the choice is first right; one more than were asked where it never is."""
        return next((k for k, regret in enumerate(self.curve) if regret < SAME), len(self.curve))

    @property
    def for_good(self) -> int:
        """Questions to where the choice is right and stays so; one more than were asked where it never is."""
        wrong = [k for k, regret in enumerate(self.curve[: self.questions + 1]) if regret >= SAME]
        return wrong[-1] + 1 if wrong else 0


def held(call: Call, way: Way, own: Callable[[State], bool] | None) -> Ended:
    """One call, asked in one way until both stops are reached or nothing is left to ask."""
    answers: dict[str, str | float] = {}
    left, curve, stops = list(call.questions), [call.full.regret(call.at({}).choice)], [-1, -1]
    stops[1] = len(left) if own is None else -1
    while True:
        state = call.at(answers)
        ends = (not any(fact in left for fact in state.asks), own is not None and (not left or own(state)))
        stops = [len(curve) - 1 if at < 0 and end else at for at, end in zip(stops, ends, strict=True)]
        if min(stops) >= 0:
            return Ended(tuple(curve), *stops)
        fact = way(call, state, left)
        left.remove(fact)
        answers |= call.answer(fact)
        curve.append(call.full.regret(call.at(answers).choice))


def simulated(count: int, first: int = 0) -> dict[str, list[Ended]]:
    """So many calls, each asked in every way."""
    shelf = part_of_the_shelf()
    found: dict[str, list[Ended]] = {name: [] for name in WAYS}
    for number in range(first, first + count):
        call = Call(number, shelf)
        for name, (way, own) in WAYS.items():
            found[name].append(held(call, way, own))
    return found


def mean(ends: Sequence[Ended], name: str) -> float:
    """Mean of a figure over the calls."""
    return float(np.mean([getattr(one, name) for one in ends]))


def told(found: Mapping[str, Sequence[Ended]]) -> str:
    """The table."""
    lines = [
        f"{'':20}{'first right':>12}{'for good':>10}{'our stop':>10}{'most':>6}{'wrong':>8}{'own stop':>10}{'wrong':>8}"
    ]
    for name, ends in found.items():
        most = max(one.questions for one in ends)
        wrong, wrong_own = (100.0 * (1.0 - mean(ends, each)) for each in ("right", "right_own"))
        counted = f"{mean(ends, 'first'):12.2f}{mean(ends, 'for_good'):10.2f}{mean(ends, 'questions'):10.3f}{most:6d}"
        lines.append(f"{name:20}{counted}{wrong:7.1f}%{mean(ends, 'own'):10.2f}{wrong_own:7.1f}%")
    return "\n".join(lines)


# -------------------- the picture

WIDE, HIGH, LEFT, TOP = 640, 360, 56, 24
INK = {
    "ours": "#0b5cad",
    "fixed list": "#8a5a00",
    "random order": "#5b6770",
    "variance of choice": "#2c7a3f",
    "variance of best": "#7a2c6f",
}
DASH = {
    "ours": "",
    "fixed list": "7 4",
    "random order": "2 4",
    "variance of choice": "10 3 2 3",
    "variance of best": "4 2",
}


def picture(found: Mapping[str, Sequence[Ended]]) -> str:
    """Share of the calls whose choice is right after so many questions, as SVG."""
    most = len(fixed_list())

    def at(questions: float, share: float) -> str:
        return f"{LEFT + (WIDE - LEFT - 150) * questions / most:.1f},{TOP + (HIGH - TOP - 48) * (1.0 - share):.1f}"

    body = []
    for tenth in range(0, 11, 2):
        y = at(0, tenth / 10).split(",")[1]
        body.append(f'<line x1="{LEFT}" y1="{y}" x2="{WIDE - 150}" y2="{y}" stroke="#d5dade"/>')
        body.append(f'<text x="{LEFT - 8}" y="{float(y) + 4:.1f}" text-anchor="end">{10 * tenth} %</text>')
    for questions in range(0, most + 1, 2):
        x = at(questions, 0).split(",")[0]
        body.append(f'<text x="{x}" y="{HIGH - 28}" text-anchor="middle">{questions}</text>')
    for row, (name, ends) in enumerate(found.items()):
        share = [np.mean([one.curve[min(k, len(one.curve) - 1)] < SAME for one in ends]) for k in range(most + 1)]
        line = " ".join(at(k, float(one)) for k, one in enumerate(share))
        stroke = f'stroke="{INK[name]}" stroke-width="2.5" stroke-dasharray="{DASH[name]}"'
        body.append(f'<polyline points="{line}" fill="none" {stroke}/>')
        stop = mean(ends, "questions")
        x, y = at(stop, float(np.interp(stop, range(most + 1), share))).split(",")
        body.append(f'<circle cx="{x}" cy="{y}" r="5" fill="{INK[name]}"/>')
        y_word = TOP + 70 + 44 * row
        body.append(f'<line x1="{WIDE - 138}" y1="{y_word}" x2="{WIDE - 104}" y2="{y_word}" {stroke}/>')
        body.append(f'<text x="{WIDE - 98}" y="{y_word + 4}" fill="{INK[name]}">{name}</text>')
        body.append(f'<text x="{WIDE - 98}" y="{y_word + 19}">{stop:.1f} to the stop</text>')
    title = f"Share of {len(next(iter(found.values())))} simulated calls whose choice is right, by questions asked"
    body.append(f'<text x="{(LEFT + WIDE - 150) / 2:.0f}" y="{HIGH - 8}" text-anchor="middle">questions asked</text>')
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE + 60} {HIGH}" role="img" aria-label="{title}"'
    style = 'font-family="system-ui, sans-serif" font-size="12" fill="#1d2429">'
    paper = f'<rect width="{WIDE + 60}" height="{HIGH}" fill="#ffffff"/>'
    return "\n".join([f"{head} {style}", f"<title>{title}</title>", paper, *body, "</svg>", ""])


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--calls", type=int, default=CALLS)
    asked.add_argument("--picture", type=Path)
    options = asked.parse_args()
    print(__doc__)
    started = time.perf_counter()
    found = simulated(options.calls)
    print(told(found))
    print(f"{options.calls} calls, {len(fixed_list())} questions listed, {time.perf_counter() - started:.0f} s")
    if options.picture:
        options.picture.write_text(picture(found), encoding="utf-8")


if __name__ == "__main__":
    main()

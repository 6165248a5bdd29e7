"""Simulated calls: how many questions it takes to reach the choice that all answers together would make.

A hidden true machine is drawn from the class tables, quantities that go together drawn together; the caller knows its
class, what hangs behind it and the log that is to be lifted, and answers what is asked truly. Four ways of asking, on
the same calls and with the same stop (nothing that is open is worth its bother): ours (worth over burden), a fixed
list that was frozen in the repository before this was first run (data/fixed_list.csv), random order, and greedy
variance (the fact that says most about what the best act costs). Counted are the questions to the stop, and to where
the choice is first right, which nobody on the telephone can know. Right: in the samples that are left when every
question of the list is answered, it costs less than 50 more than the best act. So as to end in minutes, a part of the
shelf is used: six attachments with every kit and valve. `--picture FILE` draws it.
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
from handfast.advice.knowing import knowing
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
        values = knowing(self.judged, self.losses) if self.judged is not None else {}
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
        hung = typical(self.group, "mass")[0].likely * rng.uniform(0.15, 0.3)
        self.behind = Behind(kind="box_blade", mass=Estimate.known(hung), behind=Estimate.known(1.2))
        self.point = rng.random(256)
        self.none: float | None = None
        self.truth = self._truth()
        self.none = float(self.at({}).losses.acts[-1, 0])

    def _inquiry(self, known: Mapping[str, str | float]) -> Inquiry:
        words = {path: value for path, value in known.items() if isinstance(value, str)}
        told: dict[str, object] = {}
        for path, word in words.items():
            number = path in ("rear_remotes", "front_functions")
            told[path] = int(word) if number else word == "yes" if path == "power_beyond" else word
        machine = Machine(class_=self.group).model_copy(update=told)
        return Inquiry(machine=machine, work=(self.work,), behind=self.behind)

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
        open_ones = {fact_of(one.path) for one in self.at({}).draws.inputs}
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


def greedy_variance(call: Call, state: State, left: list[str]) -> str:
    """The fact whose sixteen bins spread the cost of the best act most."""
    best, spread = left[0], -1.0
    cost = state.losses.acts.min(axis=0)
    for one in state.draws.inputs:
        if fact_of(one.path) in left:
            order = np.argsort(state.draws.uniforms[:, one.column], kind="stable")
            found = float(cost[order].reshape(16, -1).mean(axis=1).var())
            best, spread = (fact_of(one.path), found) if found > spread else (best, spread)
    return best


WAYS: dict[str, Way] = {
    "ours": ours,
    "fixed list": listed,
    "random order": at_random,
    "greedy variance": greedy_variance,
}


@dataclass(frozen=True)
class Ended:
    """How a call went: what the choice costs more than the best, at first and after each answer to the stop."""

    curve: tuple[float, ...]

    @property
    def questions(self) -> int:
        return len(self.curve) - 1

    @property
    def right(self) -> bool:
        return self.curve[-1] < SAME

    @property
    def first(self) -> int:
        """Questions to where the choice is first right; one more than were asked where it never is."""
        return next((k for k, regret in enumerate(self.curve) if regret < SAME), len(self.curve))


def held(call: Call, way: Way) -> Ended:
    """One call, asked in one way until nothing that is left pays."""
    answers: dict[str, str | float] = {}
    left, curve = list(call.questions), [call.full.regret(call.at({}).choice)]
    while any(fact in left for fact in call.at(answers).asks):
        fact = way(call, call.at(answers), left)
        left.remove(fact)
        answers |= call.answer(fact)
        curve.append(call.full.regret(call.at(answers).choice))
    return Ended(tuple(curve))


def simulated(count: int, first: int = 0) -> dict[str, list[Ended]]:
    """So many calls, each asked in every way."""
    shelf = part_of_the_shelf()
    found: dict[str, list[Ended]] = {name: [] for name in WAYS}
    for number in range(first, first + count):
        call = Call(number, shelf)
        for name, way in WAYS.items():
            found[name].append(held(call, way))
    return found


def mean(ends: Sequence[Ended], name: str) -> float:
    """Mean of a figure over the calls."""
    return float(np.mean([getattr(one, name) for one in ends]))


def told(found: Mapping[str, Sequence[Ended]]) -> str:
    """The table."""
    lines = [f"{'':18}{'to the stop':>13}{'most':>6}{'first right':>13}{'wrong':>8}"]
    for name, ends in found.items():
        most, wrong = max(one.questions for one in ends), 100.0 * (1.0 - mean(ends, "right"))
        lines.append(f"{name:18}{mean(ends, 'questions'):13.3f}{most:6d}{mean(ends, 'first'):13.2f}{wrong:7.1f}%")
    return "\n".join(lines)


# -------------------- the picture

WIDE, HIGH, LEFT, TOP = 640, 360, 56, 24
INK = {"ours": "#0b5cad", "fixed list": "#8a5a00", "random order": "#5b6770", "greedy variance": "#2c7a3f"}
DASH = {"ours": "", "fixed list": "7 4", "random order": "2 4", "greedy variance": "10 3 2 3"}


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
        share = [np.mean([one.curve[min(k, one.questions)] < SAME for one in ends]) for k in range(most + 1)]
        line = " ".join(at(k, float(one)) for k, one in enumerate(share))
        stroke = f'stroke="{INK[name]}" stroke-width="2.5" stroke-dasharray="{DASH[name]}"'
        body.append(f'<polyline points="{line}" fill="none" {stroke}/>')
        stop = mean(ends, "questions")
        x, y = at(stop, float(np.interp(stop, range(most + 1), share))).split(",")
        body.append(f'<circle cx="{x}" cy="{y}" r="5" fill="{INK[name]}"/>')
        y_word = TOP + 90 + 44 * row
        body.append(f'<line x1="{WIDE - 138}" y1="{y_word}" x2="{WIDE - 104}" y2="{y_word}" {stroke}/>')
        body.append(f'<text x="{WIDE - 98}" y="{y_word + 4}" fill="{INK[name]}">{name}</text>')
        body.append(f'<text x="{WIDE - 98}" y="{y_word + 19}">{stop:.1f} to the stop</text>')
    title = f"Share of {len(next(iter(found.values())))} simulated calls whose choice is right, by questions asked"
    body.append(f'<text x="{(LEFT + WIDE - 150) / 2:.0f}" y="{HIGH - 8}" text-anchor="middle">questions asked</text>')
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" role="img" aria-label="{title}"'
    style = 'font-family="system-ui, sans-serif" font-size="12" fill="#1d2429">'
    paper = f'<rect width="{WIDE}" height="{HIGH}" fill="#ffffff"/>'
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

"""Properties of the installed total: sums, order of its quantiles, never cheaper when a line is dearer."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from handfast.advice.rank import pareto
from handfast.costing.price_lines import Line
from handfast.costing.total import GROUPS, total
from handfast.quantities.estimate import Estimate

FEW = settings(derandomize=True, deadline=None, max_examples=30)
SHARES = (0.0, 0.1, 0.5, 0.9, 1.0)
cents = st.integers(0, 900_000).map(lambda c: Decimal(c) / 100)


@st.composite
def bands(draw: st.DrawFn) -> Estimate:
    low, likely, high = sorted(float(draw(cents)) for _ in range(3))
    return Estimate.triangular(low, likely, high)


@st.composite
def bills(draw: st.DrawFn, price: st.SearchStrategy[Estimate]) -> list[Line]:
    lines = [Line("tool", "attachment", "goods", False, draw(price))]
    for k in range(draw(st.integers(0, 6))):
        group = draw(st.sampled_from(GROUPS[1:]))
        kind = group if group in ("labour", "freight") else "goods"
        lines.append(Line(f"line {k}", group, kind, True, draw(price)))
    return lines


fixed = cents.map(lambda c: Estimate.known(float(c)))
taxes = st.integers(0, 100).map(lambda t: Decimal(t) / 1000)


@FEW
@given(bills(fixed), taxes)
def test_known_lines_add_up_to_the_cent(lines: list[Line], tax: Decimal) -> None:
    """Decimal arithmetic is the oracle."""
    done = total(lines, float(tax))
    whole = sum((Decimal(str(x.price.value)) * (1 + tax if x.kind == "goods" else 1) for x in lines), Decimal(0))
    hidden = whole - Decimal(str(lines[0].price.value))
    assert done.samples.size == 1
    assert abs(Decimal(str(done.quantile(0.5))) - whole) < Decimal("0.005")
    assert abs(Decimal(str(done.hidden)) - hidden) < Decimal("0.005")


@FEW
@given(bills(bands()), taxes)
def test_quantiles_stand_in_order_and_within_the_ends(lines: list[Line], tax: Decimal) -> None:
    done = total(lines, float(tax))
    share_of = {"goods": 1 + float(tax)}
    low, high = (sum(getattr(x.price, end) * share_of.get(x.kind, 1.0) for x in lines) for end in ("low", "high"))
    values = [done.quantile(share) for share in SHARES]
    assert values == sorted(values)
    assert low - 1e-6 <= values[0]
    assert values[-1] <= high + 1e-6
    assert done.ceiling >= done.quantile(0.9) - 1e-6
    assert done.ceiling % 50 == 0
    assert done.ceiling < done.quantile(0.9) + 50


@FEW
@given(bills(bands()), taxes, st.data())
def test_a_dearer_line_never_makes_a_cheaper_bill(lines: list[Line], tax: Decimal, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(lines) - 1))
    old = lines[at].price
    more = [float(data.draw(cents)) for _ in range(3)]
    ends = (old.low + min(more), old.likely + sorted(more)[1], old.high + max(more))
    dearer = [
        *lines[:at],
        Line("dearer", lines[at].group, lines[at].kind, True, Estimate.triangular(*ends)),
        *lines[at + 1 :],
    ]
    before, after = total(lines, float(tax)), total(dearer, float(tax))
    for share in SHARES:
        assert after.quantile(share) >= before.quantile(share) - 1e-6
    assert after.ceiling >= before.ceiling


@FEW
@given(bills(bands()), taxes)
def test_the_order_of_lines_does_not_matter(lines: list[Line], tax: Decimal) -> None:
    one, other = total(lines, float(tax)), total(lines[::-1], float(tax))
    for share in SHARES:
        assert np.isclose(one.quantile(share), other.quantile(share), rtol=1e-12)


points = st.lists(st.tuples(*[st.integers(0, 3)] * 5), min_size=1, max_size=8)


@FEW
@given(points)
def test_pareto_is_who_is_beaten_by_nobody(rows: list[tuple[int, ...]]) -> None:
    """Against the definition, one pair at a time: cost and hours less; payload, ease and suitability more is better."""
    flags = pareto(*([float(v) for v in column] for column in zip(*rows, strict=True)))

    def beats(a: tuple[int, ...], b: tuple[int, ...]) -> bool:
        better = (a[0] - b[0], b[1] - a[1], a[2] - b[2], b[3] - a[3], b[4] - a[4])
        return all(step <= 0 for step in better) and any(step < 0 for step in better)

    assert flags == [not any(beats(other, one) for other in rows) for one in rows]
    assert any(flags)


@FEW
@given(points, st.randoms(use_true_random=False))
def test_pareto_does_not_know_the_order(rows: list[tuple[int, ...]], random: object) -> None:
    order = list(range(len(rows)))
    random.shuffle(order)  # type: ignore[attr-defined]
    columns = [[float(v) for v in column] for column in zip(*rows, strict=True)]
    flags = pareto(*columns)
    mixed = pareto(*([column[k] for k in order] for column in columns))
    assert mixed == [flags[k] for k in order]

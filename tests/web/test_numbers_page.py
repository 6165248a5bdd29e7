"""The owner's numbers as a page: what is drawn is in the table too, bars begin at nought, a wrong span is said."""

from __future__ import annotations

import re
from urllib.parse import quote

from handfast.counter import verbs as counter
from handfast.drawings.count_bars import CountBar, CountBars, count_bars


def asked_of(desk) -> str:
    workspace = desk.app.state.desk.workspace
    best = counter.answer(workspace, 4).outfits[0]
    desk.post(f"/inquiries/4/outfits/{quote(best.id, safe='')}/quote")
    return desk.client.get("/numbers").text


def test_every_bar_is_a_row_with_its_count_and_where_it_leads(desk) -> None:
    text = asked_of(desk)
    for name in ("Inquiries by stage", "Quotes that became orders", "Time to the first quote", "Margin of the goods"):
        assert name in text
    for table in re.findall(r"<table.*?</table>", text, re.S):
        of = {int(n) for n in re.findall(r'<td class="r">(\d+)</td>', table)}
        assert len(of) == 1
        for count, which in re.findall(r'<td class="r fig">(\d+)</td>.*?<td>(.*?)</td></tr>', table, re.S):
            assert len(re.findall(r"<a href", which)) == min(int(count), 40)
    assert 'href="/inquiries/4"' in text and 'href="/quotes/1"' in text
    assert 'href="/numbers"' in desk.client.get("/quotes").text


def test_a_span_is_chosen_and_a_wrong_one_is_said(desk) -> None:
    asked_of(desk)
    old = desk.client.get("/numbers?from=2001-01-01&to=2001-01-31")
    assert old.status_code == 200 and "0 came in" in old.text and "No quote was made." in old.text
    for query in ("from=x", "from=2026-03-02&to=2026-03-01", "to=2026-13-01", "from=9999999999"):
        wrong = desk.client.get(f"/numbers?{query}")
        assert wrong.status_code == 422 and 'role="alert"' in wrong.text


def boxes(svg: str) -> list[float]:
    """The lengths of the bars of a drawing in px: widths of closed rectangles as drawn, from their four corners."""
    found = []
    for path in re.findall(r'<path[^>]*\bd="([^"]+)"', svg):
        xs = [float(x) for x, _ in re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", path)]
        if path.rstrip().upper().endswith("Z") and len(set(xs)) == 2:
            found.append(max(xs) - min(xs))
    return found


def test_bars_begin_at_nought_and_are_as_long_as_their_counts() -> None:
    """4, 2 and 1 of 8: the second is half of the first, the third a quarter; nought has no bar."""
    view = CountBars(tuple(CountBar(str(n), n) for n in (4, 2, 1, 0)), 8, "Counts")
    for width in (520.0, 330.0):
        svg = count_bars(view, "screen", width)
        long = boxes(svg)
        assert len(long) == 3
        assert abs(long[1] / long[0] - 0.5) < 0.01 and abs(long[2] / long[0] - 0.25) < 0.02
        for said in ("4 of 8", "2 of 8", "1 of 8", "0 of 8"):
            assert said in svg
        assert "<desc" in svg and "4: 4 of 8." in svg

"""Every page answers, says what it should, and is safe to open."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import quote, urlsplit

import pytest

from handfast.counter import verbs as counter
from handfast.documents.kinds import KINDS
from handfast.drawings.marks_small import tally_count
from handfast.machines.reading import read_inquiry
from handfast.outfits.fitting import fitting_of
from handfast.outfits.ordering import order_of

STATIC = Path(__file__).parents[2] / "src" / "handfast" / "web" / "static"


def outfit(desk, number: int = 1, place: int = 0) -> str:
    advice = counter.answer(desk.app.state.desk.workspace, number)
    return f"/inquiries/{number}/outfits/{quote(advice.outfits[place].id, safe='')}"


def pages(desk) -> list[str]:
    made = desk.post(f"{outfit(desk)}/quote").headers["location"]
    chapters = [
        "/reckoning",
        "/reckoning/thread",
        "/reckoning/thread?od=0.81",
        "/reckoning/circuit",
        "/reckoning/slope",
    ]
    fixed = [
        *chapters,
        "/",
        "/?find=oak",
        "/inquiries/new",
        "/inquiries/new?as=text",
        "/shelf",
        "/shelf?find=thimble",
        "/shelf/machines/thimble-24",
        "/about",
    ]
    calls = [f"/inquiries/{number}" for number in range(1, 9)]
    one = ["/inquiries/1/edit", "/inquiries/1/edit?as=text", "/inquiries/1/first", outfit(desk), outfit(desk, 7)]
    desk.post("/comebacks", tag="1", symptom="leaks", look="leaks_1")
    care = ["/comebacks", "/comebacks/1", "/orders/1", f"{made}/as-built", "/comebacks/new?tag=1"]
    return [*fixed, *calls, *one, "/quotes", made, *care, "/comebacks/new?tag=1&symptom=short_at_dump"]


class Reader(HTMLParser):
    """What a page loads, and what a strict content policy would refuse in it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.refused: list[str] = []
        self.loads: list[str] = []
        self.ids: list[str] = []
        self.points_at: set[str] = set()
        self._script = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.refused += [f"{tag} {name}" for name in given if name == "style" or name.startswith(("on", "hx-on"))]
        self.refused += [tag] if tag in ("style", "iframe", "object", "embed", "base") else []
        self.refused += ["script without src"] if tag == "script" and "src" not in given else []
        self.refused += [f"{tag} {v}" for v in given.values() if v and v.lower().startswith(("javascript:", "js:"))]
        self.loads += [given[name] or "" for name in ("src", "href", "action") if name in given]
        self.ids += [given["id"] or ""] if "id" in given else []
        for name in ("for", "aria-labelledby", "aria-describedby", "list"):
            self.points_at |= set((given.get(name) or "").split())


def test_every_page_answers_and_keeps_the_policy(desk) -> None:
    for path in pages(desk):
        answer = desk.client.get(path)
        assert answer.status_code == 200, path
        read = Reader(answer.text)
        assert read.refused == [], path
        foreign = [link for link in read.loads if urlsplit(link).scheme or link.startswith("//")]
        assert foreign == [], path
        twice = {one for one in read.ids if read.ids.count(one) > 1}
        assert not twice, (path, twice)
        if not path.endswith("/first"):
            assert read.points_at <= set(read.ids), (path, read.points_at - set(read.ids))
            assert '<html lang="en"' in answer.text
            assert '<a class="skip" href="#main">' in answer.text


def test_headers_stand_on_every_answer(desk) -> None:
    for path in ("/", "/inquiries/1", "/nothing", "/static/pages.css", "/health", f"{outfit(desk)}/json"):
        headers = desk.client.get(path).headers
        policy = headers["content-security-policy"]
        assert "unsafe" not in policy
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"


def test_static_files_can_be_kept_and_are_what_was_vendored(desk) -> None:
    text = desk.client.get("/").text
    addresses = re.findall(r'(?:href|src)="(/static/[^"]+)"', text)
    assert len(addresses) >= 6
    for address in addresses:
        answer = desk.client.get(address)
        assert answer.status_code == 200
        assert "immutable" in answer.headers["cache-control"]


def test_a_strange_host_is_refused(desk) -> None:
    assert desk.client.get("/", headers={"host": "evil.example"}).status_code == 400


def test_what_is_not_there_is_said(desk) -> None:
    for path in ("/nothing", "/inquiries/99", "/inquiries/1/outfits/none", "/quotes/7", f"/inquiries/{2**70}"):
        answer = desk.client.get(path)
        assert answer.status_code == 404, path
        assert "Not here" in answer.text


def test_the_list_shows_words_answers_and_states(desk) -> None:
    for number in range(1, 9):
        desk.client.get(f"/inquiries/{number}/first")
    text = desk.client.get("/").text
    for row in counter.inquiries(desk.app.state.desk.workspace):
        assert row.title in text.replace("&#39;", "'")
        best = counter.answer(desk.app.state.desk.workspace, row.number).outfits[0]
        assert best.title.split(",")[0] in text.replace("&#39;", "'")
    assert text.count(">asked<") == 8


def test_the_call_sheet_says_what_was_reckoned(desk) -> None:
    advice = counter.answer(desk.app.state.desk.workspace, 1)
    text = desk.client.get("/inquiries/1").text.replace("&#39;", "'")
    assert advice.say_now in text
    for sentence in (*advice.do_not_promise, *advice.cautions):
        assert sentence in text
    for fact in advice.facts:
        assert fact.title in text
    assert text.count('class="val sure"') == sum(f.certainty == "sure" for f in advice.facts)
    assert text.count('class="val dunno') == sum(f.certainty == "not known" for f in advice.facts)
    for one in advice.outfits:
        assert quote(one.id, safe="") in text
    assert advice.ask_next[0].question in text


def test_the_outfit_sheet_holds_every_check_and_every_line_of_the_bill(desk) -> None:
    advice = counter.answer(desk.app.state.desk.workspace, 1)
    one = advice.outfits[0]
    text = desk.client.get(outfit(desk)).text.replace("&#39;", "'")
    for check in one.checks:
        assert check.title in text
        assert check.sentence in text
    for line in one.cost.lines:
        assert line.what in text
    assert f"{tally_count(one.held)} in 10" in text
    assert all(f'id="h-{letter}"' in text for letter in "abcdef")


def test_the_drawing_moves(desk) -> None:
    at = outfit(desk)
    low, high = (desk.client.get(f"{at}/drawing?height={h}&size=wide").text for h in (20, 60))
    assert low != high
    assert "20 in" in low
    assert "60 in" in high
    curled = desk.client.get(f"{at}/drawing?height=60&curl=-30&size=wide").text
    assert curled != high
    assert desk.client.get(f"{at}/drawing?height=60").text.count("<svg") >= 3  # both widths
    assert desk.client.get(f"{at}/drawing?height=9999&size=wide").status_code == 200
    for wrong in ("height=high", "height=nan", "curl=inf"):
        assert desk.client.get(f"{at}/drawing?{wrong}").status_code == 422


def test_the_sheet_moves_without_script_too(desk) -> None:
    text = desk.client.get(f"{outfit(desk)}?height=30&curl=10").text
    assert 'value="30"' in text
    assert "30 in" in text


def test_json_is_what_was_reckoned(desk) -> None:
    advice = counter.answer(desk.app.state.desk.workspace, 1)
    whole = desk.client.get("/inquiries/1/json").json()
    assert [one["id"] for one in whole["outfits"]] == [one.id for one in advice.outfits]
    alone = desk.client.get(f"{outfit(desk)}/json").json()
    assert alone == whole["outfits"][0]


def test_papers_open_as_pdf(desk) -> None:
    sheet = desk.client.get(f"{outfit(desk)}/fit-sheet.pdf")
    assert sheet.headers["content-type"] == "application/pdf"
    assert sheet.content.startswith(b"%PDF-")


def test_a_quote_is_numbered_kept_and_printed_as_it_was_offered(desk) -> None:
    made = desk.post(f"{outfit(desk)}/quote")
    assert (made.status_code, made.headers["location"]) == (303, "/quotes/1")
    before = desk.client.get("/quotes/1").text
    paper = desk.client.get("/quotes/1.pdf")
    assert paper.content.startswith(b"%PDF-")
    assert counter.inquiry(desk.app.state.desk.workspace, 1).state == "quoted"
    assert desk.post("/inquiries/1/facts", **{"work[0].diameter": "20 in"}).status_code == 303
    unwrapped = re.sub(r'name="token" value="[^"]+"', "", desk.client.get("/quotes/1").text)
    assert unwrapped == re.sub(r'name="token" value="[^"]+"', "", before)
    assert desk.client.get("/quotes/1.pdf").content == paper.content
    assert "Quote 1" in desk.client.get("/quotes").text


def test_units_and_ink_are_kept_in_the_browser(desk) -> None:
    assert desk.post("/settings", units="metric", back="/inquiries/1").headers["location"] == "/inquiries/1"
    text = desk.client.get(outfit(desk)).text
    assert " kg" in text
    checks = re.search(r'aria-labelledby="h-b">.*?</section>', text, re.S)
    assert checks
    assert not re.search(r"\d (lb|in(?! 10)|psi|ft|lbf|mph)\b", checks[0])
    desk.post("/settings", ink="blueprint", back="/")
    assert 'data-ink="blueprint"' in desk.client.get("/").text
    desk.post("/settings", keys="off", back="/")
    assert "data-keys" not in desk.client.get("/").text


@pytest.mark.parametrize("back", ["https://evil.example/", "//evil.example", "/\\evil.example", "javascript:x"])
def test_settings_lead_nowhere_else(desk, back: str) -> None:
    assert desk.post("/settings", units="us", back=back).headers["location"] == "/"


def test_an_empty_workspace_says_what_to_do(bare) -> None:
    assert "Two facts are enough" in bare.client.get("/").text
    assert "The shelf is bare" in bare.client.get("/shelf").text
    assert "A quote makes them" in bare.client.get("/quotes").text
    assert bare.client.get("/health").json()["state"] == "well"
    assert bare.post("/inquiries", title="Nothing on the shelf").status_code == 303
    assert bare.client.get("/inquiries/1").status_code == 200


def test_the_style_sheets_ask_for_nothing_from_elsewhere() -> None:
    for path in STATIC.glob("*.css"):
        links = re.findall(r"url\(([^)]+)\)", path.read_text())
        assert all(not urlsplit(link.strip("\"'")).scheme and not link.startswith("//") for link in links)
        assert "@import" not in path.read_text()


@pytest.mark.parametrize("kind", list(KINDS))
def test_every_paper_opens_from_the_outfit(desk, kind: str) -> None:
    assert f"{outfit(desk)}/{kind}.pdf" in desk.client.get(outfit(desk)).text
    sheet = desk.client.get(f"{outfit(desk)}/{kind}.pdf")
    assert sheet.headers["content-type"] == "application/pdf"
    assert sheet.content.startswith(b"%PDF-")
    assert desk.client.get(f"{outfit(desk)}/no-such-paper.pdf").status_code == 404


def test_power_and_connections_stand_on_the_outfit(desk) -> None:
    """Both parts of the order, every route with its reason or its place, the scale, the drawings with their numbers."""
    workspace = desk.app.state.desk.workspace
    shelf = counter.shelf(workspace)
    for number in (1, 3, 5):
        advice = counter.answer(workspace, number)
        inquiry = read_inquiry(counter.inquiry(workspace, number).text)
        for one in advice.outfits[:3]:
            text = html.unescape(desk.client.get(f"/inquiries/{number}/outfits/{quote(one.id, safe='')}").text)
            if one.power.route == "none":
                assert "Power and connections" not in text
                continue
            fitting = fitting_of(one.id, inquiry, shelf)
            order = order_of(fitting)
            for line in order.lines:
                assert line.line.what in text
            for asked, _ in order.waiting:
                assert asked.question in text
            for route in fitting.routes:
                assert not route.why or route.route == "none" or route.why in text
            for hose in fitting.numbers:
                assert re.search(rf">{hose.tag}<|\b{hose.tag}\b", text)
            assert "of 5." in text


def test_the_outfit_in_depth_comes_as_a_part_and_as_a_page(desk) -> None:
    sheet = re.search(r'href="(/inquiries/5/outfits/[^"]+)"', desk.client.get("/inquiries/5").text)
    assert sheet
    part = desk.client.get(sheet[1] + "/depth", headers={"HX-Request": "true"})
    page = desk.client.get(sheet[1] + "/depth")
    assert part.status_code == page.status_code == 200
    assert "<html" not in part.text and "<html" in page.text
    for text in (part.text, page.text):
        assert "Getting the work done" in text and "hiring one for this tractor" in text
        assert "How often each check holds" in text and "<desc" in text
    assert f'hx-get="{sheet[1]}/depth"' in desk.client.get(sheet[1]).text
    assert desk.client.get("/inquiries/5/outfits/nothing~there~none/depth").status_code == 404


def test_a_tractor_shows_what_its_sheet_points_to_and_where_a_measured_linkage_differs(desk) -> None:
    """The figures are those of `reckon linkage`, which its own tests hold to linkages that they build."""
    shelf = desk.client.get("/shelf").text
    assert 'href="/shelf/machines/hamper-42"' in shelf
    measured = desk.client.get("/shelf/machines/hamper-42").text
    assert "computed from the sheet" in measured and "Measured pins" in measured
    assert "Sheet and measured linkage over the lift" in measured
    assert measured.count("Lift at the pins, full height") == 2 and "met" in measured
    plain = desk.client.get("/shelf/machines/tinderbox-23").text
    assert "computed from the sheet" in plain and "Measured pins" not in plain
    assert desk.client.get("/shelf/machines/nobody").status_code == 404

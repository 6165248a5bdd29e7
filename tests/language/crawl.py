"""Everything that Handfast says of the demonstration: every page, paper and terminal text, in one language.

By itself it prints what the second language does not know yet, most met first:

    PYTHONPATH=src python tests/language/crawl.py
"""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any
from urllib.parse import quote

from starlette.testclient import TestClient

from handfast.counter import answering, letters, quoting
from handfast.counter import verbs as counter
from handfast.documents.kinds import KINDS
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.web.app import create_app
from handfast.web.pages_questions import _asked_now
from handfast.web.pages_reckoning import CHAPTERS

CALLS = range(1, 9)
HERE = ("127.0.0.1", 50000)  # at this machine
PART = {"hx-request": "true"}
TYPED = (
    "nothing-there",
    "zebra 9 flurbs",
    "oak",
    "H99",
    "A. Rowan",
    "Quernwater Loader & Implement",
    "Ada Rowan",
    "stock list",
)
"""What the crawl itself types, and the pages say back."""


class Visit:
    """A visitor of the demonstration's pages with a language and units."""

    def __init__(self, home: Path, language: str, units: str = "us") -> None:
        self.app = create_app(home)
        cookies = {"units": units, "lang": language}
        self.client = TestClient(
            self.app, base_url="http://127.0.0.1", follow_redirects=False, cookies=cookies, client=HERE
        )

    def token(self) -> str:
        text = self.client.get("/about").text
        return text.split('name="token" value="', 1)[1].split('"', 1)[0]

    def get(self, address: str, **how: Any) -> str:
        return self.client.get(address, **how).text

    def post(self, address: str, how: Mapping[str, str] | None = None, **fields: str) -> Any:
        return self.client.post(address, data={"token": self.token(), **fields}, headers=dict(how or {}))


def outfits(visit: Visit, call: int, most: int = 3) -> list[str]:
    """Addresses of a call's leading outfits, and of one that does not hold."""
    workspace = visit.app.state.desk.workspace
    every = counter.answer(workspace, call).outfits
    chosen = [*every[:most], *[one for one in every[most:] if one.verdict == "does not fit"][:1]]
    return [f"/inquiries/{call}/outfits/{quote(one.id, safe='')}" for one in chosen]


def addresses(visit: Visit) -> Iterator[tuple[str, str]]:
    """Every page and state of a page: its address and what is there."""
    fixed = [
        "/", "/?find=oak", "/?find=nothing-there", "/inquiries/new", "/inquiries/new?as=text", "/shelf",
        "/shelf?find=thimble", "/shelf?find=nothing-there", "/quotes", "/quotes/1", "/quotes/1/as-built", "/comebacks",
        "/comebacks/1", "/orders/1", "/comebacks/new?tag=1", "/about", "/calibration", "/numbers",
        "/numbers?from=2001-01-01&to=2001-01-02", "/numbers?from=x", "/reckoning",
        "/reckoning/thread", "/reckoning/thread?od=0.81", "/reckoning/thread?od=0.81&tpi=14&taper=no",
        "/reckoning/thread?od=24+lb", "/reckoning/thread?od=200", "/nothing", "/a/nothing", "/inquiries/99",
        "/inquiries/1/questions.html", "/inquiries/1/outfits/none", "/calls", "/inquiries/paste", "/inquiries/1/paste",
        "/people", "/login", "/me", "/lists", "/lists/99", "/settings", "/glossary", "/api",
        "/shelf/price-book", "/shelf/price-book/edit", "/shelf/prices",
        "/shelf/machines/thimble-24/photo",
        "/shelf/machines/thimble-24/edit", "/shelf/machines/fettler-52/edit", "/shelf/machines/new",
        "/shelf/attachments/billetjaw-32/edit", "/shelf/attachments/billetjaw-32/edit?as=text",
        "/shelf/attachments/new", "/shelf/parts/new", "/shelf?sort=attachments.price&order=down", "/shelf/parts/none",
        "/?find=oak&state=asked", "/inquiries/7?turned=1", "/inquiries/4?turned=1", "/inquiries/7/history",
        "/inquiries/7/measure", "/inquiries/3/measure?what=slope_by_phone",
    ]  # fmt: skip
    for address in fixed:
        yield address, visit.get(address)
    from handfast.advice.comeback import symptoms

    for one in symptoms():
        address = f"/comebacks/new?tag=1-H1&symptom={one.id}"
        yield address, visit.get(address)
    for chapter in CHAPTERS:
        for end in ("", "?as=text"):
            yield f"/reckoning/{chapter}{end}", visit.get(f"/reckoning/{chapter}{end}")
    shelf = demo_shelf()
    for folder, records in (("machines", shelf.machines), ("attachments", shelf.attachments), ("parts", shelf.parts)):
        for name in records:
            yield f"/shelf/{folder}/{name}", visit.get(f"/shelf/{folder}/{quote(name, safe='')}")
    yield from called(visit)


def called(visit: Visit) -> Iterator[tuple[str, str]]:
    """The pages of every call."""
    for call in CALLS:
        at = f"/inquiries/{call}"
        for end in (
            "",
            "/edit",
            "/edit?as=text",
            "/first",
            "/questions",
            "/questions/sheet",
            "/questions.html",
            "/side-by-side",
            "/measure",
        ):
            yield at + end, visit.get(at + end)
        for address in outfits(visit, call):
            yield address, visit.get(address)
            yield address + "?height=40&curl=-12&lid=20&piece=9", visit.get(address + "?height=40&curl=-12&lid=20")
            yield address + "/depth", visit.get(address + "/depth")
            yield address + "/drawing", visit.get(address + "/drawing?height=30&curl=10&size=small")


def refused(visit: Visit) -> Iterator[tuple[str, str]]:
    """What is said to what can't be taken, and what is kept after something was given."""
    post = visit.post
    new = {"machine.engine_power": "24 lb", "site.slope": "30", "work[0].diameter": "x", "machine.class": "nothing"}
    yield "new, faults", post("/inquiries", **new).text
    yield "text, faults", post("/inquiries", toml='[machine]\npin_hieght = "3 ft"\n[work').text
    yield "text, faults 2", post("/inquiries", toml='[machine]\nlaoder = 3\nmass = "4 ft"\nname = 4').text
    yield "line, fault", post("/inquiries/1/facts", line="zebra 9 flurbs").text
    yield "line, fault 2", post("/inquiries/1/facts", how=PART, line="gate 5 lb").text
    yield "state, fault", post("/inquiries/1/state", state="none").text
    yield "order, fault", post("/orders/1/state", state="none").text
    yield "no tag", post("/comebacks", tag="").text
    for tag in ("", "x", "9", "1-H99"):
        yield f"tag {tag}", visit.get(f"/comebacks/new?tag={tag}")
    yield "hose, faults", post("/comebacks", tag="1", symptom="short_at_dump", look="short_at_dump_1").text
    yield "hose, fault", post("/comebacks", tag="1-H1", symptom="short_at_dump", look="", missing="4 lb").text
    yield "built, faults", post("/quotes/1/as-built", made="no", relief="4 ft", hours="x").text
    yield "outcome, fault", post("/quotes/1/outcome", became="returned", why="", payload="4 ft").text
    yield "reckoned, fault", post("/reckoning/lift", toml="pins = 4\nx = [").text
    yield "not a form", visit.client.post("/settings", content="x").text
    yield "no token", visit.client.post("/settings", data={"token": "x"}).text
    yield "pose", visit.get(outfits(visit, 1)[0] + "?height=x")
    yield (
        "pasted",
        post("/inquiries/7/questions", act="read", pasted="1 quick attach: pins\n2 mass: 900 lb\n9 x: y").text,
    )
    yield "no act", post("/inquiries/7/questions", act="x").text
    post("/quotes/1/outcome", became="fitted", payload="440 lb", hours="4 h", notes="")
    for address in ("/quotes/1", "/calibration"):
        yield f"{address}, told", visit.get(address)
    yield from newer(visit)
    yield from offers(visit)
    desk = visit.app.state.desk
    _, requests = _asked_now(desk, 7, "us")
    secret, _ = letters.send_questions(desk.workspace, 7, requests)
    yield "letter", visit.get(f"/a/{secret}")
    visit.client.post(f"/a/{secret}", data={"words-1": "I don't know"})
    yield "letter, answered", visit.get(f"/a/{secret}")
    yield "letters", visit.get("/inquiries/7/questions")


def offers(visit: Visit) -> Iterator[tuple[str, str]]:
    """Quotes in every state with what is refused, made anew in three ways, answered; the customer's page."""
    workspace, plain = visit.app.state.desk.workspace, visit.client
    ids = [one.id for one in counter.answer(workspace, 5).outfits[:3]]
    low = counter.quote(workspace, 1, counter.answer(workspace, 1).outfits[0].id).number
    number = counter.quote(workspace, 5, ids[0]).number
    at = f"/quotes/{number}"

    def act(what: str, on: int = number, **fields: str) -> str:
        version = str(quoting.quote_at(workspace, on).version)
        given = {"token": visit.token(), "act": what, "version": version, **fields}
        end = "/state" if fields.get("to") in ("ordered", "delivered", "returned") else ""
        done = plain.post(f"/quotes/{on}{end}", data=given)
        return done.text or visit.get(f"/quotes/{on}")

    yield "anew", visit.get(f"{at}/anew")
    ways = {f"outfit-{k}": one for k, one in enumerate(ids, 1)} | {"name-1": "", "take-2-spare-hoses": "yes"}
    for fields in ({}, {**ways, "customer": "A. Rowan", "not_included": "", "take-1-carriage": "yes"}):
        yield "anew, made", visit.post(f"{at}/anew", version="1", **fields).text
    for address in ("/quotes", "/quotes?state=draft&find=nobody", at, f"{at}?version=1", f"{at}.pdf?version=9"):
        yield address, visit.get(address)
    yield "move", act("move", to="delivered") + act("move", to="sent", version="1") + act("move", to="sent")
    yield "ballast", act("ballast", low) + act("ballast", low, ballast="declined", by="A. Rowan", taken_by="A. Rowan")
    yield "parts only", act("move", low, to="sent") + act("confirm", low) + act("confirm", low, second="A. Rowan")
    yield "confirmed", visit.get(f"/quotes/{low}/anew") + act("confirm", low, second="Quernwater Loader & Implement")
    yield "no second", act("confirm", number, second="A. Rowan") + act("x")
    for text in ("", "no", "I accept quote 1 version 2, 1 quote 2 version 3", "I accept quote 99 version 2, name ___"):
        yield "reply", act("read", pasted=text)
    yield "reply, read", act("read", pasted=f"I accept quote {number} version 2 way 1, ballast accepted, name A. Rowan")
    secret, link = answering.make_link(workspace, number)
    for fields in ({}, {"became": "look", "way": "1", "opts": "yes"}, {"became": "declined"}):
        yield "offer", plain.post(f"/a/offer/{secret}", data=fields).text if fields else visit.get(f"/a/offer/{secret}")
    yield "link", act("link") + act("close", link=str(link.number)) + visit.get(f"/a/offer/{secret}")
    for how in ("", "paper"):
        answer = {"became": "accepted", "name": "A. Rowan", "way": "1", "ballast": "accepted" if how else ""}
        yield "answered", act("answer", how=how, **answer)
    for state in ("ordered", "delivered", "returned"):
        yield state, act("move", to=state) + visit.get(f"{at}/anew") + act("ballast", ballast="accepted")
    yield "low", act("move", low, to="sent")
    other, _ = answering.make_link(workspace, low)
    yield "low offer", visit.get(f"/a/offer/{other}")
    yield "declined", act("answer", low, became="declined", name="A. Rowan", how="spoken")
    yield "low offer, declined", visit.get(f"/a/offer/{other}") + visit.get("/quotes")


LETTER = """Hello, I have a 24 hp compact, the bucket comes off with two levers. I want to move oak logs, 12 in thick,
8 ft long, up to 400 lb each. There are two couplers on the loader. My gate is 5 ft. Budget is $2,500. Weight about
1,900 lb, 250 lb box on the back. I do not know the slope."""
LIST = """Model;Weight;Width (in);Price;Colour
Thornwick 48 grapple;310 lb;48;1.450,00;red
Thornwick 60 grapple;dunno;60 1/2;=1+1;blue
;;;;
"""


def newer(visit: Visit) -> Iterator[tuple[str, str]]:
    """Letters, lists, measurements, promises, settings: what is said when something is given."""
    post = visit.post
    for act in ("read", "draft", "take"):
        yield f"letter, {act}", post("/inquiries/paste", text=LETTER, act=act).text
    yield "letter, none", post("/inquiries/1/paste", text="nothing here", act="read").text
    files = {"file": ("list.csv", LIST.encode(), "text/csv")}
    for given in ({"files": files}, {}):
        fields = {"token": visit.token(), "supplier": "Thornwick"}
        answer = visit.client.post("/lists", data=fields, **given)
        yield "list", answer.text
        yield "list, looked at", visit.get(answer.headers.get("location", "/lists"))
    for act in ("take", "undo", "x"):
        yield f"list, {act}", post("/lists/1", act=act).text
        yield f"list, after {act}", visit.get("/lists/1")
    readings = {"wheelbase_by_tape": "90 in", "whole_on_scale": "3,600 lb", "front_on_scale": "9,000 lb"}
    for what, reading in readings.items():
        yield what, post("/inquiries/7/measure", what=what, reading=reading).text
        yield f"{what}, form", visit.get(f"/inquiries/7/measure?what={what}")
    for number in (7, 1):
        yield f"/inquiries/{number}, measured", visit.get(f"/inquiries/{number}")
        yield f"/inquiries/{number}/history", visit.get(f"/inquiries/{number}/history")
    settings = {"dealer": "", "units:": "us", "version": "0", "book": "0", "book:tax": "x"}
    yield "settings, faults", post("/settings/house", **settings).text
    yield "person, faults", post("/people", name="Ada Rowan", role="owner", password="x").text
    yield "person, added", post("/people", name="Ada Rowan", role="owner", password="a short sentence does").text
    yield "person, token", post("/people/1", act="token", name="stock list").text
    yield "people", visit.get("/people")
    yield "person, retired", post("/people/1", act="retire").text
    yield "login, wrong", post("/login", name="Ada Rowan", password="x").text
    yield "record, faults", post("/shelf/parts/new", id="", kind="hose", mass="4 ft").text
    yield "record, retired", post("/shelf/parts/none", act="retire").text
    yield "calls", post("/calls", said="24 horse, two levers, oak logs").text
    for address in ("/calls", "/", "/inquiries/9", "/inquiries/10", "/shelf/machines/thimble-24"):
        yield f"{address}, later", visit.get(address)


def pages(home: Path, language: str, units: str = "us") -> Iterator[tuple[str, str]]:
    """Every page in a language."""
    visit = Visit(home, language, units)
    visit.post(outfits(visit, 1)[0] + "/quote")
    visit.post("/comebacks", tag="1", symptom="leaks", look="leaks_1")
    yield from addresses(visit)
    yield from refused(visit)


def demo_home(home: Path) -> Path:
    """A workspace filled with the demonstration in an empty folder."""
    workspace = counter.open_workspace(home)
    assert counter.fill_demo(workspace)
    workspace.engine.dispose()
    return home


def papers(press: Callable[..., Any]) -> None:
    """Have every paper of the demonstration's leading outfits made; `press` is told the values of each."""
    from handfast.advice.advise import advise
    from handfast.documents import fit_sheet, hose_tags, quotation, seat_card, work_paper
    from handfast.documents.papers import paper_of
    from handfast.documents.work_paper import Options

    modules = (fit_sheet, hose_tags, quotation, seat_card, work_paper)
    shelf = demo_shelf()
    before = [module.press for module in modules]
    for module in modules:
        module.press = press
    try:
        for inquiry in demo_inquiries().values():
            advice = advise(inquiry, shelf)
            for one in advice.outfits[:3]:
                for kind in KINDS:
                    if kind == "seat-card":
                        continue  # below, where it holds
                    paper_of(kind, advice, one.id, inquiry, shelf, Options(number="1", made="2026-03-04"))
                quotation.quotation(advice, one.id, number="1", made="2026-03-04", valid_until="2026-04-04")
                for declined in (True, False):
                    terms = quotation.Terms(
                        ballast="declined" if declined else "accepted", ballast_by="A. Rowan", ballast_on="2026-03-04"
                    )
                    quotation.quotation(advice, one.id, number="1", terms=terms)
                if one.verdict != "does not fit":
                    try:
                        seat_card.seat_card(advice, one.id, number="1")
                    except ValueError:
                        continue
    finally:
        for module, own in zip(modules, before, strict=True):
            module.press = own


def paper_texts() -> Counter[str]:
    """Every text that the papers set, and how often: of their values, their drawings and their templates."""
    from handfast.documents.press import TEMPLATES, words_in
    from handfast.language.telling import tell_values, telling

    found = Counter(one for path in TEMPLATES.glob("*.typ") for one in words_in(path.stem))

    def note(text: str) -> str:
        found[text] += 1
        return text

    def press(_template: str, values: Mapping[str, Any], _made: str = "") -> bytes:
        with telling("xx", note):
            tell_values(values)
        return b""

    papers(press)
    return found


def verbs(home: Path) -> Iterator[list[str]]:
    """What is typed at the terminal: every call, its first outfits, every chapter, threads, faults."""
    from handfast.advice.advise import advise
    from handfast.quantities.tables import DATA

    letter, wrong = home / "letter.txt", home / "wrong.toml"
    letter.write_text(LETTER, "utf-8")
    wrong.write_text('[machine]\npin_hieght = "3 ft"\nmass = "4 ft"\n', "utf-8")
    calls = sorted((DATA / "demo" / "inquiries").glob("*.toml"))
    for path, inquiry in zip(calls, demo_inquiries().values(), strict=True):
        call, ids = str(path), [one.id for one in advise(inquiry, demo_shelf()).outfits]
        yield from (["advise", call], ["advise", call, "--all"], ["quote", call, "--outfit", ids[0]])
        yield from (["advise", call, "--outfit", one] for one in [*ids[:2], *ids[-1:]])
    yield from (["reckon", path.stem, str(path)] for path in sorted((DATA / "reckoning").glob("*.toml")))
    yield from (["thread", "--od", "0.81 in"], ["thread", "--od", "24 lb"], ["thread"], ["mail", str(letter)])
    yield from (["numbers"], ["numbers", "--from", "x"], ["numbers", "--to", "2001-01-02"])
    yield from (["advise", str(wrong)], ["advise", str(calls[0]), "--outfit", "none"], ["schema", "none"])


def terminal_texts(home: Path) -> Counter[str]:
    """Every text that the terminal sets, and how often."""
    from click.testing import CliRunner

    from handfast.cli.main import main
    from handfast.language.telling import telling

    found = Counter[str]()

    def note(text: str) -> str:
        found[text] += 1
        return text

    with telling("xx", note):
        for verb in verbs(home):
            CliRunner().invoke(main, verb, env={"HANDFAST_HOME": str(home / "workspace")})
    return found


def untranslated(told: Iterator[tuple[str, str]], language: str = "es") -> Counter[str]:
    """What of the pages' texts the language's book does not know, and how often it is met."""
    from handfast.language.markup import texts_of
    from handfast.language.names import Names
    from handfast.language.phrasebook import Speaker, book_of
    from handfast.machines.shelf import names_on

    book, found = book_of(language), Counter[str]()
    assert book is not None
    speaker = Speaker(book, Names(names_on(demo_shelf())))
    for _, page in told:
        for text in texts_of(page):
            found.update(speaker.read(text).missing)
    return found


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        for words, count in untranslated(pages(demo_home(Path(folder)), "en")).most_common():
            print(f"{count:5} {words}")

"""Quotes in versions: what differs, who may move what, the weight behind, answers that keep what was shown."""

from __future__ import annotations

import hashlib
import itertools
import json
import shutil
import threading
from dataclasses import replace
from pathlib import Path

import pytest

from handfast.counter import answering, quoting
from handfast.counter import verbs as counter
from handfast.counter.answering import Given, make_link, opened_link, take_answer
from handfast.counter.offering import TAKEN, Said, Wanted
from handfast.counter.quote_states import MOVES, RefusedError, inquiry_state, refuse_move, state_now
from handfast.counter.terms import Chosen, Printed, shown_of
from handfast.counter.verbs import Workspace
from handfast.documents.offer_terms import Terms, low_bare, past_rating_bare
from handfast.documents.reply import message_text, read_reply, reply_line
from handfast.machines.faults import Faults
from handfast.store import quote_rows
from handfast.store.database import writing
from handfast.store.tables import QUOTE_STATES

LOW, HIGH = 1, 5  # invented calls: nothing behind leaves 12 % on the rear axle of the first, 26 % of the other


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("quotes")
    workspace = counter.open_workspace(home)
    assert counter.fill_demo(workspace)
    for number in (LOW, HIGH):
        counter.answer(workspace, number)
    workspace.engine.dispose()
    return home


@pytest.fixture
def desk(filled: Path, tmp_path: Path) -> Workspace:
    shutil.copytree(filled, tmp_path / "home")
    return counter.open_workspace(tmp_path / "home")


def best(desk: Workspace, number: int, place: int = 0) -> str:
    return counter.answer(desk, number).outfits[place].id


def sent(desk: Workspace, inquiry: int, *wanted: Wanted):
    ways = wanted or (Wanted(best(desk, inquiry)),)
    row = counter.offer(desk, inquiry, list(ways))
    return quoting.move(desk, row.number, "sent")


def amounts(way) -> dict[str, str]:
    return dict(way["bill"])


# -------------------- states


def test_every_state_stands_in_the_table_and_illegal_moves_say_why() -> None:
    assert set(MOVES) == set(QUOTE_STATES)
    for state, to in itertools.product(MOVES, MOVES):
        if to in MOVES[state]:
            refuse_move(1, state, to)
        else:
            with pytest.raises(RefusedError, match="Quote 1 is "):
                refuse_move(1, state, to)
    with pytest.raises(RefusedError) as said:
        refuse_move(7, "draft", "accepted")
    assert str(said.value) == "Quote 7 is a draft; from there it can be sent or withdrawn, not accepted."


def test_the_table_in_the_documents_is_that_of_the_code() -> None:
    text = (Path(__file__).parent.parent / "docs" / "quotes.md").read_text()
    for state, to in MOVES.items():
        assert f"| {state} | {', '.join(to) or 'none'} |" in text


def test_an_offer_runs_out_by_the_date_alone() -> None:
    assert state_now("sent", "2025-03-18", "2025-03-18") == "sent"
    assert state_now("sent", "2025-03-18", "2025-03-19") == "expired"
    assert state_now("accepted", "2025-03-18", "2026-01-01") == "accepted"
    assert state_now("sent", "", "2099-01-01") == "sent"


def test_an_offer_that_ran_out_is_not_accepted(desk: Workspace, monkeypatch) -> None:
    row = sent(desk, HIGH)
    until = json.loads(row.json)["terms"]["valid_until"]
    monkeypatch.setattr(quoting, "today", lambda: "2099-01-01")
    assert until < "2099" and quoting.state_of(row) == "expired"
    with pytest.raises(RefusedError, match="is expired; from there it can be made anew, not accepted"):
        take_answer(desk, row.number, Given(1, "accepted", "paper", Chosen(ballast="accepted", name="T. F.")))


def test_the_inquiry_follows_its_quotes(desk: Workspace) -> None:
    row = counter.quote(desk, HIGH, best(desk, HIGH))
    stood = [counter.inquiry(desk, HIGH).state]
    for state in ("sent", "accepted", "ordered", "delivered", "returned"):
        if state == "accepted":
            take_answer(desk, row.number, Given(1, "accepted", "paper", Chosen(ballast="accepted", name="T. F.")))
        else:
            quoting.move(desk, row.number, state)
        stood.append(counter.inquiry(desk, HIGH).state)
    assert stood == ["quoted", "waiting on caller", "ordered", "ordered", "fitted", "closed"]
    assert inquiry_state(["declined", "ordered"], "quoted") == "ordered"
    assert inquiry_state(["withdrawn"], "quoted") == "asked"


# -------------------- versions


def test_made_anew_is_a_version_with_its_difference_and_the_old_one_prints_as_it_was(desk: Workspace) -> None:
    first = counter.quote(desk, HIGH, best(desk, HIGH))
    paper = counter_paper(first)
    said = Said(customer="Tobiah Fennimoor", words="Ring before noon.", not_included=("Paint.",), note="asked for less")
    second = quoting.requote(desk, first.number, [Wanted(first.outfit, "", TAKEN - {"fitting"})], said)
    assert (second.number, second.version, second.note) == (first.number, 2, "asked for less")
    told = {(d.kind, d.where, d.what): (d.before, d.after) for d in quoting.difference(first, second)}
    labour = next(o for o in json.loads(first.json)["offer"]["ways"][0]["options"] if o["id"] == "fitting")["what"]
    assert ("gone", "Price", labour) in told
    assert ("added", "Not included", "Fitting: the owner does it.") in told
    assert ("added", "Not included", "Paint.") in told
    assert told["added", "Told", "In our words"] == ("", "Ring before noon.")
    assert ("changed", "Price", "Total, likely") in told
    again = quoting.quote_at(desk, first.number, 1)
    assert again.json == first.json and counter_paper(again) == paper
    assert [(row.version, row.state) for row in quoting.versions(desk, first.number)] == [(1, "replaced"), (2, "draft")]
    assert quoting.difference(second, second) == []


def test_a_way_more_is_one_difference_and_the_same_outfit_is_held_against_itself(desk: Workspace) -> None:
    ids = [best(desk, HIGH, place) for place in range(2)]
    first = counter.offer(desk, HIGH, [Wanted(ids[0])])
    both = [Wanted(ids[1], "Better"), Wanted(ids[0], "", TAKEN | {"spare-hoses"})]
    second = quoting.requote(desk, first.number, both, Said())
    told = {(d.kind, d.where, d.what) for d in quoting.difference(first, second)}
    spare = next(o for o in shown_of(second, "us")["ways"][1]["options"] if o["id"] == "spare-hoses")["what"]
    assert ("added", "Way 1", "Way 1: Better") in told
    assert ("added", "Way 2, price", spare) in told
    assert not any(where.startswith("Way 1,") for _, where, _ in told)


def counter_paper(row) -> bytes:
    from handfast.counter.terms import printed

    return printed(replace(row, state="draft"), "us")


def test_who_made_it_anew_first_wins(desk: Workspace) -> None:
    row = counter.quote(desk, HIGH, best(desk, HIGH))
    quoting.requote(desk, row.number, [Wanted(row.outfit)], Said(), seen=1)
    with pytest.raises(RefusedError, match="made anew as version 2 meanwhile"):
        quoting.requote(desk, row.number, [Wanted(row.outfit)], Said(), seen=1)


def test_what_was_ordered_is_not_made_anew(desk: Workspace) -> None:
    row = sent(desk, HIGH)
    take_answer(desk, row.number, Given(1, "accepted", "spoken", Chosen(ballast="accepted", name="T. F.")))
    quoting.move(desk, row.number, "ordered")
    with pytest.raises(RefusedError, match="a change to it is a new quote of its own"):
        quoting.requote(desk, row.number, [Wanted(row.outfit)], Said())


# -------------------- three ways, options


def test_three_ways_each_with_its_own_bill_by_hand(desk: Workspace) -> None:
    """Total = before tax + tax, before tax = the lines; an option left lowers it by its line, taken raises it."""
    ids = [best(desk, HIGH, place) for place in range(3)]
    ways = [Wanted(ids[0], "Good"), Wanted(ids[1], "Better", TAKEN | {"spare-hoses"}), Wanted(ids[2], "Best")]
    row = counter.offer(desk, HIGH, ways)
    shown = shown_of(row, "us")
    assert shown["outfit"] == "Three ways to do it"
    assert [way["name"] for way in shown["ways"]] == ["Way 1: Good", "Way 2: Better", "Way 3: Best"]
    for way in shown["ways"]:
        lines = sum(cents(text) for text in amounts(way).values())
        sums = {label: cents(text) for label, text, _ in way["sums"]}
        assert lines == sums["Before tax"]
        taxes = [value for label, value in sums.items() if label.startswith("Tax")]
        assert sums["Before tax"] + sum(taxes) == sums["Total, likely"] <= sums["Not more than"]
    better = shown["ways"][1]
    spare = next(one for one in better["options"] if one["id"] == "spare-hoses")
    assert spare["chosen"] and amounts(better)[spare["what"]] == spare["price"]
    with pytest.raises(Faults, match="two or three that differ"):
        counter.offer(desk, HIGH, [Wanted(ids[0])] * 2)


def cents(text: str) -> int:
    return round(100 * float(text.replace("$", "").replace(",", "")))


# -------------------- the weight behind


def bare_share(desk: Workspace, inquiry: int) -> float:
    one = counter.answer(desk, inquiry).outfits[0]
    return next(a.rear_share for a in one.axles if a.pose == "loaded_furthest_bare")


@pytest.mark.parametrize(("share", "low"), [(0.1999, True), (0.2, False), (0.2001, False)])
def test_the_threshold_on_both_sides(desk: Workspace, share: float, low: bool) -> None:
    """A tractor of 1,000 kg on two axles, by hand: 199.9 kg behind is under a fifth, 200 kg and 200.1 kg are not."""
    one = counter.answer(desk, LOW).outfits[0]
    axles = tuple(replace(a, front=1000 * (1 - share), rear=1000 * share, rear_share=share) for a in one.axles)
    assert low_bare(replace(one, axles=axles), Terms()) is low


def test_never_past_a_rating_while_nothing_hangs_behind(desk: Workspace) -> None:
    one = counter.answer(desk, LOW).outfits[0]
    rating = next(c.capacity.p50 for c in one.checks if c.id == "balance.front_axle")
    for front, past in ((rating - 1, False), (rating + 1, True)):
        axles = tuple(replace(a, front=front, rear_share=0.3) for a in one.axles)
        assert past_rating_bare(replace(one, axles=axles)) is past


def test_declined_under_a_fifth_is_parts_only_until_a_second_person_confirms(desk: Workspace) -> None:
    assert bare_share(desk, LOW) < 0.2
    row = counter.quote(desk, LOW, best(desk, LOW))
    row = quoting.answer_ballast(desk, row.number, "declined", "Tobiah Fennimoor", "Ada Quill")
    assert (row.version, row.state) == (2, "draft") and quoting.is_parts_only(row)
    way = shown_of(row, "us")["ways"][0]
    assert way["parts-only"] and not way["fit"]["stated"] and way["fit"]["rows"] == []
    groups = {line["group"] for line in json.loads(row.json)["outfit"]["cost"]["lines"]}
    assert {"labour", "ballast"} <= groups
    assert not any("Fitting," in what or "Drum" in what for what in amounts(way))
    assert way["ballast"]["by"].startswith("Tobiah Fennimoor 20")
    with pytest.raises(RefusedError, match="a second named person of the house confirms it"):
        quoting.move(desk, row.number, "sent")
    for wrong in ("ada  quill", "TOBIAH FENNIMOOR", " "):
        with pytest.raises(RefusedError):
            quoting.confirm_parts_only(desk, row.number, wrong)
    quoting.confirm_parts_only(desk, row.number, "Ben Garth")
    assert quoting.move(desk, row.number, "sent").state == "sent"
    assert shown_of(quoting.quote_at(desk, row.number), "us")["ways"][0]["ballast"]["seconded"].startswith("Ben Garth")


def test_declined_over_a_fifth_stays_an_offer_without_the_weight(desk: Workspace) -> None:
    assert bare_share(desk, HIGH) > 0.2
    first = counter.quote(desk, HIGH, best(desk, HIGH))
    row = quoting.answer_ballast(desk, first.number, "declined", "T. F.", "Ada Quill")
    way = shown_of(row, "us")["ways"][0]
    assert not quoting.is_parts_only(row) and not way["parts-only"]
    weights = {line["what"] for line in json.loads(row.json)["outfit"]["cost"]["lines"] if line["group"] == "ballast"}
    assert weights and not weights & set(amounts(way))
    assert all(row[0] != "Rear axle, as offered" for row in way["fit"]["rows"])
    assert quoting.move(desk, row.number, "sent").state == "sent"


def test_each_figure_of_the_fit_statement_says_what_it_rests_on(desk: Workspace) -> None:
    """The origins are those of the records: the demonstration's tractor is known from its sheet and what was stated."""
    row = counter.quote(desk, HIGH, best(desk, HIGH))
    origins = {label: origin for label, _, origin in shown_of(row, "us")["ways"][0]["fit"]["rows"]}
    checks = {check.id: check.origin for check in counter.answer(desk, HIGH).outfits[0].checks}
    assert set(origins.values()) <= {"stated", "measured", "weighed", "sheet", "typical", "computed"}
    assert origins["In the jaws, full height"] == checks["lift.full_height"]
    assert origins["Rear axle, nothing behind"] == checks["balance.rear_share_loaded"]


def test_accepted_stands_beside_the_version_with_name_and_date(desk: Workspace) -> None:
    row = counter.quote(desk, LOW, best(desk, LOW))
    row = quoting.answer_ballast(desk, row.number, "accepted", "Tobiah Fennimoor", "Ada Quill")
    assert row.version == 1
    ballast = shown_of(row, "us")["ways"][0]["ballast"]
    assert ballast["answer"] == "accepted" and ballast["by"] == f"Tobiah Fennimoor {quoting.today()}"


def test_declined_in_an_acceptance_makes_parts_only_of_it_and_accepts_nothing(desk: Workspace) -> None:
    row = sent(desk, LOW)
    after = take_answer(desk, row.number, Given(1, "accepted", "link", Chosen(ballast="declined", name="T. F.")))
    assert (after.state, after.version) == ("draft", 2) and quoting.is_parts_only(after)
    assert answering.answers_to(desk, row.number) == []


# -------------------- answers


def test_an_acceptance_keeps_exactly_what_was_shown(desk: Workspace) -> None:
    row = sent(desk, HIGH)
    chosen = Chosen(row.outfit, TAKEN - {"fitting"}, "accepted", "Tobiah Fennimoor")
    done = take_answer(desk, row.number, Given(1, "accepted", "paper", chosen))
    kept = answering.answers_to(desk, row.number)[0]
    assert (done.state, kept.became, kept.how, kept.name) == ("accepted", "accepted", "paper", "Tobiah Fennimoor")
    whole = json.loads(kept.shown)
    text = json.dumps(whole, ensure_ascii=False, sort_keys=True)
    assert hashlib.sha256(text.encode()).hexdigest() == kept.digest and answering.holds(kept)
    assert whole["shown"] == shown_of(done, "us", Printed(chosen))
    assert not any(what.startswith("Fitting") for what in amounts(whole["shown"]["ways"][0]))
    assert not answering.holds(replace(kept, shown=kept.shown.replace("Fennimoor", "Finnemore")))


def test_an_accepted_version_is_only_made_anew(desk: Workspace) -> None:
    row = sent(desk, HIGH)
    given = Given(1, "accepted", "paper", Chosen(ballast="accepted", name="T. F."))
    take_answer(desk, row.number, given)
    for change in (
        lambda: take_answer(desk, row.number, given),
        lambda: quoting.answer_ballast(desk, row.number, "declined", "T. F.", "A. Q."),
        lambda: quoting.move(desk, row.number, "sent"),
    ):
        with pytest.raises(RefusedError):
            change()
    fresh = quoting.requote(desk, row.number, [Wanted(row.outfit)], Said())
    assert (fresh.version, fresh.state) == (2, "draft")
    assert quoting.quote_at(desk, row.number, 1).json == row.json
    assert answering.answered(desk, quoting.quote_at(desk, row.number, 1)).acceptance is not None
    with pytest.raises(RefusedError, match="replaced by version 2"):
        take_answer(desk, row.number, given)


@pytest.mark.parametrize(
    ("chosen", "said"),
    [
        (Chosen(ballast="accepted"), "A name is missing"),
        (Chosen(name="T. F."), "Say whether the weight behind is accepted or declined"),
        (Chosen(way="nothing", ballast="accepted", name="T. F."), "Say which way"),
    ],
)
def test_half_an_answer_is_not_taken(desk: Workspace, chosen: Chosen, said: str) -> None:
    row = sent(desk, HIGH)
    with pytest.raises(RefusedError, match=said):
        take_answer(desk, row.number, Given(1, "accepted", "spoken", chosen))
    assert quoting.quote_at(desk, row.number).state == "sent"


def test_the_way_that_was_accepted_is_what_the_quote_is_about(desk: Workspace) -> None:
    ids = [best(desk, HIGH, place) for place in range(2)]
    row = sent(desk, HIGH, Wanted(ids[0], "Good"), Wanted(ids[1], "Better"))
    done = take_answer(desk, row.number, Given(1, "accepted", "reply", Chosen(ids[1], None, "accepted", "T. F.")))
    assert done.outfit == ids[1]


# -------------------- replies


@pytest.mark.parametrize(("number", "version", "name"), [(12, 2, "Tobiah Fennimoor"), (1, 10, "José Ñuñez O'Brien")])
def test_a_reply_goes_out_and_comes_back(number: int, version: int, name: str) -> None:
    line = reply_line(number, version, ways=3, ballast=True, name=name, way=2)
    mail = f"Good morning\r\n\r\n{line}\r\n\r\nOn Tuesday you wrote:\r\n> I accept quote 99 version 9, name X\r\n"
    found = read_reply(mail)
    assert (found.quote, found.version, found.way, found.name) == (number, version, 2, name)
    assert (found.became, found.ballast, found.asks) == ("accepted", "accepted", ())


@pytest.mark.parametrize(
    ("text", "became", "ballast", "asks"),
    [
        ("I accept quote 12 version 2, ballast declined, name T. F.", "accepted", "declined", 0),
        ("We do not accept quote 12, version 2. Name: T. F.", "declined", "", 0),
        ("I decline quote 12 version 2, name T. F.", "declined", "", 0),
        ("Acepto la cotización 12 versión 2, lastre aceptado, nombre Tobías F.", "accepted", "accepted", 0),
        ("No acepto la cotización 12 versión 2, nombre Tobías F.", "declined", "", 0),
        ("I accept quote 12 version 2, ballast not accepted, name T. F.", "accepted", "declined", 0),
        ("I accept quote 12 version 2, name ________", "accepted", "", 2),
        ("I accept quote 12, name T. F.", "accepted", "", 1),
        ("I accept quote 12 version 2 but decline quote 13 version 1, name T. F.", "", "", 3),
        ("Thanks, looks good!", "", "", 4),
        ("> I accept quote 12 version 2, name T. F.", "", "", 4),
    ],
)
def test_a_reply_says_what_it_says(text: str, became: str, ballast: str, asks: int) -> None:
    found = read_reply(text)
    assert (found.became, found.ballast, len(found.asks)) == (became, ballast, asks), found


def test_our_own_message_sent_back_untouched_accepts_nothing(desk: Workspace) -> None:
    row = sent(desk, HIGH)
    text = message_text(shown_of(row, "metric"), row.number, 1)
    assert "kg" in text and " lb" not in text
    assert read_reply(text).asks
    assert not read_reply(text.replace("name ________", "name Tobiah Fennimoor")).asks


# -------------------- links


def test_a_link_opens_the_version_until_it_is_withdrawn_or_replaced(desk: Workspace) -> None:
    row = counter.quote(desk, HIGH, best(desk, HIGH))
    with pytest.raises(RefusedError, match="A link opens an offer that is sent"):
        make_link(desk, row.number)
    quoting.move(desk, row.number, "sent")
    secret, link = make_link(desk, row.number)
    opened = opened_link(desk, secret)
    assert opened is not None and opened.number == row.number
    assert secret not in json.dumps(counter.export(desk)) and opened_link(desk, secret + "x") is None
    assert link.expires.startswith(json.loads(row.json)["terms"]["valid_until"])
    answering.close_link(desk, row.number, link.number)
    assert opened_link(desk, secret) is None
    other, _ = make_link(desk, row.number)
    quoting.requote(desk, row.number, [Wanted(row.outfit)], Said())
    assert opened_link(desk, other) is None


def test_a_link_runs_out(desk: Workspace, monkeypatch) -> None:
    row = sent(desk, HIGH)
    secret, _ = make_link(desk, row.number)
    monkeypatch.setattr(answering, "now", lambda: "2099-01-01T00:00:00.000+00:00")
    assert opened_link(desk, secret) is None


def test_quotes_of_the_release_before_are_read_and_printed(desk: Workspace) -> None:
    """Without `offer`, as quotes were kept before there were versions."""
    row = counter.quote(desk, HIGH, best(desk, HIGH))
    kept = json.loads(row.json)
    kept.pop("offer")
    with writing(desk.engine) as connection:
        old = quote_rows.add_quote(connection, HIGH, row.outfit, json.dumps(kept), "desk")
    assert [way["title"] for way in shown_of(old, "us")["ways"]] == [kept["outfit"]["title"]]
    assert counter_paper(old).startswith(b"%PDF")
    fresh = quoting.answer_ballast(desk, old.number, "declined", "T. F.", "Ada Quill")
    assert fresh.version == 2 and shown_of(fresh, "us")["ways"][0]["ballast"]["answer"] == "declined"


def test_of_six_yeses_at_once_one_is_kept(desk: Workspace) -> None:
    row = sent(desk, HIGH)
    said: list[str] = []

    def accept(name: str) -> None:
        try:
            take_answer(desk, row.number, Given(1, "accepted", "link", Chosen(ballast="accepted", name=name)))
            said.append("kept")
        except RefusedError as refusal:
            said.append(str(refusal))

    threads = [threading.Thread(target=accept, args=(f"T. {k}",)) for k in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(said)[-1] == "kept" and said.count("kept") == 1 and len(said) == 6
    assert len(answering.answers_to(desk, row.number)) == 1

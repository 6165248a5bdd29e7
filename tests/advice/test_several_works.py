"""Several lines of work: an outfit is judged, described and weighted behind by a line that it serves."""

from __future__ import annotations

import pytest

from handfast.advice.advise import advise
from handfast.advice.lines_of_work import notes_on
from handfast.advice.result import Advice
from handfast.machines.reading import demo_inquiries, demo_shelf, read_inquiry
from handfast.machines.work import Work
from handfast.outfits.lay import lay
from handfast.quantities.units import to_si

SHELF = demo_shelf()


def _asked(machine: str, *works: str) -> Advice:
    lines = "".join(f"[[work]]\n{one}\n" for one in works)
    return advise(read_inquiry(f'title = "x"\n[machine]\nrecord = "{machine}"\n{lines}'), SHELF)


@pytest.fixture(scope="module")
def pallets() -> Advice:
    return advise(demo_inquiries()["8-forks-are-the-answer"], SHELF)


def test_a_root_grapple_never_speaks_of_the_pallet(pallets: Advice) -> None:
    """Demo 8: thirty pallets of 1,300 lb and now and then a log; a root grapple carries no pallet."""
    grapples = [one for one in pallets.outfits if one.kind == "root_grapple"]
    assert grapples
    for one in grapples:
        assert "pallet" not in one.load_text
        assert one.leaves == ("pallets",)
        assert "not for the pallets" in one.verdict_text


def test_forks_serve_both_and_are_weighed_by_the_pallet(pallets: Advice) -> None:
    forks = pallets.outfits[0]
    assert (forks.kind, forks.leaves) == ("pallet_forks", ())
    assert forks.load == pytest.approx(to_si(1300.0, "lb"))
    assert "a pallet weighs 1,300 lb" in forks.load_text
    assert "not for" not in forks.verdict_text


def test_the_heaviest_line_served_is_the_one_spoken_of() -> None:
    inquiry = read_inquiry(
        '[machine]\nrecord = "hamper-42"\n[[work]]\nkind = "brush"\n[[work]]\nkind = "logs"\nmass = "900 lb"\n'
        '[[work]]\nkind = "pallets"\nmass = "1500 lb"\n'
    ).resolve(SHELF)
    spoken = lay(inquiry, SHELF, 1).spoken
    for row, outfit in enumerate(spoken.outfits):
        if outfit.attachment.kind == "root_grapple":  # 1,500 lb of pallet are not its work
            assert spoken.work_of(row).kind == "logs"
            assert spoken.some([row]).load.mass[0, 0] == pytest.approx(to_si(900.0, "lb"))
        if outfit.attachment.kind == "pallet_forks":
            assert spoken.work_of(row).kind == "pallets"


def test_snow_and_stumps_each_get_their_tool() -> None:
    advice = _asked("satchel-33", 'kind = "loose"\nmaterial = "snow"', 'kind = "stumps"')
    for one in advice.outfits:
        assert set(one.serves) | set(one.leaves) == {"snow", "stumps"}
        assert one.serves
    stump = next(one for one in advice.outfits if one.kind == "stump_bucket")
    assert stump.leaves == ("snow",)
    assert "For the stumps it takes another tool" in advice.say_now


def test_no_margin_is_spoken_where_no_mass_was_asked() -> None:
    """A piece of unknown mass is reckoned as what is left, so its margin is nothing by definition, not a finding."""
    advice = _asked("satchel-33", 'kind = "stumps"')
    for one in advice.outfits:
        lift = next(check for check in one.checks if check.id == "lift.full_height")
        assert lift.margin is None
        assert "0 lb to spare" not in one.verdict_text
        assert one.governs != "lift.full_height"
    assert advice.outfits


def test_a_scoop_of_manure_is_no_work_for_a_snow_blade() -> None:
    advice = _asked("satchel-33", 'kind = "loose"\nmaterial = "manure"')
    assert {one.kind for one in advice.outfits}.isdisjoint({"angle_blade", "snow_pusher"})


def test_who_asks_for_rock_is_shown_what_grips_it_before_a_plain_bucket() -> None:
    """A caller has a bucket already; TRADE practice: rock grapples are for rock, buckets scoop soil with it."""
    advice = _asked("satchel-33", 'kind = "rock"\ndiameter = "14 in"')
    kinds = [one.kind for one in advice.outfits]
    assert kinds[0] == "rock_grapple"
    assert "bucket" not in kinds[:3]
    assert notes_on((Work(kind="rock"),), "bucket")[0].startswith("Rock: a bucket only carries what is loaded into it")


def test_the_brush_pile_leads_with_the_light_sixty() -> None:
    """Demo 5 by hand: brush fills before it weighs, 35 loads with a 60 in; sell the light one."""
    top = advise(demo_inquiries()["5-brush-pile"], SHELF).outfits[0]
    assert "60" in top.title
    assert top.job.loads == pytest.approx(35.0, abs=2.0)


def test_manure_before_brush_leads_with_the_bucket_and_names_the_other_tool() -> None:
    advice = _asked("thimble-19", 'kind = "loose"\nmaterial = "manure"', 'kind = "brush"')
    assert advice.outfits[0].kind == "bucket"
    assert "For the brush it takes another tool" in advice.say_now

"""What must stand beside a figure: one band for one thing, where a price comes from, what counts already, long logs."""

from __future__ import annotations

from handfast.advice.advise import advise
from handfast.advice.wording import figure
from handfast.machines.reading import demo_inquiries, demo_shelf, read_inquiry
from handfast.quantities.showing import show

SHELF = demo_shelf()


def test_long_logs_carry_their_caution_and_short_ones_do_not() -> None:
    """Demo 4: sixteen-foot oaks roll back and swing; TRADE 8, cautions 9 and 12."""
    long = advise(demo_inquiries()["4-long-wet-logs"], SHELF)
    assert any("Logs of 10 ft and longer swing" in text for text in long.outfits[0].cautions)
    short = advise(read_inquiry('[machine]\nrecord = "hamper-42"\n[[work]]\nkind = "logs"\nlength = "8 ft"'), SHELF)
    assert not any("Logs of 10 ft" in text for one in short.outfits for text in one.cautions)


def test_what_hangs_there_now_is_said_to_count() -> None:
    text = '[machine]\nrecord = "satchel-33"\n[behind]\nkind = "rotary_cutter"\nmass = "200 lb"\n'
    text += '[[work]]\nkind = "pallets"\nmass = "700 lb"\n'
    chosen = [one for one in advise(read_inquiry(text), SHELF).outfits if one.ballast.chosen]
    assert chosen
    for one in chosen:
        assert f"The {show(one.ballast.already, 'mass', 'us')} hanging behind now is counted" in one.ballast.note


def test_a_counterweight_off_the_shelf_says_where_its_price_comes_from() -> None:
    seen = 0
    for inquiry in demo_inquiries().values():
        for one in advise(inquiry, SHELF).outfits:
            off = any(piece.part == "counterweight" for piece in one.ballast.chosen)
            seen += off
            assert ("priced by weight" in one.ballast.note) == off
    assert seen


def test_oil_runs_in_feet_or_metres_a_second() -> None:
    """6 m/s are 19.7 ft/s, one foot being 0.3048 m."""
    assert (figure(6.0, "m/s", "us"), figure(6.0, "m/s", "metric")) == ("19.7 ft/s", "6.0 m/s")


def test_an_engine_no_subcompact_has_is_said() -> None:
    """Subcompacts have 18 to 25 hp (class table of the trade)."""
    text = '[machine]\nclass = "subcompact"\nengine_power = "95 hp"\n[machine.loader]\nlift_at_pin = "900 lb"\n'
    notes = " ".join(advise(read_inquiry(text), SHELF).notes)
    assert "95" in notes and "18" in notes and "subcompact" in notes


def test_a_long_log_is_said_to_be_cut_in_two() -> None:
    """Demo 4 by hand: sixteen-foot oaks cut to 8 ft, carried low, the middle gripped."""
    one = advise(demo_inquiries()["4-long-wet-logs"], SHELF).outfits[0]
    assert any("cut to 8 ft" in note and "middle gripped" in note for note in one.work_notes)

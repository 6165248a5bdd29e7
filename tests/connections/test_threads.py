"""Threads: every row found again through caliper noise, and diameters against the standards."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from handfast.connections.threads import Measured, identify, look_alikes, npt_dimensions, seat_of, threads
from handfast.quantities.tables import table

REFERENCE = Path(__file__).parents[1] / "validation" / "reference"
INCH = 0.0254


@pytest.mark.parametrize("thread", threads(), ids=lambda t: f"{t.family} {t.size}")
def test_every_row_is_among_the_first_three_through_a_tenth_of_noise(thread):
    """threads.csv: diameter and pitch alone, ±0.1 mm at its ends and at random; both genders."""
    rng = np.random.default_rng(round(thread.major * 1e6))
    noises = [-1e-4, 0.0, 1e-4, *rng.uniform(-1e-4, 1e-4, 20)]
    for noise in noises:
        for given in ({"od": thread.major + noise}, {"id": thread.minor + noise}):
            found = identify(Measured(**given, pitch=thread.pitch))
            first = [c.thread for c in found.candidates[:3]]
            assert thread in first, (noise, given, [(c.thread.designation, c.probability) for c in found.candidates])
            assert found.candidates[0].gender == ("male" if "od" in given else "female")


def test_look_alikes_are_those_of_the_table():
    """thread_confusions.csv, every pair named from both sides."""
    by_name = {(t.name, t.designation): t for t in threads()}
    for row in table("thread_confusions.csv"):
        a, b = (by_name[row[f"family_{s}"], row[f"thread_{s}"]] for s in "ab")
        assert any(b.designation in text and row["kind"] in text for text in look_alikes(a)), row
        assert any(a.designation in text and row["kind"] in text for text in look_alikes(b)), row


def test_nine_sixteenths_is_three_fittings_and_the_seat_settles_it():
    """9/16-18 is a 37° flare -6, an O-ring boss -6 and a face seal -4 (SAE J514, J1926-1, J1453)."""
    found = identify(Measured(od=14.2e-3, pitch=INCH / 18))
    families = {c.thread.family for c in found.candidates[:3]}
    assert families == {"flare37", "orb", "orfs"}
    assert sum(c.probability for c in found.candidates[:3]) > 0.9
    assert found.ask_what == "seat"
    assert "37°" in found.ask
    for seat, family in (("37 deg", "flare37"), ("o-ring", "orb"), ("flat face", "orfs")):
        settled = identify(Measured(od=14.2e-3, pitch=INCH / 18, seat=seat_of(seat)))
        assert settled.candidates[0].thread.family == family
        assert settled.candidates[0].probability > 0.9


def test_taper_tells_parallel_from_tapered_pipe_thread():
    """G 1/2 and R 1/2 have the same diameter and pitch (ISO 228-1, ISO 7-1)."""
    for taper, family in ((True, "bspt"), (False, "bspp")):
        found = identify(Measured(od=20.9e-3, pitch=INCH / 14, taper=taper))
        first = [c.thread.family for c in found.candidates if c.thread.tapered == taper]
        assert first[0] == family
        assert found.candidates[0].thread.tapered == taper


def test_pitch_tells_quarter_inch_pipe_threads_apart():
    """18 threads per inch is American, 19 Whitworth (ASME B1.20.1, ISO 228-1)."""
    american = identify(Measured(od=13.45e-3, pitch=INCH / 18)).candidates[0].thread
    british = identify(Measured(od=13.2e-3, pitch=INCH / 19)).candidates[0].thread
    assert american.family in ("npt", "nptf", "npsm")
    assert british.family in ("bspp", "bspt")
    unknown = identify(Measured(od=13.3e-3))
    assert unknown.ask_what in ("pitch", "seat")


def test_probabilities_are_shares_and_rank():
    found = identify(Measured(od=22.1e-3, pitch=1.5e-3), most=100)
    odds = [c.probability for c in found.candidates]
    assert sum(odds) == pytest.approx(1.0, abs=1e-4)
    assert odds == sorted(odds, reverse=True)


def test_a_clear_case_asks_nothing():
    """M27x2 with an O-ring port has no twin in pitch within 5 % (thread_confusions.csv)."""
    found = identify(Measured(od=26.9e-3, pitch=2e-3, seat="o-ring port"))
    assert found.candidates[0].thread.designation == "M27x2"
    assert found.candidates[0].probability > 0.97
    assert found.ask == ""


def test_a_worse_caliper_spreads_the_odds():
    fine = identify(Measured(od=21.0e-3, pitch=INCH / 14, tolerance=5e-5))
    coarse = identify(Measured(od=21.0e-3, pitch=INCH / 14, tolerance=5e-4))
    assert coarse.candidates[0].probability < fine.candidates[0].probability


def test_no_diameter_is_refused():
    with pytest.raises(ValueError, match="diameter"):
        identify(Measured(pitch=1.5e-3))


def test_npt_against_the_printed_table():
    """npt_check.csv: ASME B1.20.1 formulas; its E1 column was read in a published table."""
    with (REFERENCE / "npt_check.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            od, length = float(row["pipe_od_in"]) * INCH, float(row["L1_in"]) * INCH
            got = npt_dimensions(od, INCH / float(row["tpi"]), length)
            columns = (("e1", "E1_in", 1e-5), ("e0", "E0_in", 1e-5), ("k0", "K0_in", 6e-5))
            for key, column, error in (*columns, ("small_end", "male_od_small_end_in", 6e-5)):
                assert float(got[key]) / INCH == pytest.approx(float(row[column]), abs=error), (row["nps"], key)


def test_whitworth_pipe_threads_against_the_standard():
    """ISO 228-1 major and minor diameters [mm], as in the table that the bd_warehouse 0.4.0 library carries."""
    printed = {
        "G 1/8-28": (9.728, 8.566), "G 1/4-19": (13.157, 11.445), "G 3/8-19": (16.662, 14.950),
        "G 1/2-14": (20.955, 18.631), "G 5/8-14": (22.911, 20.587), "G 3/4-14": (26.441, 24.117),
        "G 1-11": (33.249, 30.291),
    }  # fmt: skip
    ours = {t.designation: (t.major * 1e3, t.minor * 1e3) for t in threads() if t.family == "bspp"}
    assert ours.keys() == printed.keys()
    for name, pair in printed.items():
        assert ours[name] == pytest.approx(pair, abs=2e-3)


def test_unified_and_metric_minor_diameters_follow_the_form():
    """60° basic profile (ASME B1.1, ISO 724): D1 = D − 1.0825318 P."""
    for t in threads():
        if t.angle == 60 and not t.tapered and t.family != "npsm":
            assert t.minor == pytest.approx(t.major - 1.0825318 * t.pitch, abs=2e-6), t

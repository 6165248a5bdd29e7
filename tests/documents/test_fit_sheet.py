"""The fit sheet: one page for every demo inquiry, read back with poppler, measured dot by dot."""

from __future__ import annotations

import hashlib
import os
import pickle
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from handfast.advice.carried import cautious_load
from handfast.advice.result import Advice
from handfast.documents.fit_sheet import fit_sheet
from handfast.drawings.from_advice import pictures, scale_of
from handfast.drawings.sheet_a import sheet_a
from handfast.machines.reading import demo_inquiries

NAMES = sorted(demo_inquiries())
POUND = 0.45359237  # kg, exact


def top(advice: Advice) -> str:
    return advice.outfits[0].id


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize("name", NAMES)
def test_one_page_with_tags(answers: dict[str, Advice], words: Any, name: str, paper: str) -> None:
    pdf = fit_sheet(answers[name], top(answers[name]), paper=paper, made="2025-03-04", number="0417")
    told = words(pdf, "pdfinfo")
    assert re.search(r"^Pages: +1$", told, re.M)
    assert re.search(r"^Tagged: +yes$", told, re.M)
    assert re.search(r"^Title: +Fit sheet: ", told, re.M)
    size = "612 x 792" if paper == "us-letter" else r"595\.2\d+ x 841\.8\d+"
    assert re.search(rf"^Page size: +{size} pts", told, re.M)


@pytest.mark.parametrize("name", NAMES)
def test_the_whole_sheet_is_on_the_page(answers: dict[str, Advice], flat: Any, name: str) -> None:
    """The last words of each part and of the title block: nothing is cut off at the foot."""
    advice = answers[name]
    one = advice.outfits[0]
    text = flat(fit_sheet(advice, one.id, dealer="Quernwater Loader & Implement", made="2025-03-04", number="0417"))
    assert "Invented for the demonstration" in text
    assert f"${one.cost.ceiling:,.0f}" in text
    assert f"${one.cost.p50:,.0f}" in text
    assert "0417, 1" in text and "2025-03-04" in text and "1 of 1" in text and "Reckoned with" in text
    for caution in one.cautions:
        assert caution.split()[0] in text and caution.rstrip(".").split()[-1] in text
    hung = [p for p in one.ballast.chosen if p.at == "hitch"]
    if hung:
        assert f"{sum(p.mass for p in hung) / POUND:.0f} lb" in text
    for check in one.checks:
        if check.unit == "kg" and check.held is not None and check.capacity is not None:
            assert f"{check.capacity.p50 / POUND:,.0f} lb" in text
    shares = [a.rear_share for a in one.axles if a.pose == "loaded_furthest"]
    assert all(f"{100 * share:.1f} %" in text for share in shares)


def test_metric_figures(answers: dict[str, Advice], flat: Any) -> None:
    advice = answers["1-heavy-grapple-on-line"]
    text = flat(fit_sheet(advice, top(advice), system="metric", paper="a4"))
    gross = next(c for c in advice.outfits[0].checks if c.id == "balance.gross")
    assert gross.capacity is not None
    assert f"{gross.capacity.p50:,.0f} kg" in text
    assert "mm and kg" in text


def test_claims_standards_language_and_alternative_texts(answers: dict[str, Advice], words: Any) -> None:
    advice = answers[NAMES[0]]
    pdf = fit_sheet(advice, top(advice), made="2025-03-04")
    assert b"<pdfaid:part>2</pdfaid:part>" in pdf and b"<pdfaid:conformance>B</pdfaid:conformance>" in pdf
    assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf
    assert re.search(rb"<dc:language>.*en.*</dc:language>", pdf, re.S)
    tree = words(pdf, "pdfinfo", "-struct-text")
    for tag in ("H1", "H2", "Table", "TH", "TD", "Figure"):
        assert re.search(rf"^\s*{tag}\b", tree, re.M), tag
    fonts = words(pdf, "pdffonts").splitlines()[2:]
    assert fonts and all(re.search(r"\b(yes) +(yes|no) +yes\b", line) for line in fonts)  # embedded, with a text map
    assert all("AlegreyaSans" in line for line in fonts)


def test_same_bytes_again_and_in_another_process(answers: dict[str, Advice], tmp_path: Path) -> None:
    advice = answers[NAMES[0]]
    made = fit_sheet(advice, top(advice), made="2025-03-04", number="1")
    assert made == fit_sheet(advice, top(advice), made="2025-03-04", number="1")
    kept = tmp_path / "advice.pickle"
    kept.write_bytes(pickle.dumps(advice))
    code = (
        "import pickle, sys, hashlib, pathlib\n"
        "from handfast.documents.fit_sheet import fit_sheet\n"
        "advice = pickle.loads(pathlib.Path(sys.argv[1]).read_bytes())\n"
        "pdf = fit_sheet(advice, advice.outfits[0].id, made='2025-03-04', number='1')\n"
        "print(hashlib.sha256(pdf).hexdigest())"
    )
    source = Path(__file__).parents[2] / "src"
    env = {**os.environ, "PYTHONPATH": str(source), "PYTHONHASHSEED": "77", "TZ": "Pacific/Auckland"}
    again = subprocess.run([sys.executable, "-c", code, str(kept)], env=env, check=True, capture_output=True, text=True)
    assert again.stdout.strip() == hashlib.sha256(made).hexdigest()
    assert made != fit_sheet(advice, top(advice), made="2025-03-05", number="1")


def test_margins_frame_and_bar_to_the_dot(answers: dict[str, Advice], dots: Any) -> None:
    """20 mm free at the left but for the centring mark (4 mm), one frame on both papers, a bar of 100 mm."""
    advice = answers[NAMES[0]]
    letter, a4 = (dots(fit_sheet(advice, top(advice), paper=paper)) for paper in ("us-letter", "a4"))
    assert (letter[:, :158] > 250).all()
    assert (letter[:, 170] < 250).any()
    for page in (letter, a4):  # outer edges of the frame: 20 to 200 mm across, 10 to 269 mm down, line 0.7 mm
        across, down = ((np.sum(page < 128, axis=k) > 1500).nonzero()[0] for k in (0, 1))
        assert [across[0], across[-1], down[0], down[-1]] == pytest.approx([196, 2003, 96, 2693], abs=2)
    runs = {len(run) for row in letter[2300:2690] < 128 for run in re.findall(b"\x01+", row.astype(np.uint8).tobytes())}
    assert any(abs(run - 1000) <= 4 for run in runs)


@pytest.mark.parametrize("name", NAMES)
def test_the_drawing_is_to_the_scale_it_names(answers: dict[str, Advice], name: str) -> None:
    """Hubs of the two wheels, 0.2 mm a unit, times the scale: the wheelbase."""
    one = answers[name].outfits[0]
    drawn = pictures(answers[name], one, "us")
    svg = sheet_a(drawn.side, drawn.chart, "print", 900.0)
    ratio = scale_of(drawn.side, 900.0)
    assert ratio in (20, 25, 30, 40, 50, 60, 75, 100)
    found = re.findall(r'<circle[^>]* cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', svg)
    per_metre = 1000 / ratio / 0.2

    def hub(radius: float) -> float:
        near = [float(x) for x, _, r in found if abs(float(r) - radius * per_metre) < 1.0]
        assert near
        return near[0]

    rear, front = (one.geometry.values[key] for key in ("rear_radius", "front_radius"))
    assert (hub(front) - hub(rear)) / per_metre == pytest.approx(one.geometry.values["wheelbase"], abs=0.002)


@pytest.mark.parametrize("name", NAMES)
def test_a_load_on_paper_is_never_kinder(answers: dict[str, Advice], name: str) -> None:
    """Against numpy's interpolation of the cautious lift, the least curl and the attachment's rating."""
    for one in answers[name].outfits[:6]:
        curve = one.curve
        if np.isnan(curve.lift_p10).any():
            continue
        for height in np.linspace(curve.height[0], curve.height[-1], 7):
            said = cautious_load(one, float(height), "us")
            lift = float(np.interp(height, curve.height, curve.lift_p10))
            assert said is not None and said <= max(lift, 0.0) + 1e-9
            assert curve.curl is None or said <= max(min(curve.curl), 0.0) + 1e-9
            assert said / POUND == pytest.approx(25 * round(said / POUND / 25), abs=1e-6)


NASTY = [
    "#panic() #set page(width: 1cm) [x] {y}",
    "$x^2$ *bold* _it_ @ref <label> \\ `raw` // gone",
    '= Heading #import "x" ~ -- ---',
    "</text><script>alert(1)</script>&amp;",
    "שלום 123 עולם, مرحبا 456",
    "中文 \x00\x07 \u202egnorw\u202c \ufffe",
    "a" * 10_000,
    "word " * 2_000,
]


@pytest.mark.parametrize("text", NASTY, ids=range(len(NASTY)))
def test_callers_text_is_text(answers: dict[str, Advice], words: Any, flat: Any, text: str) -> None:
    advice = answers[NAMES[0]]
    one = replace(advice.outfits[0], title=text, verdict_text=text, cautions=(text,) * 4)
    odd = replace(advice, title=text, machine=text, open_facts=(text,) * 9, outfits=(one, *advice.outfits[1:]))
    pdf = fit_sheet(odd, one.id, dealer=text, number=text, made=text)
    assert re.search(r"^Pages: +1$", words(pdf, "pdfinfo"), re.M)
    assert "Reckoned with" in flat(pdf) and "Say before it is sold" in flat(pdf)
    if text.isascii() and len(text) < 100:
        shown = "".join(flat(pdf).replace("\u200b", "").split())
        assert "".join(text.split())[:30] in shown


def test_unknown_outfit_paper_and_system(answers: dict[str, Advice]) -> None:
    advice = answers[NAMES[0]]
    with pytest.raises(KeyError):
        fit_sheet(advice, "no-such-outfit")
    with pytest.raises(ValueError, match="paper is one of"):
        fit_sheet(advice, top(advice), paper="legal")
    with pytest.raises(ValueError, match="us or metric"):
        fit_sheet(advice, top(advice), system="imperial")


def test_without_the_banner_when_it_is_not_a_demonstration(answers: dict[str, Advice], flat: Any) -> None:
    advice = answers[NAMES[0]]
    assert "Invented" not in flat(fit_sheet(advice, top(advice), demo=False))


CORE = ("wheelbase", "pivot_x", "pivot_z", "boom", "height_max")


@pytest.mark.parametrize(
    "key", [*CORE, "front_radius", "rear_radius", "plane_ahead", "plane_drop", "seat_x", "lift_to"]
)
def test_what_is_not_known_is_not_drawn(answers: dict[str, Advice], flat: Any, key: str) -> None:
    advice = answers[NAMES[0]]
    one = advice.outfits[0]
    odd = replace(one, geometry=replace(one.geometry, values={**one.geometry.values, key: float("nan")}))
    text = flat(fit_sheet(replace(advice, outfits=(odd,)), one.id))
    assert ("Not drawn" in text) == (key in CORE)
    assert "nan" not in text.lower().split()


def test_nothing_known_of_lift_axles_and_price(answers: dict[str, Advice], flat: Any) -> None:
    advice = answers[NAMES[0]]
    one = advice.outfits[0]
    none = tuple(float("nan") for _ in one.curve.height)
    odd = replace(
        one,
        curve=replace(one.curve, lift=none, lift_p10=none, lift_p90=none),
        axles=(),
        cost=replace(one.cost, lines=()),
    )
    text = flat(fit_sheet(replace(advice, outfits=(odd,)), one.id))
    assert "Not drawn" in text and "Masses on the axles are not known." in text

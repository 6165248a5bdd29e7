"""Single chapters as pages: the same answers as the verbs, faults at their fields, threads by caliper."""

from __future__ import annotations

import math
import re
from html import unescape

import pytest

from handfast.drawings.thread_picture import SEALS, measuring_picture
from handfast.quantities.tables import table
from handfast.reckoning.shown import blocks
from handfast.web.pages_reckoning import CHAPTERS, example, model, reckoned
from handfast.web.reckoning_form import data_from, meant, sheets, text_from, with_one_more, written


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def blanks(chapter: str) -> dict[str, str]:
    import tomllib

    data = tomllib.loads(example(chapter))
    return {one.place: one.value for sheet in sheets(model(chapter), data) for one in sheet.blanks}


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_a_chapter_opens_with_its_example_and_answers_the_form(desk, chapter: str) -> None:
    opened = desk.client.get(f"/reckoning/{chapter}")
    assert opened.status_code == 200
    assert "What comes out" in opened.text
    sent = desk.post(f"/reckoning/{chapter}", **blanks(chapter))
    assert sent.status_code == 200
    strip = re.compile(r'name="token" value="[^"]*"|\?[0-9a-f]{12}')
    assert strip.sub("", sent.text) == strip.sub("", opened.text)


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_the_form_gives_back_the_file(chapter: str) -> None:
    assert reckoned(chapter, text_from(blanks(chapter))) == reckoned(chapter, example(chapter))


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_as_text_it_answers_the_same(desk, chapter: str) -> None:
    sent = desk.post(f"/reckoning/{chapter}", toml=example(chapter))
    assert sent.status_code == 200
    assert "What comes out" in sent.text
    bad = desk.post(f"/reckoning/{chapter}", toml="nothing = 1\n[broken")
    assert bad.status_code == 422
    assert "Line" in words(bad.text)


def test_a_slope_by_hand(desk) -> None:
    """tan φ = (L·T/2 − x·T/2)/(L·h − x·h_p), whole machine as body: 27.4° broadside (3600 lb, 65 in wheelbase)."""
    file = {k: v for k, v in blanks("slope").items() if not k.startswith("axle.") and k != "body.front_track"}
    page = words(desk.post("/reckoning/slope", **{**file, "slope.headings": "[90 deg]"}).text)
    angle = math.degrees(math.atan((65 * 23 - 35.1 * 23) / (65 * 28 - 35.1 * 14)))
    assert f"{angle:.1f}° ({100 * math.tan(math.radians(angle)):.1f} %)" in page


def test_a_fault_stands_at_its_field(desk) -> None:
    sent = desk.post("/reckoning/cable", **{**blanks("cable"), "cable.length": "24 lb", "cable.gauge": ""})
    assert sent.status_code == 422
    field = re.search(r'name="cable.length" value="24 lb"[^>]*aria-describedby="([^"]+)"', sent.text)
    assert field
    assert re.search(rf'id="{field[1]}">[^<]*a unit of mass', sent.text)


def test_one_more_row(desk) -> None:
    sent = desk.post("/reckoning/lift", **blanks("lift"), more="load")
    assert 'name="load[1].cg"' in sent.text
    assert with_one_more({"load": [{"cg": [1]}]}, "load") == {"load": [{"cg": [1]}, {"cg": ""}]}


def test_floods_are_bounded(desk) -> None:
    assert data_from({f"load[{k}].cg": "1" for k in range(1000)})["load"] == [{"cg": 1}] * 40
    assert desk.post("/reckoning/lift", **{"load[0].cg": "[" * 5000}).status_code == 422
    assert desk.client.get("/reckoning/nothing").status_code == 404
    assert desk.client.post("/reckoning/lift", data={"toml": ""}).status_code == 403


@pytest.mark.parametrize("value", [0.25, 9, "25 in", ["25 in", 0], [[0.0, 0.5], [0.8, 0.5]], True, "00123"])
def test_what_is_written_is_meant(value: object) -> None:
    assert meant(written(value)) == value


def test_a_wide_table_is_turned() -> None:
    result = {"runs": [{f"n{k}": k * t for k in range(12)} | {"deep": [{"a": t}]} for t in (1, 2)]}
    found = list(blocks(result, "us"))
    assert found[0].heads == ("n0", "0", "0")
    assert found[0].rows[2] == ("n3", "3", "6")
    assert [(one.deep, one.rows) for one in found[1:]] == [(True, (("1",),)), (True, (("2",),))]


# -------------------- threads


def test_the_thread_page_names_family_question_and_picture(desk) -> None:
    """G 1/2 is 20.955 mm across the crests at 14 to the inch (ISO 228-1); with its seat seen nothing is asked."""
    page = desk.client.get("/reckoning/thread?od=20.9+mm&tpi=14&seat=cone+30&taper=no").text
    first = re.search(r"<tbody>\s*<tr>(.*?)</tr>", page, re.S)
    assert first
    assert "ISO 228-1" in first[1]
    assert "G 1/2-14" in first[1]
    assert "NPSM" in first[1]
    assert "parallel pipe thread: where to measure" in page
    vague = desk.client.get("/reckoning/thread?od=0.81").text
    assert "What would settle it" in vague


def test_a_bare_figure_is_in_the_unit_of_its_field(desk) -> None:
    inches = desk.client.get("/reckoning/thread?od=0.823&tpi=14").text
    desk.client.cookies.set("units", "metric")
    metric = desk.client.get("/reckoning/thread?od=20.9&tpi=14").text
    for page in (inches, metric):
        assert "G 1/2-14" in words(page)


def test_faults_of_a_measurement_stand_at_their_fields(desk) -> None:
    page = desk.client.get("/reckoning/thread?od=24+lb&tpi=14&pitch=2")
    assert page.status_code == 422
    for name in ("od", "tpi"):
        assert re.search(rf'id="f-{name}"[^>]*aria-invalid="true"', page.text)


def test_every_family_with_a_thread_has_its_picture_and_its_words() -> None:
    named = {row["family_id"] for row in table("threads.csv")}
    assert named == set(SEALS)
    drawn = {family: measuring_picture(family) for family in SEALS}
    assert len(set(drawn.values())) == len(SEALS)
    for family, text in drawn.items():
        desc = re.search(r"<desc[^>]*>(.*?)</desc>", text)
        assert desc
        assert "across the crests" in desc[1]
        assert SEALS[family][0] in desc[1]
        tapered = {row["family_id"] for row in table("threads.csv") if row["form"].startswith("taper")}
        assert ("taper" in desc[1]) == (family in tapered)
    with pytest.raises(ValueError, match="family"):
        measuring_picture("coupler_flat")

"""Everything out as sheets and in again: the very same records; nothing that a spreadsheet would run.

The workbooks are looked at with a reader library and as the packed text that they are, apart from our own reading.
"""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from pathlib import Path

import pytest
from python_calamine import CalamineWorkbook

from handfast.counter import exporting, lists
from handfast.counter import verbs as counter
from handfast.lists.headers import match
from handfast.lists.layout import columns_out
from handfast.lists.propose import grids_of, propose
from handfast.lists.templates import FORMATS, KINDS
from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.prices import DatedPrice, MarginRule
from handfast.machines.shelf import Shelf
from handfast.quantities.estimate import Estimate
from handfast.store.database import reading
from handfast.store.shelf_rows import records

HOSTILE = (
    "=1+1",
    '=HYPERLINK("http://example.com","x")',
    "+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "'=already",
    "''@twice",
    "'tis plain",
    "0012",
    "1E5",
    "TRUE",
    "2026-01-31",
    'quote " and, comma; semicolon',
    "line\nbreak",
    "ünï — ½ in",
)
LB = 0.45359237
BARE = re.compile(r"-\d+(\.\d+)?([eE][+-]\d+)?")
known = Estimate.known


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory):
    """The demonstration's shelf, dated prices, margin rules, and records whose words mean harm."""
    workspace = counter.open_workspace(Path(tmp_path_factory.mktemp("out")))
    counter.fill_demo(workspace)
    book = counter.shelf(workspace).price_book
    rules = (MarginRule(supplier="Thimble", markup=known(0.4), least_margin=known(0.2)),)
    parts = {
        f"h-{at}": Part(id=f"h-{at}", kind="guard", name=text, notes=text, supplier=text, price=known(1 + at / 3))
        for at, text in enumerate(HOSTILE)
    }
    parts["=evil"] = Part(id="=evil", kind="oil", prices=(DatedPrice(valid_from="2027-01-01", price=known(9)),))
    tools = {"+tool": Attachment(id="+tool", kind="bucket", mass=Estimate.between(100.0, 120.0), width=known(1.5))}
    more = Shelf(parts=parts, attachments=tools, price_book=book.model_copy(update={"margin": rules}))
    counter.put_on_shelf(workspace, more)
    best = next(one for one in counter.answer(workspace, 1).outfits if one.cost.whole)
    counter.quote(workspace, 1, best.id)
    return workspace


def shelf_rows(workspace) -> dict[tuple[str, str], dict]:
    with reading(workspace.engine) as connection:
        return {(kind, key): json.loads(text) for kind, key, text, _ in records(connection)}


def taken(workspace, name: str, data: bytes):
    number = lists.bring_list(workspace, name, data)
    looked = lists.look_at_list(workspace, number).proposal
    lists.take_list(workspace, number)
    return looked


@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_workbook_comes_back_as_the_very_same_records(filled, tmp_path, system: str) -> None:
    data = exporting.export_xlsx(filled, system)
    other = counter.open_workspace(tmp_path)
    looked = taken(other, "everything.xlsx", data)
    counted = looked.counted()
    assert not looked.questions
    assert (counted["ask"], counted["refuse"], counted["pass"], counted["change"]) == (0, 0, 0, 0)
    assert shelf_rows(other) == shelf_rows(filled)
    assert counted["add"] == len(shelf_rows(filled))
    assert exporting.export_xlsx(other, system)[:4] == b"PK\x03\x04"


@pytest.mark.parametrize("system", ["us", "metric"])
def test_text_files_come_back_as_the_very_same_records(filled, tmp_path, system: str) -> None:
    files, other = exporting.export_csv(filled, system), counter.open_workspace(tmp_path)
    for name in ("machines.csv", "attachments.csv", "parts.csv", "price_book.csv"):
        looked = taken(other, name, files[name])
        assert not looked.questions
        assert set(looked.counted()) and looked.counted()["add"] == sum(looked.counted().values())
    assert shelf_rows(other) == shelf_rows(filled)


def test_the_archive_brings_everything_else(filled, tmp_path) -> None:
    from handfast.counter import moving

    other = counter.open_workspace(tmp_path)
    counter.settle(filled)
    moving.unpack(other, moving.pack(filled))
    assert counter.export(other) == counter.export(filled)


def test_brought_back_where_it_came_from_nothing_changes(filled) -> None:
    number = lists.bring_list(filled, "again.xlsx", exporting.export_xlsx(filled))
    counted = lists.look_at_list(filled, number).proposal.counted()
    assert counted["same"] == sum(counted.values()) == len(shelf_rows(filled))


def cells(data: bytes, sheet: str) -> list[list]:
    return CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_name(sheet).to_python(skip_empty_area=False)


def test_a_cell_that_was_changed_counts_and_the_rest_stays_to_the_last_digit(filled, tmp_path) -> None:
    """The bucket's band of 100 to 120 kg and its width stay; the weight of one row is set to 400 lb by hand."""
    text = exporting.export_csv(filled)["attachments.csv"].decode()
    rows = list(csv.reader(io.StringIO(text)))
    weight, key = rows[0].index("Weight (lb)"), rows[0].index("Item no")
    changed = next(row for row in rows if row[key] == "billetjaw-32")
    changed[weight] = "400"
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    number = lists.bring_list(filled, "attachments.csv", out.getvalue().encode())
    proposal = lists.look_at_list(filled, number).proposal
    (row,) = proposal.rows("change")
    assert row.id == "billetjaw-32"
    assert {place for place, _, _ in row.changes} == {"mass"}
    assert Attachment.model_validate(row.record).mass.value == pytest.approx(400 * LB)
    assert len(list(proposal.rows("same"))) == len(rows) - 2


def test_units_stand_in_the_headers_and_numbers_are_numbers(filled) -> None:
    for system, header, factor in (("us", "Weight (lb)", LB), ("metric", "Weight (kg)", 1.0)):
        table = cells(exporting.export_xlsx(filled, system), "Attachments")
        at, key = table[0].index(header), table[0].index("Item no")
        found = next(row[at] for row in table if row[key] == "billetjaw-32")
        assert isinstance(found, float)
        assert found * factor == pytest.approx(200 * LB)  # 200 lb on its sheet


def test_no_cell_of_a_workbook_is_a_formula_or_a_link(filled) -> None:
    """Looked at as the packed text that it is: no formula, no external link, every text marked as text."""
    with zipfile.ZipFile(io.BytesIO(exporting.export_xlsx(filled))) as packed:
        names = packed.namelist()
        assert not [name for name in names if "externalLink" in name or "hyperlink" in name.lower()]
        for name in names:
            if name.startswith("xl/worksheets/sheet"):
                text = packed.read(name).decode()
                assert not re.search(r"<f[ >]", text) and "<hyperlink" not in text, name
        assert 'quotePrefix="1"' in packed.read("xl/styles.xml").decode()
    table = cells(exporting.export_xlsx(filled), "Parts")
    names_there = {row[1] for row in table[1:]}
    assert {"=1+1", "@SUM(A1)", "+cmd|' /C calc'!A0"} <= names_there


def test_no_cell_of_a_text_file_begins_as_a_formula_does(filled) -> None:
    """OWASP's list of first signs: = + - @, tab, carriage return; a bare negative number is none."""
    for name, data in exporting.export_csv(filled).items():
        assert not data.startswith(b"\xef\xbb\xbf"), name
        for row in csv.reader(io.StringIO(data.decode("utf-8"), newline="")):
            for cell in row:
                assert not re.match(r"[=+\-@\t\r\n]", cell) or BARE.fullmatch(cell), (
                    name,
                    cell,
                )


def test_what_is_for_reading_is_not_read_back(filled, tmp_path) -> None:
    looked = propose(grids_of(exporting.export_xlsx(filled), "a.xlsx"), Shelf(), {})
    assert {note.split(" is for")[0] for note in looked.notes} >= {"Sheet Quotes", "Sheet Freight", "Sheet Inquiries"}
    quotes = cells(exporting.export_xlsx(filled), "Quotes")
    row = dict(zip(quotes[0], quotes[1], strict=True))
    assert row["Before tax"] + row["Tax"] == pytest.approx(row["Total"], abs=0.001)


def test_a_record_that_was_cut_short_is_refused(filled) -> None:
    text = exporting.export_csv(filled)["parts.csv"].decode().replace('""kind"": ""part"", ', '""kind"": ""part""; ', 1)
    counted = propose(grids_of(text.encode(), "parts.csv"), Shelf(), {}).counted()
    assert counted["refuse"] == 1


def test_every_header_is_certain() -> None:
    """A header that goes out is read as the field that it stands for, with its unit, and nobody is asked."""
    for kind in ("machine", "attachment", "part", "price_book", "price"):
        for system in ("us", "metric"):
            for column in columns_out(kind, system, "USD"):
                found = match(column.header, "attachment" if kind == "price" else kind)
                assert found.certain and found.field.place == column.place, column.header
                if column.dimension not in ("money", "hours", "days"):
                    assert found.unit.casefold() == column.unit.casefold(), column.header


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("name", list(KINDS))
def test_a_template_as_it_comes_adds_nothing_and_asks_nothing(filled, name: str, system: str, form: str) -> None:
    data = exporting.template_for(filled, name, form, system)
    looked = propose(grids_of(data, f"{name}.{form}"), Shelf(), {})
    counted = looked.counted()
    assert not looked.questions
    assert counted["pass"] == 1 == sum(counted.values())
    (row,) = looked.rows("pass")
    assert "example" in str(row.why[0])


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("name", ["machines", "attachments", "parts"])
def test_a_filled_template_is_taken_without_a_question(filled, tmp_path, name: str, form: str) -> None:
    """The example's own row under another id, as somebody who follows it would write; then the shelf has it."""
    rows = filled_rows(exporting.template_for(filled, name, form, "us"), form, "mine-1")
    workspace = counter.open_workspace(tmp_path)
    looked = taken(workspace, f"{name}.{form}", rows)
    assert not looked.questions
    assert looked.counted()["add"] == 1
    shelf = counter.shelf(workspace)
    got = getattr(shelf, name)["mine-1"]
    weight = {"machines": 3450, "attachments": 425, "parts": 28}[name]
    assert got.mass.value == pytest.approx(weight * LB)
    if name == "machines":
        assert (got.class_, got.quick_attach, got.rear_tyre.size) == ("compact_small", "universal_plate", "12-16.5")
        assert got.loader.lift_at_500.value == pytest.approx(1060 * LB)
    if name == "attachments":
        assert (got.kind, got.lid_hold, got.price.value, got.cost.value) == ("root_grapple", "none", 2190.0, 1590.0)
        assert got.hydraulics.bore.value == pytest.approx(0.0508)
    if name == "parts":
        assert (got.kind, got.power_route, got.valid_to) == ("valve_kit", "third_function", "2026-12-31")


def filled_rows(data: bytes, form: str, key: str) -> bytes:
    """A template with its example written once more under another id."""
    if form == "csv":
        rows = list(csv.reader(io.StringIO(data.decode())))
        out = io.StringIO()
        csv.writer(out).writerows([*rows, [key, *rows[1][1:]]])
        return out.getvalue().encode()
    import xlsxwriter

    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    table = book.get_sheet_by_index(0).to_python(skip_empty_area=False)
    out_file = io.BytesIO()
    with xlsxwriter.Workbook(out_file) as written:
        sheet = written.add_worksheet(book.sheet_names[0])
        for at, row in enumerate([*table, [key, *table[1][1:]]]):
            for column, cell in enumerate(row):
                if cell != "":
                    sheet.write(at, column, cell)
    return out_file.getvalue()


@pytest.mark.parametrize("form", FORMATS)
def test_a_filled_list_of_prices_begins_on_its_day(filled, tmp_path, form: str) -> None:
    """A price from another day stands beside the one there is; an id that is not there is said."""
    workspace = counter.open_workspace(tmp_path)
    old = Part(id="mine-1", kind="oil", price=known(2000), valid_to="2025-12-31")
    counter.put_on_shelf(workspace, Shelf(parts={"mine-1": old}, price_book=PriceBook(currency="USD")))
    looked = taken(
        workspace, f"prices.{form}", filled_rows(exporting.template_for(filled, "prices", form, "us"), form, "mine-1")
    )
    assert not looked.questions
    assert looked.counted()["change"] == 1
    with reading(workspace.engine) as connection:
        stored = {key: json.loads(text) for _, key, text, _ in records(connection)}["mine-1"]
    assert stored["price"]["value"] == 2000
    assert [one["valid_from"] for one in stored["prices"]] == ["2026-01-01"]
    assert stored["prices"][0]["price"]["value"] == 2290
    stranger = b"Item no,Price (USD)\nnobody,5\n"
    (row,) = propose(grids_of(stranger, "p.csv"), counter.shelf(workspace), {}).rows("refuse")
    assert "no nobody on the shelf" in str(row.why[0])


def test_a_template_offers_its_words(filled) -> None:
    with zipfile.ZipFile(io.BytesIO(exporting.template_for(filled, "attachments", "xlsx", "us"))) as packed:
        text = packed.read("xl/worksheets/sheet1.xml").decode()
    offered = re.findall(r"<formula1>&quot;([^<]*)&quot;</formula1>|<formula1>\"([^<]*)\"</formula1>", text)
    words = {"".join(pair) for pair in offered}
    assert "hydraulic,electric,curl,none" in words
    assert any("root grapple" in one for one in words)

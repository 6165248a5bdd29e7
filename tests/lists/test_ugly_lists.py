"""Twelve ugly lists: each comes in right, or says exactly why not. The figures are typed here, by hand."""

from __future__ import annotations

import time
from datetime import date
from typing import Any

import pytest

from handfast.lists.grid import ListError
from handfast.lists.propose import grids_of, propose
from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.reading import demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine


def rows_in(sheet: Any, rows: list[list[Any]], first: int = 0) -> None:
    """Rows of values, dates as a spreadsheet keeps them."""
    for at, row in enumerate(rows, first):
        for column, value in enumerate(row):
            if isinstance(value, date):
                sheet.write_datetime(at, column, value)
            elif value is not None:
                sheet.write(at, column, value)


LB, IN, PSI = 0.45359237, 0.0254, 6894.757293168


def seen(data: bytes, name: str = "list.xlsx", shelf: Shelf | None = None, **answers: str):
    return propose(grids_of(data, name), shelf or Shelf(), {k.replace("__", "!"): v for k, v in answers.items()})


def only(proposal, key: str):
    found = [row for row in proposal.rows("add", "change", "same", "ask", "refuse", "pass") if row.id == key]
    assert len(found) == 1, found
    return found[0]


def attachment(row) -> Attachment:
    return Attachment.model_validate(row.record)


def test_1_titles_merged_over_the_table_and_units_in_the_headers(workbook) -> None:
    def write(book, sheet) -> None:
        sheet.merge_range("A1:F1", "HOLLOWDEN GREENWARE  spring list, all prices in dollars")
        sheet.merge_range("A2:F2", "subject to change")
        rows_in(sheet, [["Stock No.", "Description", "Type", "Wt. (lbs)", "Overall Width (in.)", "List Price ($)"]], 3)
        rows_in(sheet, [["RG-60", "Root grapple, double lid", "Root grapple", 420, 60, 2150.5]], 4)

    got = attachment(only(seen(workbook(write)), "RG-60"))
    assert got.kind == "root_grapple" and got.mass.value == pytest.approx(420 * LB)
    assert got.width.value == pytest.approx(60 * IN) and got.price.value == pytest.approx(2150.5)


def test_2_mixed_units_and_fractions_in_one_column() -> None:
    data = (
        b"SKU,Type,Weight,Width,Price\n"
        b'A1,brush grapple,"385 lbs","4 ft 6 in","1,599.00"\n'
        b'A2,brush grapple,175 kg,"48 1/2""",$980\n'
        b"A3,brush grapple,350,1.2 m,TBD\n"
    )
    got = seen(data, "a.csv")
    assert attachment(only(got, "A1")).width.value == pytest.approx(54 * IN)
    assert attachment(only(got, "A2")).mass.value == pytest.approx(175)
    assert attachment(only(got, "A2")).width.value == pytest.approx(48.5 * IN)
    waits = only(got, "A3")
    assert waits.state == "ask" and str(waits.why[0]) == "C4: 350; expected a mass with its unit"
    [question] = [one for one in got.questions if one.key.endswith("!unit")]
    assert question.choices == ("lb", "kg")
    again = propose(grids_of(data, "a.csv"), Shelf(), {question.key: "lb"})
    third = attachment(only(again, "A3"))
    assert third.mass.value == pytest.approx(350 * LB) and third.price.is_unknown


def test_3_semicolons_decimal_commas_and_cp1252() -> None:
    text = "Artikelnummer;Bezeichnung;Art;Gewicht (kg);Arbeitsbreite (mm);Preis\n"
    text += "G-7;Holzgreifer für Stämme;Holzgreifer;187,5;1.250,0;1.980,50\n"
    got = attachment(only(seen(text.encode("cp1252"), "liste.csv"), "G-7"))
    assert "für Stämme" in got.name and got.kind == "log_grapple"
    assert got.mass.value == pytest.approx(187.5) and got.width.value == pytest.approx(1.25)
    assert got.price.value == pytest.approx(1980.5)


def test_4_error_cells_and_formulas_refuse_their_row_alone(workbook) -> None:
    def write(book, sheet) -> None:
        rows_in(
            sheet, [["Item", "Type", "Weight lb", "Price"], ["E1", "bucket", 300, None], ["E2", "bucket", 310, 900]]
        )
        sheet.write_formula("D2", "=VLOOKUP(A2,Other!A:B,2,0)", None, "#N/A")
        rows_in(sheet, [["E3", "bucket", 320, None], ["E4", "bucket", "nan", 5]], 3)
        sheet.write_formula("D4", "=1000*1.25", None, 1250)

    got = seen(workbook(write))
    assert only(got, "E1").state == "refuse" and str(only(got, "E1").why[0]).startswith("D2: #N/A; expected a value")
    assert only(got, "E2").state == "add" and attachment(only(got, "E3")).price.value == 1250
    assert str(only(got, "E4").why[0]).startswith("C5: nan")


def test_5_hidden_rows_columns_and_sheets_are_asked_and_a_hidden_cost_is_never_a_price(workbook) -> None:
    def write(book, sheet) -> None:
        rows_in(
            sheet, [["Item", "Type", "Price", "Weight (lb)"], ["H1", "bucket", 700, 300], ["H2", "bucket", 710, 310]]
        )
        sheet.set_column(2, 2, None, None, {"hidden": True})
        sheet.set_row(2, None, None, {"hidden": True})
        other = book.add_worksheet("old")
        rows_in(other, [["Item", "Type", "Price"], ["H9", "bucket", 1]])
        other.hide()

    data = workbook(write)
    got = seen(data)
    assert attachment(only(got, "H1")).price.is_unknown and only(got, "H2").state == "ask"
    assert {one.key.split("!")[-1] for one in got.questions} == {"hidden", "rows", "sheet"}
    said = {one.key: "read" for one in got.questions}
    all_read = propose(grids_of(data, "x.xlsx"), Shelf(), said)
    assert {row.id for row in all_read.rows("add")} == {"H1", "H2", "H9"}
    assert attachment(only(all_read, "H1")).price.is_unknown


def test_6_ids_stay_text(workbook) -> None:
    def write(book, sheet) -> None:
        rows_in(sheet, [["Part No", "Kind", "Price"]])
        sheet.write_number(1, 0, 123, book.add_format({"num_format": "00000"}))
        rows_in(sheet, [[None, "coupler", 21.4]], 1)
        rows_in(sheet, [["00987", "coupler", 22], [4711, "fitting", 3.35]], 2)

    got = seen(workbook(write))
    assert {row.id for row in got.rows("add")} == {"00123", "00987", "4711"}
    assert Part.model_validate(only(got, "4711").record).kind == "adapter"


def test_7_an_id_twice() -> None:
    data = b"Item,Type,Price\nD1,bucket,500\nD1,bucket,500\nD2,bucket,600\nD2,bucket,650\n"
    got = seen(data, "d.csv")
    first, second = [row for row in got.rows("add", "pass") if row.id == "D1"]
    assert (first.state, second.state) == ("add", "pass")
    assert [row.state for row in got.rows("ask") if row.id == "D2"] == ["ask", "ask"]
    [question] = got.questions
    again = propose(grids_of(data, "d.csv"), Shelf(), {question.key: "d.csv, row 5"})
    [taken] = [row for row in again.rows("add") if row.id == "D2"]
    assert attachment(taken).price.value == 650


def test_8_dates_where_figures_belong(workbook) -> None:
    def write(book, sheet) -> None:
        rows_in(
            sheet, [["Item", "Type", "Width (in)", "Valid from"], ["T1", "bucket", date(2026, 3, 4), date(2026, 1, 1)]]
        )

    row = only(seen(workbook(write)), "T1")
    assert (
        row.state == "refuse"
        and "made a date of it" in str(row.why[0])
        and str(row.why[0]).startswith("C2: 2026-03-04")
    )


def test_9_two_tables_on_a_sheet_and_empty_columns(workbook) -> None:
    def write(book, sheet) -> None:
        rows_in(
            sheet, [[None, "Item", None, "Type", "Weight (lb)"], [None, "S1", None, "bucket", 300], [], ["TRACTORS"]]
        )
        rows_in(sheet, [["Model", "HP", "Wheelbase (in)", "Rear remotes"], ["Invented 30", "30 hp", 64, 1]], 5)

    got = seen(workbook(write))
    assert [table.kind for table in got.tables] == ["attachment", "machine"]
    assert attachment(only(got, "S1")).mass.value == pytest.approx(300 * LB)
    machine = Machine.model_validate(only(got, "invented-30").record)
    assert machine.engine_power.value == pytest.approx(30 * 745.69987) and machine.rear_remotes == 1


def test_10_wrong_headers_are_asked_and_a_cost_is_no_price() -> None:
    data = b"Itm Nmbr,Type,Weihgt (lb),Dealer Net,Colour\nW1,bucket,300,410,green\n"
    got = seen(data, "w.csv")
    [row] = got.rows("ask")
    assert row.record["cost"] == "410" and "price" not in row.record and not list(got.rows("add"))
    by_column = {one.key: one.choices for one in got.questions}
    assert "id" in by_column["w.csv!A:Itm Nmbr"] and "mass" in by_column["w.csv!C:Weihgt (lb)"]
    said = {"w.csv!A:Itm Nmbr": "id", "w.csv!C:Weihgt (lb)": "mass"}
    taken = only(propose(grids_of(data, "w.csv"), Shelf(), said), "W1")
    assert taken.state == "add" and attachment(taken).mass.value == pytest.approx(300 * LB)
    assert attachment(taken).price.is_unknown and attachment(taken).cost.value == 410
    assert "green" not in str(taken.record)


def test_11_a_foreign_currency_is_asked() -> None:
    got = seen(b"Item,Type,Price (EUR)\nC1,bucket,900\nC2,bucket,call\n", "c.csv")
    assert only(got, "C1").state == "ask" and "EUR" in got.questions[0].words
    assert only(got, "C2").state == "add"


def test_12_twenty_thousand_rows(workbook) -> None:
    def write(book, sheet) -> None:
        rows_in(sheet, [["Item", "Name", "Type", "Weight (lb)", "Width (in)", "Price", "Qty"]])
        rows_in(
            sheet,
            [
                [f"B{n:05d}", f"Bucket {n}", "bucket", 200 + n % 300, 48 + n % 36, 400 + n % 900, n % 9]
                for n in range(20_000)
            ],
            1,
        )

    data = workbook(write)
    start = time.perf_counter()
    got = seen(data)
    print(f"20,000 rows read and held against the shelf in {time.perf_counter() - start:.2f} s")
    assert got.counted()["add"] == 20_000
    last = attachment(only(got, "B19999"))
    assert last.mass.value == pytest.approx((200 + 19_999 % 300) * LB)


def test_what_a_list_does_not_name_stays_and_a_second_time_nothing_changes() -> None:
    shelf = demo_shelf()
    key = next(iter(shelf.attachments))
    data = f"Item,Type,Price\n{key},{shelf.attachments[key].kind},4321\n".encode()
    row = only(seen(data, "p.csv", shelf), key)
    assert row.state == "change" and [place for place, _, _ in row.changes] == ["price"]
    new = shelf.model_copy(update={"attachments": {**shelf.attachments, key: attachment(row)}})
    assert only(seen(data, "p.csv", new), key).state == "same"
    assert attachment(row).mass == shelf.attachments[key].mass


@pytest.mark.parametrize(
    "data", [b"", b"\x00\x01\x02", b"PK\x03\x04broken", b"\xd0\xcf\x11\xe0nothing", "ä;ö\n".encode("utf-16")]
)
def test_what_is_no_list_is_said(data: bytes) -> None:
    try:
        got = seen(data, "x")
    except ListError as error:
        assert str(error)
    else:
        assert got.counted()["add"] == 0

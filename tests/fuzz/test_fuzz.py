"""Tens of thousands of made-up inputs at every reader, and each fault that the long run found, held."""

from __future__ import annotations

import io
import json
import struct
import zipfile
import zlib
from pathlib import Path

import mutate
import pytest
import run
import samples

from handfast.counter import moving
from handfast.counter import verbs as counter
from handfast.language.figures import ID
from handfast.lists.grid import ListError
from handfast.lists.propose import grids_of
from handfast.machines.faults import Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import read_data
from handfast.machines.shelf import Shelf
from handfast.mail.read import read_mail
from handfast.store.database import StoreError

INPUTS = 24_000
GENEROUS = 10.0  # s of processor time: the long run prints what takes over one, on a quiet machine


@pytest.mark.parametrize(("target", "inputs"), list(run.shares(INPUTS)), ids=lambda one: getattr(one, "name", str(one)))
def test_only_its_own_errors_come_out(target: run.Target, inputs: int) -> None:
    told = run.tried(target, inputs, seed=7, limit=GENEROUS)
    assert told.crashes == {} and told.slow == []
    assert told.inputs == inputs


def test_the_inputs_are_the_same_every_time() -> None:
    for target in run.TARGETS:
        assert [run.input_of(target, 3, at) for at in range(5)] == [run.input_of(target, 3, at) for at in range(5)]


def test_a_crash_and_a_slow_input_are_counted() -> None:
    """The harness itself can fail: an error that is not declared, and a bound that is passed."""
    broken = run.Target("broken", lambda random: random.random(), lambda given: 1 / (given > 0.5), (ValueError,), 1)
    told = run.tried(broken, 200, seed=1, limit=-1.0)
    assert 50 < told.crashed < 150 and len(told.slow) == 200 and "ZeroDivisionError" in next(iter(told.crashes))


def test_the_samples_are_read_as_they_stand() -> None:
    """What is mutated is whole to begin with, so that small changes reach deep."""
    for data in (samples.xlsx(), samples.ods(), samples.xls(), *samples.csv_files()):
        assert any(row[:1] == ["RG-60"] for grid in grids_of(data, "list") for row in grid.rows)


def huge_xls() -> bytes:
    """An old workbook whose one cell says it stands in row 65,536 and column 65,536: four thousand million cells."""
    place = struct.pack("<HHH", 1, 0, 0)
    return samples.xls().replace(
        place + struct.pack("<HB", 5, 0) + b"RG-60",
        struct.pack("<HHH", 0xFFFF, 0xFFFF, 0) + struct.pack("<HB", 5, 0) + b"RG-60",
    )


def test_a_workbook_that_tells_of_more_cells_than_there_is_memory_ends_no_process_of_ours() -> None:
    data = huge_xls()
    assert data != samples.xls()
    with pytest.raises(ListError, match="spoilt"):
        grids_of(data, "list.xls")


def test_a_workbook_whose_parts_are_named_two_ways_is_refused() -> None:
    """The name at a part's beginning is not the one in the register at the end."""
    data = samples.xlsx()
    at = data.index(b"xl/worksheets/sheet1.xml")
    with pytest.raises(ListError):
        grids_of(data[:at] + b"xl/worksheets/sheet9.xml" + data[at + 24 :], "list.xlsx")


@pytest.mark.parametrize(
    "data",
    [
        {"title": "half \ud800"},
        {"ti\udc00tle": "x"},
        {"caller": {"name": "\udfff"}},
        json.loads('{"a":' * 300 + "1" + "}" * 300),
    ],
)
def test_half_a_character_and_endless_nesting_are_faults(data) -> None:
    with pytest.raises(Faults) as caught:
        read_data(Inquiry, data)
    "\n".join(map(str, caught.value.faults)).encode()


def test_a_row_of_dots_is_told_at_once() -> None:
    """Two hundred dots behind a word took a pattern of names longer than anybody would wait (as many ways as there are sums)."""
    assert ID.fullmatch("Back" + "." * 20_000) is None
    assert ID.fullmatch("thimble-24~pinned.kit~third-function") and not ID.fullmatch("~a")


@pytest.mark.parametrize("written", [".2/1 1/2 in logs", "a 1,2,3,4 lb thing", "..5/2/3½", "3.3/4 1/4"])
def test_figures_that_make_no_number_are_left_in_a_letter(written: str) -> None:
    assert read_mail(f"I have {written} of oak.", Shelf()).text


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    workspace = counter.open_workspace(tmp_path_factory.mktemp("full"), address="")
    counter.fill_demo(workspace)
    return moving.pack(workspace)


def signed(archive: bytes, change) -> bytes:
    """The archive with the inquiries' first row changed, counted and signed anew."""
    with zipfile.ZipFile(io.BytesIO(archive)) as held:
        parts = {one.filename: held.read(one) for one in held.infolist()}
    told = json.loads(parts.pop("manifest.json"))
    first, rest = parts["inquiries.jsonl"].split(b"\n", 1)
    parts["inquiries.jsonl"] = change(json.loads(first)) + b"\n" + rest
    import hashlib

    told["sha256"]["inquiries"] = hashlib.sha256(parts["inquiries.jsonl"]).hexdigest()
    return mutate.packed_from([("manifest.json", json.dumps(told).encode()), *parts.items()])


@pytest.mark.parametrize(
    "change",
    [
        lambda row: b"[]",
        lambda row: b"{",
        lambda row: b"\xff",
        lambda row: json.dumps({**row, "extra": 1}).encode(),
        lambda row: json.dumps({**row, "text": None}).encode(),
        lambda row: json.dumps({**row, "text": [1]}).encode(),
        lambda row: json.dumps({**row, "text": {"base64": 1}}).encode(),
        lambda row: json.dumps({**row, "text": {"base64": "?"}}).encode(),
        lambda row: json.dumps({**row, "text": "\ud800"}).encode(),
        lambda row: json.dumps({**row, "number": 2**70}).encode(),
        lambda row: json.dumps({**row, "number": "one"}).encode(),
        lambda row: json.dumps({**row, "state": "lost"}).encode(),
        lambda row: json.dumps({k: v for k, v in row.items() if k != "text"}).encode(),
    ],
)
def test_an_archive_whose_rows_are_no_rows_is_refused_whole(archive: bytes, change, tmp_path: Path) -> None:
    workspace = counter.open_workspace(tmp_path / "empty", address="")
    with pytest.raises(StoreError):
        moving.unpack(workspace, signed(archive, change))
    assert counter.inquiries(workspace) == []
    assert moving.unpack(workspace, signed(archive, lambda row: json.dumps(row).encode()))["inquiries"] == 8


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"rows": 1, "sha256": {}},
        {"rows": {"x": 1}, "sha256": {}, "schema": "y"},
        {"rows": [], "sha256": "", "schema": ""},
    ],
)
def test_an_archive_whose_manifest_is_none_is_refused(told, tmp_path: Path) -> None:
    whole = {"name": "handfast-workspace", "format": 1, **told}
    data = mutate.packed_from([("manifest.json", json.dumps(whole).encode())])
    with pytest.raises(StoreError):
        moving.unpack(counter.open_workspace(tmp_path / "empty", address=""), data)


def test_an_archive_broken_within_a_part_is_refused(archive: bytes, tmp_path: Path) -> None:
    """The packed bytes themselves: zlib has an error of its own."""
    spoilt = bytearray(archive)
    at = archive.index(b"changes.jsonl") + 60
    spoilt[at : at + 40] = b"\xff" * 40
    with pytest.raises((zlib.error, zipfile.BadZipFile, EOFError)):
        zipfile.ZipFile(io.BytesIO(bytes(spoilt))).read("changes.jsonl")
    with pytest.raises(StoreError):
        moving.unpack(counter.open_workspace(tmp_path / "empty", address=""), bytes(spoilt))

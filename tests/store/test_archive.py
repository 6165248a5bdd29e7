"""A workspace out as one archive and in again: identical records, nothing half done, broken ones refused."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import pytest

from handfast.counter import lists, moving
from handfast.counter import verbs as counter
from handfast.store.database import StoreError
from handfast.store.tables import metadata


@pytest.fixture
def filled(tmp_path: Path) -> counter.Workspace:
    workspace = counter.open_workspace(tmp_path / "full")
    assert counter.fill_demo(workspace)
    advice = counter.answer(workspace, 3)
    counter.quote(workspace, 3, advice.outfits[0].id)
    lists.take_list(workspace, lists.bring_list(workspace, "ä.csv", b"Item,Type,Price\nL1,bucket,500\n", "Höllow"))
    counter.settle(workspace)
    return workspace


def test_an_archive_makes_the_same_workspace(filled, tmp_path: Path) -> None:
    data = moving.pack(filled)
    other = counter.open_workspace(tmp_path / "other")
    counted = moving.unpack(other, data)
    assert counter.export(other) == counter.export(filled)
    assert moving.pack(other) == data == moving.pack(filled)
    assert set(counted) == {table.name for table in metadata.sorted_tables} and counted["inquiries"] == 8
    assert counter.answer(other, 3).outfits[0].id == counter.answer(filled, 3).outfits[0].id


def test_it_goes_into_an_empty_workspace_only(filled) -> None:
    before = counter.export(filled)
    with pytest.raises(StoreError, match="not empty"):
        moving.unpack(filled, moving.pack(filled))
    assert counter.export(filled) == before


def rewritten(data: bytes, change) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(buffer, "w") as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda name, text: text.replace(b"oak", b"ash") if name == "inquiries.jsonl" else text, "broken on the way"),
        (
            lambda name, text: text.replace(b'"schema": "', b'"schema": "9') if "manifest" in name else text,
            "another release",
        ),
        (lambda name, text: b"{}" if "manifest" in name else text, "no archive"),
    ],
)
def test_a_changed_archive_is_refused_and_nothing_is_kept(filled, tmp_path: Path, change, says: str) -> None:
    other = counter.open_workspace(tmp_path / "other")
    with pytest.raises(StoreError, match=says):
        moving.unpack(other, rewritten(moving.pack(filled), change))
    assert counter.inquiries(other) == []


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"nothing at all"])
def test_what_is_no_archive_is_said(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(StoreError, match="no archive"):
        moving.unpack(counter.open_workspace(tmp_path), data)


def test_a_backup_is_proved_and_replaces_the_old_one_at_once(filled, tmp_path: Path) -> None:
    file = tmp_path / "copy.zip"
    file.write_bytes(b"old")
    counted = moving.back_up(filled, file)
    assert counted["quotes"] == 1 and not file.with_name("copy.zip.new").exists()
    with zipfile.ZipFile(file) as packed:
        assert json.loads(packed.read("manifest.json"))["rows"] == counted

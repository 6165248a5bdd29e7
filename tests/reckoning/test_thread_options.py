"""`thread`: options read, candidates as plain data, faults named at once."""

from __future__ import annotations

import json

import pytest

from handfast.machines.faults import Faults
from handfast.reckoning.thread import reckon_thread


def test_a_half_inch_pipe_thread_and_its_question():
    """20.7 mm and 1.814 mm (14 per inch): G 1/2 of ISO 228-1, told from its twins by taper or seat."""
    result = reckon_thread({"od": "20.7mm", "pitch": "1.814mm", "tpi": None})
    first = result["candidates"][0]
    assert (first["family"], first["size"], first["gender"]) == ("bspp", "-8", "male")
    assert first["standard"] == "ISO 228-1"
    assert any("R 1/2-14" in text for text in first["look_alikes"])
    assert result["ask_what"] in ("seat", "taper")
    assert json.loads(json.dumps(result, allow_nan=False)) == result


def test_threads_per_inch_and_inches_are_read():
    by_count = reckon_thread({"od": "3/4 in", "tpi": "16", "flare": "37 deg"})
    by_pitch = reckon_thread({"od": "19.05 mm", "pitch": "1.5875 mm", "seat": "cone 37"})
    assert by_count == by_pitch
    assert by_count["candidates"][0]["designation"] == "3/4-16 UNF"
    assert by_count["candidates"][0]["family"] == "flare37"


def test_inside_diameter_means_a_female_thread():
    """M22x1.5 by ISO 724: minor diameter 20.376 mm."""
    result = reckon_thread({"id": "20.38 mm", "pitch": "1.5 mm", "seat": "o-ring port", "taper": "no"})
    assert (result["candidates"][0]["designation"], result["candidates"][0]["gender"]) == ("M22x1.5", "female")


@pytest.mark.parametrize(
    ("options", "places"),
    [
        ({}, ["--od"]),
        ({"od": "20.7"}, ["--od"]),
        ({"od": "20.7 kg", "tpi": "many"}, ["--od", "--tpi"]),
        ({"od": "21 mm", "pitch": "1.8 mm", "tpi": "14"}, ["--tpi"]),
        ({"od": "21 mm", "taper": "maybe", "seat": "blue"}, ["--seat", "--taper"]),
        ({"od": "21 mm", "seat": "flat face", "flare": "37"}, ["--flare"]),
        ({"od": "21 mm", "colour": "blue"}, ["--colour"]),
    ],
)
def test_faults_are_named_at_once(options: dict[str, str], places: list[str]):
    with pytest.raises(Faults) as caught:
        reckon_thread(options)
    assert [fault.place for fault in caught.value.faults] == places

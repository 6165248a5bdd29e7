"""Pictures of how to measure: each says what it shows, and nothing of it falls off the sheet."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from handfast.drawings.measure_pictures import DRAWN, TALL, WIDE, WORDS, measure_picture
from handfast.machines.measurement import ways


@pytest.mark.parametrize("kind", DRAWN)
@pytest.mark.parametrize("mode", ["screen", "print", "paper", "blueprint"])
def test_a_picture_is_whole_and_speaks(kind: str, mode: str) -> None:
    text = measure_picture(kind, mode)  # type: ignore[arg-type]
    root = ET.fromstring(text)
    spoken = [node.text for node in root.iter() if node.tag.endswith(("title", "desc"))]
    assert spoken == list(WORDS[kind])
    assert "style=" not in text
    for path in re.findall(r' d="([^"]+)"', text):
        numbers = [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", path)]
        assert all(0.0 <= x <= WIDE for x in numbers[0::2]), (kind, path)
        assert all(0.0 <= y <= TALL for y in numbers[1::2]), (kind, path)


def test_every_way_that_names_a_picture_has_one_and_the_workshop_has_none() -> None:
    for way in ways().values():
        assert bool(way.picture) == way.for_caller, way.id
        if way.picture:
            assert measure_picture(way.picture).startswith("<svg")
    assert {way.picture for way in ways().values()} >= set(DRAWN)

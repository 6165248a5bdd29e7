"""What hangs behind is drawn as what it is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handfast.advice.example import answer, outfit
from handfast.advice.result import Ballast, BallastPiece
from handfast.drawings.from_advice import side_view_of


@pytest.mark.parametrize(
    ("part", "title", "at", "kind"),
    [
        ("drum-450", "Drum with hitch pins", "hitch", "drum"),
        ("box-600", "Ballast box", "hitch", "ballast_box"),
        ("counterweight", "A counterweight", "hitch", "ballast_box"),
        ("plates", "Suitcase weights", "rack", "suitcase_weights"),
        ("fill", "Water and salt", "tyres", "tyres"),
    ],
)
def test_a_piece_of_ballast_is_drawn_by_its_kind(part: str, title: str, at: str, kind: str) -> None:
    piece = BallastPiece(part, title, 1, 200.0, 0.0 if at == "tyres" else 1.3, at)
    hung = Ballast(200.0, 0.25, (piece,), 0.0, 0.0, "")
    view = side_view_of(answer(), replace(outfit(), ballast=hung), "us")
    assert view.behind is not None and view.behind.kind == kind

"""The shelf at rest: what is put there comes back equal."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine

from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.quantities.estimate import Estimate
from handfast.store.change_rows import changes_of
from handfast.store.database import open_database, reading, writing
from handfast.store.shelf_records import peek_shelf, rows_of, shelf_of
from handfast.store.shelf_rows import load_shelf, put_shelf, records, retire, shelf_stamp

SHELF = Shelf(
    machines={"z": Machine(id="z", mass="about 1400 lb", loader={"lift_at_pin": "900 lb", "lift_at_500": "650 lb"})},
    attachments={"a": Attachment(id="a", kind="root_grapple", mass="190 lb", cg=["10 in", "8 in"], price="1599")},
    parts={
        "h": Part(id="h", kind="hose", bore="3/8 in", price={"low": 20, "likely": 25, "high": 40}),
        "b": Part(id="b", kind="ballast", mass="300 to 320 lb"),
    },
    price_book=PriceBook(labour_rate=125.0, tax="6.5 %"),
)


@pytest.fixture
def engine(tmp_path: Path) -> Engine:
    return open_database(tmp_path)


def test_the_shelf_comes_back_equal_and_in_its_order(engine: Engine) -> None:
    with writing(engine) as connection:
        assert put_shelf(connection, SHELF, "desk") == 5
    with reading(engine) as connection:
        back = load_shelf(connection)
    assert back == SHELF
    assert list(back.parts) == ["h", "b"]


def test_what_is_there_already_is_no_change(engine: Engine) -> None:
    with writing(engine) as connection:
        put_shelf(connection, SHELF, "desk")
        stamp = shelf_stamp(connection)
        assert put_shelf(connection, SHELF, "desk") == 0
        assert shelf_stamp(connection) == stamp


def test_a_record_changed_keeps_its_place_and_leaves_a_trace(engine: Engine) -> None:
    dearer = SHELF.parts["h"].model_copy(update={"price": Estimate.known(30)})
    with writing(engine) as connection:
        put_shelf(connection, SHELF, "desk")
        stamp = shelf_stamp(connection)
        assert put_shelf(connection, SHELF.model_copy(update={"parts": {**SHELF.parts, "h": dearer}}), "yard") == 1
        assert shelf_stamp(connection) > stamp
        assert list(load_shelf(connection).parts) == ["h", "b"]
        assert load_shelf(connection).parts["h"].price.value == 30
        assert [(one.who, one.before is None) for one in changes_of(connection, "shelf", "part/h")] == [
            ("desk", True),
            ("yard", False),
        ]


def test_a_retired_record_is_off_the_shelf_and_still_readable(engine: Engine) -> None:
    with writing(engine) as connection:
        put_shelf(connection, SHELF, "desk")
        retire(connection, "part", "h", "desk")
        assert list(load_shelf(connection).parts) == ["b"]
        assert [(key, retired) for _, key, _, retired in records(connection, ["part"])] == [("h", True), ("b", False)]
        with pytest.raises(KeyError):
            retire(connection, "part", "h", "desk")
        assert put_shelf(connection, SHELF, "desk") == 1
        assert load_shelf(connection) == SHELF


def test_a_look_from_the_terminal_sees_the_same(tmp_path: Path) -> None:
    assert peek_shelf(tmp_path / "nowhere") is None
    engine = open_database(tmp_path)
    assert peek_shelf(tmp_path) is None
    with writing(engine) as connection:
        put_shelf(connection, SHELF, "desk")
    assert peek_shelf(tmp_path) == SHELF


amounts = st.floats(min_value=1e-6, max_value=7e5)  # with the widest spread still below what can be weighed
estimates = st.one_of(
    amounts.map(Estimate.known),
    st.tuples(amounts, st.floats(0.001, 0.3)).map(lambda pair: Estimate.about(pair[0], pair[0] * pair[1])),
    st.lists(amounts, min_size=2, max_size=2).map(sorted).map(lambda ends: Estimate.between(*ends)),
    st.lists(amounts, min_size=3, max_size=3).map(sorted).map(lambda three: Estimate.triangular(*three)),
    st.just(Estimate.unknown()),
)


@given(mass=estimates, price=estimates, origin=st.sampled_from(["stated", "weighed", "sheet"]))
def test_whatever_is_known_of_a_record_comes_back(mass: Estimate, price: Estimate, origin: str) -> None:
    part = Part(id="p", kind="ballast").model_copy(update={"mass": mass.with_origin(origin), "price": price})
    shelf = Shelf(parts={"p": part})
    back = shelf_of(rows_of(shelf)).parts["p"]
    for was, is_now in ((part.mass, back.mass), (part.price, back.price)):
        assert (was.kind, was.origin) == (is_now.kind, is_now.origin)
        if not was.is_unknown:
            assert (is_now.low, is_now.likely, is_now.high) == pytest.approx((was.low, was.likely, was.high), rel=1e-12)

"""A record's form loses nothing: whatever is known goes into its fields and comes back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.reading import demo_shelf, read_data, read_model
from handfast.quantities.estimate import Estimate
from handfast.web.record_form import cleaned, data_from, form_of_record
from handfast.web.record_text import text_of_record

DEMO = demo_shelf()
EVERY = [*DEMO.machines.values(), *DEMO.attachments.values(), *DEMO.parts.values(), DEMO.price_book]
SYSTEMS = st.sampled_from(["us", "metric"])
ORIGINS = st.sampled_from(["stated", "measured", "weighed", "sheet", "typical", "computed"])


@pytest.mark.parametrize("system", ["us", "metric"])
def test_every_record_of_the_demonstration_comes_back_from_its_fields_alone(system: str) -> None:
    """Without the record that the form was drawn from: nothing is hidden, every entry has its field."""
    for record in EVERY:
        form = form_of_record(type(record), record.plain(), system, "sheet")
        data = data_from(type(record), cleaned(form.values), {}, system, "sheet")
        assert read_data(type(record), data) == record, record.id


def test_every_record_of_the_demonstration_comes_back_from_its_text() -> None:
    for record in EVERY:
        assert read_model(type(record), text_of_record(type(record), record.plain()), "x") == record, record.id


amounts = st.floats(min_value=1e-4, max_value=3e4)
estimates = st.one_of(
    amounts.map(Estimate.known),
    st.tuples(amounts, st.floats(0.001, 0.3)).map(lambda pair: Estimate.about(pair[0], pair[0] * pair[1])),
    st.lists(amounts, min_size=2, max_size=2).map(sorted).map(lambda ends: Estimate.between(*ends)),
    st.lists(amounts, min_size=3, max_size=3).map(sorted).map(lambda three: Estimate.triangular(*three)),
    st.just(Estimate.unknown()),
)


@given(mass=estimates, width=estimates, origin=ORIGINS, system=SYSTEMS)
def test_any_quantity_comes_back_from_its_field(mass: Estimate, width: Estimate, origin: str, system: str) -> None:
    """Values never written by anybody, so that no text of theirs is there to be shown again."""
    given_width = width.scaled(1e-3).with_origin(origin)
    record = Attachment(id="a").model_copy(update={"mass": mass.with_origin(origin), "width": given_width})
    form = form_of_record(Attachment, record.plain(), system, "sheet")
    data = data_from(Attachment, cleaned(form.values), {}, system, "sheet")
    back = read_data(Attachment, data)
    for was, is_now in ((record.mass, back.mass), (record.width, back.width)):
        if was.is_unknown:
            assert is_now.is_unknown
            continue
        assert (was.kind, was.origin) == (is_now.kind, is_now.origin)
        assert (is_now.low, is_now.likely, is_now.high) == pytest.approx((was.low, was.likely, was.high), rel=1e-12)


texts = st.text(alphabet=st.characters(blacklist_categories=["Cc", "Cs"]), max_size=60).map(str.strip)


@given(name=texts, notes=texts, words=st.lists(texts.filter(lambda t: t and "," not in t), max_size=4))
def test_any_words_come_back(name: str, notes: str, words: list[str]) -> None:
    record = Part(id="p", kind="guard", name=name, notes=notes, needs=tuple(words))
    form = form_of_record(Part, record.plain(), "us", "sheet")
    data = data_from(Part, cleaned(form.values), {}, "us", "sheet")
    assert read_data(Part, data) == record
    assert read_model(Part, text_of_record(Part, record.plain()), "x") == record


@given(mass=estimates, system=SYSTEMS)
def test_what_is_not_touched_stays_to_the_last_digit(mass: Estimate, system: str) -> None:
    plain = Attachment(id="a", name="A").model_copy(update={"mass": mass}).plain()
    form = form_of_record(Attachment, plain, system, "sheet")
    assert data_from(Attachment, cleaned({**form.values, "name": "B"}), plain, system, "sheet") == {
        **plain,
        "name": "B",
    }

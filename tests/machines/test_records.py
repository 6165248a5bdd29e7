"""Records as they are read, merged, kept and described."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from handfast.machines.attachment import Attachment
from handfast.machines.checking import entries_at
from handfast.machines.circuit import Circuit, Fluid
from handfast.machines.fields import Record
from handfast.machines.inquiry import Inquiry
from handfast.machines.loader import Loader
from handfast.machines.part import Connection, Part
from handfast.machines.reading import Faults, demo_inquiries, demo_shelf, located, read_data, read_inquiry, read_model
from handfast.machines.schema import MODELS, schemas
from handfast.machines.toml_lines import line_numbers
from handfast.machines.tractor import Machine
from handfast.machines.warnings import attachment_warnings, warnings
from handfast.quantities.tables import DATA

CHECKED = Path(__file__).parent.parent / "validation" / "checked"
INQUIRIES = sorted(path for path in CHECKED.glob("q*.toml") if ".circuit" not in path.name)
LB, INCH = 0.45359237, 0.0254


@pytest.mark.parametrize("path", INQUIRIES, ids=lambda path: path.stem)
def test_checked_inquiries_read_without_fault(path: Path) -> None:
    inquiry = read_inquiry(path.read_text(encoding="utf-8"), path.name)
    assert inquiry.machine.loader.lift_at_pin.is_known
    assert inquiry.attachment and inquiry.work


def test_a_checked_inquiry_says_what_is_written() -> None:
    inquiry = read_inquiry((CHECKED / "q10.toml").read_text(encoding="utf-8"))
    machine, tool, logs = inquiry.machine, inquiry.attachment[0], inquiry.work[0]
    assert machine.class_ == "subcompact"
    assert machine.mass.value == pytest.approx(2260 * LB, rel=1e-12)
    assert machine.rear_tyre.radius.value == pytest.approx(12.5 * INCH, rel=1e-12)
    assert machine.loader.quick_attach_cg is not None
    assert machine.loader.quick_attach_cg.z.value == pytest.approx(-1.5 * INCH, rel=1e-12)
    assert machine.loader.pin_ahead.down.value == pytest.approx(30.625 * INCH, rel=1e-12)
    assert tool.load_centre is not None
    assert tool.load_centre.x.value == pytest.approx(5.5 * INCH, rel=1e-12)
    assert logs.length.value == pytest.approx(78 * INCH, rel=1e-12)
    assert logs.density.value == pytest.approx(55 * LB / (12 * INCH) ** 3, rel=1e-12)
    assert logs.count.value == 40
    assert inquiry.site.slope.is_unknown


def test_every_form_that_an_inquiry_may_take() -> None:
    inquiry = read_inquiry("""
title = "Taking out the old orchard"
currency = "USD"
[caller]
place = "Lathe Hill"
unloading = "forks"
wanted_by = 2027-03-01
promise = "a price by noon"
[machine]
record = "thimble-24"
quick_attach = "pinned"
rear_remotes = 0
tyre_fill = "filled"
mass = { value = "1180 kg", origin = "weighed" }
with = ["tyre_fill"]
centre = "unknown"
ports = { rear = "coupler_flat 1/2 female", loader_valve = { family = "orb", size = "-8", gender = "female" } }
[[work]]
kind = "logs"
species = "Apple"
diameter = "14 in"
length = "8 ft"
count = 60
[site]
slope = "10 %"
gate = "7 ft"
haul_distance = "80 m"
lift_to = "1.4 m"
[behind]
mass = "unknown"
[[seen_elsewhere]]
kind = "root_grapple"
width = "60 in"
mass = "520 lb"
price = "1599"
interfaces = "universal_plate"
[wishes]
own_work = true
budget = "6500"
hours_per_year = 40
[fluid]
viscosity_40 = "46 cSt"
[circuit]
temperatures = "40 °C"
return = [{ kind = "fitting", bore = "3/8 in", k = 1.3, count = 4 }]
""")
    assert inquiry.machine.mass.origin == "weighed"
    assert inquiry.machine.with_ == ("tyre_fill",)
    assert inquiry.machine.tyre_fill is not None and inquiry.machine.tyre_fill.volume.is_unknown
    assert inquiry.machine.centre is None
    assert inquiry.machine.ports.rear == Connection(family="coupler_flat", size="1/2", gender="female")
    assert str(inquiry.machine.ports.loader_valve) == "orb -8 female"
    assert inquiry.caller.wanted_by == "2027-03-01"
    assert inquiry.caller.promise is not None and inquiry.caller.promise.what == "a price by noon"
    assert inquiry.behind.mass.is_unknown
    assert inquiry.seen_elsewhere[0].interfaces == ("universal_plate",)
    assert inquiry.wishes.budget.value == 6500 and inquiry.wishes.hours_per_year.value == 40
    assert inquiry.circuit is not None and inquiry.circuit.return_[0].k.value == 1.3
    assert inquiry.circuit.temperatures[0].value == pytest.approx(313.15)


def test_records_are_frozen() -> None:
    with pytest.raises(ValidationError):
        Machine().mass = Machine().mass  # type: ignore[misc]


def test_the_demonstration_is_read_and_named_records_are_found() -> None:
    shelf = demo_shelf()
    assert len(shelf.machines) == 16
    assert {machine.class_ for machine in shelf.machines.values()} == {
        "subcompact",
        "compact_small",
        "compact_large",
        "utility",
    }
    assert len(shelf.attachments) >= 45
    assert len(demo_inquiries()) == 8
    for inquiry in demo_inquiries().values():
        assert inquiry.resolve(shelf).machine.record == inquiry.machine.record
    for machine in shelf.machines.values():
        assert warnings(machine) == ()
    for attachment in shelf.attachments.values():
        assert attachment_warnings(attachment) == ()


def test_facts_win_over_the_record() -> None:
    shelf = demo_shelf()
    kept = shelf.machines["thimble-24"]
    facts = 'rear_remotes = 2\nwheelbase = "unknown"\n[machine.loader]\nlift_at_500 = "600 lb"\n'
    text = f'[machine]\nrecord = "thimble-24"\n{facts}'
    machine = read_inquiry(text).resolve(shelf).machine
    assert machine.rear_remotes == 2
    assert machine.wheelbase == kept.wheelbase
    assert machine.loader.lift_at_500.value == pytest.approx(600 * LB)
    assert machine.loader.lift_at_pin == kept.loader.lift_at_pin


def test_lines_counted_at_the_valve_overrule_the_record() -> None:
    shelf = demo_shelf()
    text = '[machine]\nrecord = "satchel-33"\n'
    assert shelf.machines["satchel-33"].power_beyond is True
    counted = read_inquiry(text + "lines_at_valve = 6").resolve(shelf).machine
    assert (counted.lines_at_valve, counted.power_beyond) == (6, None)
    seen = read_inquiry(text + "power_beyond = false").resolve(shelf).machine
    assert (seen.lines_at_valve, seen.power_beyond) == (None, False)


def test_axle_masses_follow_a_mass_that_was_stated_alone() -> None:
    shelf = demo_shelf()
    kept = shelf.machines["thimble-24"]
    read = {
        "mass": read_inquiry('[machine]\nrecord = "thimble-24"\nmass = "2600 lb"').resolve(shelf).machine,
        "front": read_inquiry('[machine]\nrecord = "thimble-24"\nfront_axle_mass = "1500 lb"').resolve(shelf).machine,
        "both": read_inquiry('[machine]\nrecord = "thimble-24"\nfront_axle_mass = "1500 lb"\nmass = "2600 lb"')
        .resolve(shelf)
        .machine,
    }
    for machine in read.values():
        together = machine.front_axle_mass.value + machine.rear_axle_mass.value
        assert together == pytest.approx(machine.mass.value, rel=0.02)
    share = kept.front_axle_mass.value / (kept.front_axle_mass.value + kept.rear_axle_mass.value)
    moved = read["mass"]
    assert moved.mass.value == pytest.approx(2600 * LB)
    assert moved.front_axle_mass.value / moved.mass.value == pytest.approx(share, rel=0.02)
    assert moved.front_axle_mass.origin == "computed"
    assert read["front"].rear_axle_mass == kept.rear_axle_mass
    assert read["both"].rear_axle_mass.value == pytest.approx(1100 * LB)


def test_a_record_that_is_not_on_the_shelf_names_those_near() -> None:
    shelf = demo_shelf()
    with pytest.raises(Faults, match="thimble-24"):
        read_inquiry('[machine]\nrecord = "timble-24"').resolve(shelf)
    with pytest.raises(Faults, match=r"attachment\[0\].record"):
        read_inquiry('[[attachment]]\nrecord = "nothing like it"').resolve(shelf)


def test_faults_found_against_the_shelf_get_the_lines_of_the_text() -> None:
    text = 'title = "x"\n\n[machine]\nrecord = "timble-24"\n'
    with pytest.raises(Faults) as refused:
        read_inquiry(text).resolve(demo_shelf())
    (fault,) = located(refused.value, text, "asked.toml").faults
    assert (fault.file, fault.line, fault.place) == ("asked.toml", 4, "machine.record")


def test_facts_that_contradict_the_record_are_a_fault() -> None:
    shelf = demo_shelf()
    text = '[machine]\nrecord = "thimble-24"\n[machine.loader]\nlift_at_500 = "2000 lb"\n'
    with pytest.raises(Faults, match=r"machine\.loader\.lift_at_500"):
        read_inquiry(text).resolve(shelf)


def test_named_attachments_are_filled_in() -> None:
    shelf = demo_shelf()
    name = next(iter(shelf.attachments))
    tool = read_inquiry(f'[[attachment]]\nrecord = "{name}"\nmass = "200 lb"').resolve(shelf).attachment[0]
    assert tool.mass.value == pytest.approx(200 * LB)
    assert tool.kind == shelf.attachments[name].kind
    assert tool.cg == shelf.attachments[name].cg


def _all_records() -> list[Record]:
    shelf = demo_shelf()
    checked = [read_inquiry(path.read_text(encoding="utf-8")) for path in INQUIRIES]
    everything: list[Record] = [*shelf.machines.values(), *shelf.attachments.values(), *shelf.parts.values()]
    return [*everything, shelf.price_book, *demo_inquiries().values(), *checked]


def test_what_is_kept_as_json_is_read_back_equal() -> None:
    for record in _all_records():
        again = read_data(type(record), json.loads(json.dumps(record.plain())))
        assert again == record


def test_oddities_are_warned_of_and_never_refused() -> None:
    level = Loader(self_levelling=True, lift_at_pin="900 lb", lift_at_500="650 lb")
    equal = Loader(self_levelling=False, lift_at_pin="900 lb", lift_at_500="900 lb")
    honest = Loader(self_levelling=False, lift_at_pin="900 lb", lift_at_500="650 lb")
    assert "self-levelling" in warnings(Machine(loader=level))[0]
    assert "said not to be" in warnings(Machine(loader=equal))[0]
    assert warnings(Machine(loader=honest)) == ()
    odd = Machine(hitch_lift="500 lb", hitch_lift_610="600 lb", front_axle_rating="500 kg", front_axle_mass="600 kg")
    assert len(warnings(odd)) == 2
    far = Loader(pin_ahead={"down": "50 in", "level": "40 in", "up": "30 in"})
    assert "down" in warnings(Machine(loader=far))[0]
    stroke = Attachment(jaw={"retracted": "400 mm", "extended": "600 mm"}, hydraulics={"stroke": "150 mm"})
    assert "stroke" in attachment_warnings(stroke)[0]


def test_ratings_may_be_printed_as_forces() -> None:
    assert Loader(lift_at_pin="9.80665 kN").lift_at_pin.value == pytest.approx(1000.0)


def test_parts_of_every_form() -> None:
    part = read_model(
        Part, 'kind = "cable"\nid = "c"\ngauge = 6\nlength = "16 ft"\nprice = {low = 1, likely = 2, high = 3}', "p.toml"
    )
    assert part.gauge == "6" and part.price.kind == "triangular"
    kit = Part(
        kind="valve_kit", id="k", power_route="diverter", centre="open", hours="90 min", ends=["orb -8 male"] * 2
    )
    assert kit.centre == ("open",) and kit.hours.value == 1.5
    assert read_data(Fluid, {"viscosity_40": 46e-6, "viscosity_100": 6.8e-6}).viscosity_40.value == 46e-6
    with pytest.raises(Faults, match="less than at 40"):
        read_data(Fluid, {"viscosity_40": "6 cSt", "viscosity_100": "46 cSt"})
    with pytest.raises(Faults, match="a known length of a hose"):
        read_data(Circuit, {"supply": [{"kind": "hose", "bore": "10 mm"}]})


# --- lines of a TOML text, against the standard reader -------------------------------------------------------------

TOMLS = [*sorted(CHECKED.glob("*.toml")), *sorted((DATA / "demo").rglob("*.toml"))]
ODD = '''
# remark with [brackets] and = signs
"quoted key" = 1
a.b."c d" = "x # no remark" # remark
many = [ # remark
  1, "two", # remark ]
  { deep = [ 3, 4 ], "odd = key" = 5 },
]
text = """
[not.a.table]
key = 1 \\""" still
"""
lit = \'\'\'
= [[no]] \'\'\'
when = 2027-01-01 10:00:00
[t]
x = {y = {z = 1}}
[[t.rows]]
n = 1
[[t.rows]]
n = 2
[t.rows.sub]
m = 3
[[t.rows.more]]
k = 4
'''


def _paths(data: Any, above: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    pairs: Any = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in pairs:
        yield (*above, key)
        yield from _paths(value, (*above, key))


@pytest.mark.parametrize("text", [ODD, *(path.read_text(encoding="utf-8") for path in TOMLS)])
def test_every_entry_that_the_standard_reader_finds_has_the_line_it_stands_on(text: str) -> None:
    lines, rows = line_numbers(text), text.split("\n")
    data = tomllib.loads(text)
    assert set(lines) == set(_paths(data))
    for path, line in lines.items():
        named = [key for key in path if isinstance(key, str)]
        if named and isinstance(path[-1], str):
            assert named[-1] in rows[line - 1]


def test_lines_by_hand() -> None:
    lines = line_numbers(ODD)
    assert lines[("quoted key",)] == 3
    assert lines[("a", "b", "c d")] == 4
    assert lines[("many", 2, "deep", 1)] == 7
    assert lines[("t", "rows", 1, "n")] == 21
    assert lines[("t", "rows", 1, "sub", "m")] == 23
    assert lines[("t", "rows", 1, "more", 0, "k")] == 25


# --- JSON Schema ---------------------------------------------------------------------------------------------------


def _allows(schema: dict[str, Any], value: Any, root: dict[str, Any]) -> bool:
    """Whether a JSON value is allowed, for the words of JSON Schema that the records use."""
    if "$ref" in schema:
        return _allows(root["$defs"][schema["$ref"].rsplit("/", 1)[1]], value, root)
    if "anyOf" in schema and not any(_allows(each, value, root) for each in schema["anyOf"]):
        return False
    if ("const" in schema and value != schema["const"]) or ("enum" in schema and value not in schema["enum"]):
        return False
    kinds: dict[str, tuple[type, ...]] = {
        "object": (dict,), "array": (list,), "string": (str,), "number": (int, float), "integer": (int,),
        "boolean": (bool,),
    }  # fmt: skip
    kind = schema.get("type")
    if kind and (not isinstance(value, kinds[kind]) or (isinstance(value, bool) and kind != "boolean")):
        return False
    if isinstance(value, dict) and kind == "object":
        known, more = schema.get("properties", {}), schema.get("additionalProperties", True)
        if not all(name in value for name in schema.get("required", [])):
            return False
        return all(
            _allows(known[key], each, root) if key in known else more is True or (more and _allows(more, each, root))
            for key, each in value.items()
        )
    if isinstance(value, list) and kind == "array":
        enough = schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value))
        return enough and all(_allows(schema.get("items", {}), each, root) for each in value)
    return True


@pytest.mark.parametrize(
    "path", [*INQUIRIES, *sorted((DATA / "demo" / "inquiries").glob("*.toml"))], ids=lambda p: p.stem
)
def test_the_schema_allows_what_the_reader_reads(path: Path) -> None:
    schema = schemas()["inquiry"]
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert _allows(schema, data, schema)
    assert not _allows(schema, {**data, "mashine": {}}, schema)
    assert not _allows(schema, {**data, "site": {"slope": True}}, schema)


@pytest.mark.parametrize("name", sorted(MODELS))
def test_the_schema_names_every_entry_and_is_complete_in_itself(name: str) -> None:
    schema = schemas()[name]
    text = json.dumps(schema)
    body = schema if "properties" in schema else schema["$defs"][schema["$ref"].rsplit("/", 1)[1]]
    assert sorted(body["properties"]) == sorted(entries_at(MODELS[name], ()))
    for used in {part.split('"')[0] for part in text.split("#/$defs/")[1:]}:
        assert used in schema["$defs"]


def test_reading_an_inquiry_imports_nothing_heavy() -> None:
    code = (
        "import sys; from handfast.machines.reading import demo_shelf; demo_shelf(); "
        "sys.exit(any(name in sys.modules for name in ('scipy', 'babel', 'sqlalchemy', 'starlette', 'typst', 'click')))"
    )
    assert (
        subprocess.run(
            [sys.executable, "-c", code], check=False, env={"PYTHONPATH": str(DATA.parent.parent)}
        ).returncode
        == 0
    )


def test_an_inquiry_has_entries_of_its_own_and_no_others() -> None:
    names = set(entries_at(Inquiry, ()))
    assert {"caller", "machine", "attachment", "work", "site", "behind", "seen_elsewhere", "wishes"} <= names

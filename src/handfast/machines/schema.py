"""JSON Schema of the records, from the same models that read them."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from handfast.machines.attachment import Attachment, SeenElsewhere
from handfast.machines.circuit import Circuit, Fluid
from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import Measurement
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.machines.shelf_files import ShelfFile
from handfast.machines.tractor import Machine
from handfast.machines.work import Work
from handfast.quantities.estimate import ORIGINS

MODELS: dict[str, type[BaseModel]] = {
    "inquiry": Inquiry,
    "machine": Machine,
    "attachment": Attachment,
    "seen_elsewhere": SeenElsewhere,
    "part": Part,
    "work": Work,
    "measurement": Measurement,
    "fluid": Fluid,
    "circuit": Circuit,
    "price_book": PriceBook,
    "shelf": Shelf,
    "shelf_file": ShelfFile,
}

_NUMBER_OR_TEXT = {"anyOf": [{"type": "number"}, {"type": "string"}]}
QUANTITY_TABLE: dict[str, Any] = {
    "type": "object",
    "description": "A quantity with its origin: value, value and spread, low and high, or low, likely and high.",
    "properties": {
        **dict.fromkeys(("value", "spread", "low", "likely", "high"), _NUMBER_OR_TEXT),
        "origin": {"enum": list(ORIGINS)},
        "text": {"type": "string"},
    },
    "additionalProperties": False,
}


def schema_of(model: type[BaseModel]) -> dict[str, Any]:
    """JSON Schema of one record type.

    Args:
        model: record type.

    Returns:
        schema, complete in itself.

    >>> schema_of(Work)["properties"]["mass"]["x-si-unit"]
    'kg'
    """
    schema = tidied(model.model_json_schema(by_alias=True))
    schema.setdefault("$defs", {})["QuantityTable"] = QUANTITY_TABLE
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def tidied(schema: Any, within: str = "#/$defs/") -> Any:
    """Quantity tables by reference, "unknown" in place of nothing (TOML has no null), no defaults.

    Args:
        schema: as pydantic makes it.
        within: where the schema of quantity tables will stand.

    Returns:
        the schema.

    >>> tidied({"x-quantity": True})
    {'$ref': '#/$defs/QuantityTable'}
    """
    if isinstance(schema, list):
        return [tidied(each, within) for each in schema]
    if not isinstance(schema, dict):
        return schema
    if "x-quantity" in schema:
        return {"$ref": f"{within}QuantityTable"}
    if schema.get("type") == "null":
        return {"const": "unknown"}
    return {key: tidied(each, within) for key, each in schema.items() if key != "default"}


def schemas() -> dict[str, dict[str, Any]]:
    """JSON Schema of every record, by name.

    Returns:
        schema by name of the record.

    >>> "inquiry" in schemas()
    True
    """
    return {name: schema_of(model) for name, model in MODELS.items()}

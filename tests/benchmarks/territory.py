"""An invented territory of any size: machines and attachments varied from the demonstration's, every figure known."""

from __future__ import annotations

from typing import Any

import numpy as np

from handfast.machines.reading import demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.quantities.estimate import Estimate

KEPT = ("relief_pressure", "pump_flow", "steering_flow", "port_relief", "rated_speed", "working_speed")
MODELS = 250


def territory(machines: int, attachments: int, seed: int = 1) -> tuple[list[Machine], Shelf]:
    """Machines of `MODELS` models, each a little different in mass and size, and a shelf of attachments."""
    rng, shelf = np.random.default_rng(seed), demo_shelf()
    bases = list(shelf.machines.values())
    models = [_model(bases[k % len(bases)], rng, k) for k in range(min(MODELS, machines))]
    made = [_one(models[k % len(models)], rng, k) for k in range(machines)]
    tools = list(shelf.attachments.values())
    more = {}
    for k in range(attachments):
        one = tools[k % len(tools)]
        varied = _varied(one, rng, 0.15, ("width", "mass", "rated_load", "opening_tip", "opening_throat", "price"))
        more[f"{one.id}-{k}"] = one.model_copy(update={**varied, "id": f"{one.id}-{k}", "name": f"{one.name} {k}"})
    return made, shelf.model_copy(update={"attachments": more, "machines": {one.id: one for one in made}})


def _model(base: Machine, rng: np.random.Generator, k: int) -> Machine:
    """A model of its own: hydraulics as a sheet would print them, loader a little stronger or weaker."""
    flow = round(float(rng.uniform(0.8, 1.3)) * base.pump_flow.value * 60000.0, 1) / 60000.0
    relief = round(float(rng.uniform(0.9, 1.2)) * base.relief_pressure.value / 5e5) * 5e5
    bare = {"linkage": None, **_varied(base.loader, rng, 0.12, _estimates(base.loader))}
    loader = base.loader.model_copy(update=_sane(bare))
    oil = {"pump_flow": Estimate.known(flow, origin="sheet"), "relief_pressure": Estimate.known(relief, origin="sheet")}
    return base.model_copy(update={**oil, "loader": loader, "id": f"model-{k}", "name": f"{base.name} {k}"})


def _sane(loader: dict[str, Any]) -> dict[str, Any]:
    """Pairs of ratings that go together keep one factor."""
    for names in (("lift_at_pin", "lift_at_500"), ("lift_at_pin_1500", "lift_at_500_1500")):
        loader = {name: value for name, value in loader.items() if name not in names[1:]}
    return {k: v for k, v in loader.items() if not k.startswith(("lift_at", "pin_height", "ratings_with"))}


def _one(model: Machine, rng: np.random.Generator, k: int) -> Machine:
    names = [name for name in _estimates(model) if name not in (*KEPT, "mass", "front_axle_mass", "rear_axle_mass")]
    factor = float(rng.uniform(0.93, 1.07))
    masses = {
        name: Estimate.known(getattr(model, name).value * factor, origin="sheet")
        for name in ("mass", "front_axle_mass", "rear_axle_mass")
        if not getattr(model, name).is_unknown
    }
    return model.model_copy(update={**_varied(model, rng, 0.04, names), **masses, "id": f"machine-{k}"})


def _estimates(record: Any) -> list[str]:
    return [name for name in type(record).model_fields if isinstance(getattr(record, name), Estimate)]


def _varied(record: Any, rng: np.random.Generator, by: float, names: Any) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for name in names:
        known = getattr(record, name)
        if isinstance(known, Estimate) and not known.is_unknown:
            made[name] = Estimate.known(known.value * float(rng.uniform(1.0 - by, 1.0 + by)), origin=known.origin)
    return made

"""The inquiry: what a caller said, with the record it names filled in from the shelf."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, model_validator

from handfast.machines.as_built import built_on
from handfast.machines.attachment import Attachment, SeenElsewhere
from handfast.machines.checking import contradictions_in, dotted
from handfast.machines.circuit import Circuit, Fluid
from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import FEW, FEW_READINGS, MANY, UNKNOWN, Contradiction, Hours, Money, Number, Record
from handfast.machines.measurement import Measurement
from handfast.machines.merging import merged, merged_machine, named
from handfast.machines.price_book import Currency
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.machines.travel import Travel
from handfast.machines.work import Behind, Site, Work
from handfast.quantities.money import currency_of, same_currency


def _day(given: object) -> object:
    """A date may stand bare in a file."""
    return given.isoformat() if isinstance(given, date) else given


Day = Annotated[str, BeforeValidator(_day)]


class Promise(Record):
    """What was promised to the caller, and by when."""

    written_also: ClassVar[tuple[dict[str, Any], ...]] = ({"type": "string"},)

    what: str = ""
    by: Day = ""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, given: Any) -> Any:
        """A promise may be one text."""
        return {"what": given} if isinstance(given, str) else given


class Caller(Record):
    """Who asks and where the goods go."""

    name: str = ""
    number: str = ""
    place: str = ""
    freight_zone: str = ""
    unloading: Literal["lift_gate", "forks", "dock", "by_hand"] | None = None
    residential: bool | None = None
    limited_access: bool | None = None
    wanted_by: Day = ""
    promise: Promise | None = None
    notes: str = ""


class Wishes(Record):
    """What the caller wants beside the work done."""

    own_work: bool | None = None
    fitted_at: Literal["shop", "field"] | None = None  # where the dealer fits it: field is at the customer's
    budget: Money = UNKNOWN
    hours_per_year: Hours = UNKNOWN
    changes_per_year: Number = UNKNOWN
    notes: str = ""


def told_apart(attachments: Sequence[Attachment]) -> tuple[Attachment, ...]:
    """Attachments with ids of their own, so that no two outfits answer to one id; one alone keeps what it has."""
    taken: set[str] = set()
    found = []
    for place, one in enumerate(attachments, 1):
        name = one.id if len(attachments) == 1 or one.id not in taken | {""} else f"{one.id or 'attachment'}-{place}"
        taken.add(name)
        found.append(one if name == one.id else one.model_copy(update={"id": name}))
    return tuple(found)


class Inquiry(Record):
    """Everything that one caller said."""

    title: str = ""
    said: str = ""
    notes: str = ""
    locale: str = "en_US"
    currency: Currency = "USD"
    caller: Caller = Caller()
    machine: Machine = Machine()
    attachment: Annotated[tuple[Attachment, ...], MANY] = ()
    work: Annotated[tuple[Work, ...], FEW] = ()
    site: Site = Site()
    behind: Behind = Behind()
    travel: Travel = Travel()
    seen_elsewhere: Annotated[tuple[SeenElsewhere, ...], MANY] = ()
    wishes: Wishes = Wishes()
    measurement: Annotated[tuple[Measurement, ...], FEW_READINGS] = ()
    fluid: Fluid | None = None
    circuit: Circuit | None = None
    seed: int = Field(default=1, ge=0, le=2**63 - 1)

    def contradictions(self) -> Iterator[Contradiction]:
        """Prices must be in the inquiry's currency: a foreign one is never taken as ours."""
        prices = [("wishes.budget", self.wishes.budget)]
        prices += [(f"attachment[{i}].price", each.price) for i, each in enumerate(self.attachment)]
        prices += [(f"seen_elsewhere[{i}].price", each.price) for i, each in enumerate(self.seen_elsewhere)]
        for place, price in prices:
            if not same_currency(currency_of(price.text), self.currency):
                yield Contradiction(place, price.text, f"a price in {self.currency}, the currency of the inquiry")

    def resolve(self, shelf: Shelf, file: str = "inquiry") -> Inquiry:
        """The inquiry with every named record filled in from the shelf; what the caller stated wins.

        Raises Faults for a record that is not on the shelf, facts that contradict it, or prices in another currency.
        """
        faults: list[Fault] = []
        currency = self._currency_on(shelf, file, faults)
        base = named(shelf.machines, self.machine.record, "machine.record", file, faults, shelf.set_aside.machines)
        machine = self.machine if base is None else merged_machine(base, self.machine)
        measured = built_on(shelf.as_built, machine)
        if measured is not None and self.machine.relief_pressure.is_unknown:
            machine = machine.model_copy(update={"relief_pressure": measured.relief.with_origin("measured")})
        attachments = []
        for i, facts in enumerate(self.attachment):
            place, retired = f"attachment[{i}].record", shelf.set_aside.attachments
            kept = named(shelf.attachments, facts.record, place, file, faults, retired)
            attachments.append(facts if kept is None else merged(kept, facts))
        filled = {"machine": machine, "attachment": told_apart(attachments), "currency": currency}
        found = self.model_copy(update=filled)
        faults += [
            Fault(file, 0, dotted(path), each.found, each.expected)
            for path, each in contradictions_in(found)
            if path[0] != "attachment" or path[-1] != "price"
        ]
        if faults:
            raise Faults(faults)
        return found

    def _currency_on(self, shelf: Shelf, file: str, faults: list[Fault]) -> str:
        """The currency of the answer: prices on a shelf are never taken for another currency's."""
        ours = shelf.price_book.currency
        if self.currency == ours or not shelf.priced:
            return self.currency
        if "currency" in self.model_fields_set:
            expected = f"{ours}, the currency of the shelf's prices, or a shelf with prices in {self.currency}"
            faults.append(Fault(file, 0, "currency", self.currency, expected))
            return self.currency
        return ours

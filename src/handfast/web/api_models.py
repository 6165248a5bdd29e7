"""What the verbs of the API take and answer beside the records themselves."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictBool

from handfast.counter.calls import WHO
from handfast.machines.fields import Record
from handfast.machines.inquiry import Inquiry
from handfast.store.tables import ANSWERED_BY, STATES

HOWS = tuple(how for how in ANSWERED_BY if how != "link")  # by link the customer answers

# -------------------- taken


class StateGiven(Record):
    """Where an inquiry stands now."""

    state: Literal[STATES]  # type: ignore[valid-type]


class QuoteAsked(Record):
    """The outfits to offer, and what is said with them."""

    outfits: tuple[Annotated[str, Field(min_length=1, max_length=400)], ...] = Field(min_length=1, max_length=3)
    customer: str = Field(default="", max_length=200)
    words: str = Field(default="", max_length=4000)
    note: str = Field(default="", max_length=300)


class QuoteMoved(Record):
    """Where a quote stands now."""

    state: Literal["sent", "ordered", "delivered", "returned", "withdrawn"]


class AnswerGiven(Record):
    """What a customer answered to an offer."""

    became: Literal["accepted", "declined"]
    how: Literal[HOWS]  # type: ignore[valid-type]
    name: str = Field(min_length=1, max_length=80)
    outfit: str = Field(default="", max_length=400, description="Which of the ways; needed where there are several.")
    options: tuple[Annotated[str, Field(max_length=100)], ...] | None = Field(default=None, max_length=100)
    ballast: Literal["", "accepted", "declined"] = ""


class PromiseGiven(Record):
    """Who has to do what by when."""

    who: Literal[WHO]  # type: ignore[valid-type]
    what: str = Field(min_length=1, max_length=400)
    by: str = Field(default="", pattern=r"^([0-9]{4}-[0-9]{2}-[0-9]{2}(T[0-9]{2}:[0-9]{2})?)?$")


class PromiseMarked(Record):
    """Whether a promise was kept."""

    done: StrictBool


class LetterGiven(Record):
    """A letter as it was received."""

    model_config = ConfigDict(str_max_length=20_000, str_strip_whitespace=False)

    text: str
    subject: str = Field(default="", max_length=400)


class ThreadMeasured(Record):
    """What was measured on a thread: each as text, with its unit where it has one."""

    od: str = Field(default="", description="Outside diameter of a male thread, such as 20.7 mm.")
    id: str = Field(default="", description="Inside diameter of a female thread.")
    pitch: str = Field(default="", description="From crest to crest, such as 1.814 mm.")
    tpi: str = Field(default="", description="Threads per inch, in place of the pitch.")
    taper: str = Field(default="", description="Whether it narrows: yes or no.")
    seat: str = Field(default="", description="What seals: cone 37, o-ring face, o-ring port, washer, thread.")
    flare: str = Field(default="", description="Angle of the cone, such as 37.")
    tolerance: str = Field(default="", description="How far the caliper may be out, such as 0.1 mm.")


# -------------------- answered


class Told(BaseModel):
    """Something that is answered: all of it is named here."""

    model_config = ConfigDict(extra="forbid")


class InquiryListed(Told):
    """One inquiry of a list."""

    number: int
    state: str
    title: str
    place: str
    created: str
    updated: str


class InquiryList(Told):
    """Inquiries, newest first."""

    inquiries: list[InquiryListed]
    count: int = Field(description="How many there are in all.")
    next: str | None = Field(description="The address of those that come after these.")


class InquiryTold(InquiryListed):
    """One inquiry with its text and what the text says."""

    version: int = Field(description="To be named when it is changed.")
    text: str = Field(description="As it rests: TOML.")
    record: Inquiry | None = Field(description="What the text says; null where this release can't read it any more.")


class QuoteListed(Told):
    """One quote of a list."""

    number: int
    inquiry: int
    outfit: str
    title: str
    state: str
    created: str
    version: int


class QuoteList(Told):
    """Quotes, newest first."""

    quotes: list[QuoteListed]
    count: int
    next: str | None


class QuoteTold(QuoteListed):
    """One quote with all that was kept with it."""

    note: str
    kept: dict[str, Any] = Field(description="The outfit as it was offered, its answer, terms and currency.")


class QuoteDifference(Told):
    """One difference between two versions."""

    kind: str
    where: str
    what: str
    before: str
    after: str


class VersionTold(Told):
    """One version of a quote."""

    version: int
    created: str
    who: str
    note: str
    sent: str = Field(description="When it was sent; empty where it was not.")
    difference: list[QuoteDifference] = Field(description="What it changed in the version before.")


class VersionList(Told):
    """The versions of a quote, oldest first."""

    versions: list[VersionTold]


class PromiseTold(Told):
    """One promise."""

    number: int
    inquiry: int
    who: str
    what: str
    by: str
    done: str | None = Field(description="When it was kept; null while it is open.")
    created: str


class PromiseList(Told):
    """Promises: the open ones by when they are due, then those kept."""

    promises: list[PromiseTold]


class ChangeTold(Told):
    """One change of a record."""

    number: int
    at: str
    who: str
    table: str
    before: str | None
    after: str | None
    step: str | None = Field(description="undo or redo, where it was one.")


class ChangeList(Told):
    """Changes, newest first."""

    changes: list[ChangeTold]


class RecordTold(Told):
    """One record of the shelf."""

    kind: str
    id: str
    retired: bool
    version: int = Field(description="To be named when it is changed.")
    record: dict[str, Any]


class RecordListed(Told):
    """One record of a list."""

    id: str
    name: str
    retired: bool


class RecordList(Told):
    """The records of one folder of the shelf."""

    records: list[RecordListed]
    count: int


class UseTold(Told):
    """One place where a record is named."""

    what: str
    title: str
    address: str


class UseList(Told):
    """Where a record is named."""

    uses: list[UseTold]


class RequestTold(Told):
    """One question that goes out."""

    number: int
    fact: str
    question: str
    how: str
    options: list[str]
    written: bool
    cannot: str
    photo: bool


class RequestList(Told):
    """The questions that would be sent now, and as a message."""

    requests: list[RequestTold]
    message: str


class LinkTold(Told):
    """A private link for the customer; it is told this once."""

    link: str
    expires: str
    requests: list[RequestTold]


class FactTold(Told):
    """One fact of a letter."""

    place: str
    value: str | bool | float
    entry: str | bool | int
    start: int = Field(description="The first character that says it, from 0.")
    end: int
    text: str
    certainty: str
    conflict: bool
    why: str


class FactList(Told):
    """The facts of a letter, in the order in which it says them."""

    facts: list[FactTold]


class Reckoned(BaseModel):
    """The result of one chapter, as `handfast reckon … --json` gives it."""

    model_config = ConfigDict(extra="allow")


class Exported(BaseModel):
    """Everything in the workspace, as `handfast export` gives it."""

    model_config = ConfigDict(extra="allow")

    version: str
    tables: str
    shelf: list[dict[str, Any]]
    settings: dict[str, Any]
    inquiries: list[dict[str, Any]]
    quotes: list[dict[str, Any]]


class Health(Told):
    """Whether the workspace answers."""

    state: Literal["well"]
    version: str
    tables: str
    inquiries: int


TOLD: tuple[type[BaseModel], ...] = (
    InquiryList, InquiryTold, QuoteList, QuoteTold, VersionList, PromiseTold, PromiseList, ChangeList, RecordTold,
    RecordList, UseList, RequestList, LinkTold, FactList, Reckoned, Exported, Health,
)  # fmt: skip

"""The tables of a workspace. The migrations make them; a test holds the two together."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

# Where an inquiry or a quote stands; the words are those of the counter.
STATES = ("asked", "quoted", "waiting on caller", "ordered", "fitted", "closed")
ORDER_STATES = ("ordered", "sent", "received", "fitted", "cancelled")
CALL_STATES = ("on the line", "on hold", "rung off")
IMPORT_STATES = ("waiting", "taken", "undone")
PHOTO_TYPES = ("image/jpeg", "image/png")
QUOTE_STATES = ("draft", "sent", "accepted", "declined", "expired", "ordered", "delivered", "returned", "withdrawn")
ANSWERED_BY = ("paper", "reply", "link", "spoken")
ROLES = ("owner", "sales", "parts", "reader")

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}
metadata = MetaData(naming_convention=NAMES)


def _one_of(column: str, words: tuple[str, ...]) -> CheckConstraint:
    return CheckConstraint(f"{column} IN ({', '.join(repr(word) for word in words)})", name=column)


inquiries = Table(
    "inquiries",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("state", String(20), nullable=False),
    Column("title", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("text", Text, nullable=False),  # as given, word for word
    Column("created", String(32), nullable=False),
    Column("updated", String(32), nullable=False),
    _one_of("state", STATES),
    sqlite_autoincrement=True,
)

advice = Table(
    "advice",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("inquiry", ForeignKey("inquiries.number", ondelete="CASCADE"), nullable=False),
    Column("digest", String(64), nullable=False),  # of text, shelf, seed and version: equal digest, equal answer
    Column("seed", BigInteger().with_variant(Integer(), "sqlite"), nullable=False),
    Column("version", String(20), nullable=False),
    Column("json", Text, nullable=False),
    Column("created", String(32), nullable=False),
    Index("ix_advice_inquiry_digest", "inquiry", "digest", unique=True),
)

quotes = Table(
    "quotes",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("inquiry", ForeignKey("inquiries.number"), nullable=False, index=True),
    Column("outfit", Text, nullable=False),  # what it is about now: the first way, or the one that was accepted
    Column("state", String(20), nullable=False),
    Column("created", String(32), nullable=False),
    Column("version", Integer, nullable=False, server_default="1"),  # the newest
    _one_of("state", QUOTE_STATES),
    sqlite_autoincrement=True,
)

quote_versions = Table(
    "quote_versions",
    metadata,
    Column("quote", ForeignKey("quotes.number"), primary_key=True),
    Column("version", Integer, primary_key=True),
    Column("json", Text, nullable=False),  # the offer as it was made; never written again
    Column("note", Text, nullable=False),  # why it was made anew
    Column("answer", Text, nullable=False),  # JSON: who of the house confirmed parts only, and when
    Column("who", Text, nullable=False),
    Column("created", String(32), nullable=False),
    Column("sent", String(32), nullable=False),
)

acceptances = Table(
    "acceptances",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("quote", ForeignKey("quotes.number"), nullable=False, index=True),
    Column("version", Integer, nullable=False),
    Column("became", String(20), nullable=False),
    Column("how", String(20), nullable=False),
    Column("name", Text, nullable=False),
    Column("shown", Text, nullable=False),  # JSON: what was shown, and what was chosen
    Column("digest", String(64), nullable=False),  # of it
    Column("who", Text, nullable=False),
    Column("created", String(32), nullable=False),
    _one_of("became", ("accepted", "declined")),
    _one_of("how", ANSWERED_BY),
    sqlite_autoincrement=True,
)

quote_links = Table(
    "quote_links",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("quote", ForeignKey("quotes.number"), nullable=False, index=True),
    Column("version", Integer, nullable=False),
    Column("digest", String(64), nullable=False),  # of the link's secret, which is not stored
    Column("created", String(32), nullable=False),
    Column("expires", String(32), nullable=False),
    Column("withdrawn", String(32), nullable=False),
    Index("ix_quote_links_digest", "digest", unique=True),
    sqlite_autoincrement=True,
)

shelf = Table(
    "shelf",
    metadata,
    Column("kind", String(20), primary_key=True),
    Column("id", Text, primary_key=True),
    Column("record", Text, nullable=False),  # JSON, read by the record's own model
    Column("place", Integer, nullable=False),  # the order of the shelf
    Column("retired", Integer, nullable=False, server_default="0"),
)

settings = Table(
    "settings",
    metadata,
    Column("id", String(20), primary_key=True),
    Column("record", Text, nullable=False),  # JSON, read by the record's own model
)

as_built = Table(
    "as_built",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("machine", Text, nullable=False),
    Column("attachment", Text, nullable=False),
    Column("route", String(30), nullable=False),
    Column("record", Text, nullable=False),  # JSON, read by the record's own model; the newest of a kit counts
    Column("created", String(32), nullable=False),
    Index("ix_as_built_kit", "machine", "attachment", "route"),
    sqlite_autoincrement=True,
)

comebacks = Table(
    "comebacks",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("quote", ForeignKey("quotes.number"), nullable=False, index=True),
    Column("tag", String(10), nullable=False),  # "" where it is about no one hose
    Column("symptom", String(40), nullable=False),
    Column("record", Text, nullable=False),  # what was found, what is done, who pays
    Column("created", String(32), nullable=False),
    sqlite_autoincrement=True,
)

orders = Table(
    "orders",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("comeback", ForeignKey("comebacks.number"), nullable=False, index=True),
    Column("state", String(20), nullable=False),
    Column("record", Text, nullable=False),  # the part as ordered
    Column("created", String(32), nullable=False),
    _one_of("state", ORDER_STATES),
    sqlite_autoincrement=True,
)

lessons = Table(
    "lessons",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("comeback", ForeignKey("comebacks.number"), nullable=False, index=True),
    Column("attachment", Text, nullable=False),
    Column("route", String(30), nullable=False),
    Column("record", Text, nullable=False),  # JSON, read by the record's own model
    Column("created", String(32), nullable=False),
    sqlite_autoincrement=True,
)

outcomes = Table(
    "outcomes",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("quote", ForeignKey("quotes.number"), nullable=False, index=True),
    Column("record", Text, nullable=False),  # JSON, read by the record's own model; the newest of a quote counts
    Column("created", String(32), nullable=False),
    sqlite_autoincrement=True,
)

letters = Table(
    "letters",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("inquiry", ForeignKey("inquiries.number"), nullable=False, index=True),
    Column("digest", String(64), nullable=False),  # of the link's secret, which is not stored
    Column("questions", Text, nullable=False),  # JSON, as asked
    Column("created", String(32), nullable=False),
    Column("expires", String(32), nullable=False),
    Column("withdrawn", String(32), nullable=False),
    Column("answers", Text, nullable=False),  # answer lines as they came
    Column("answered", String(32), nullable=False),
    Column("taken", String(32), nullable=False),
    Index("ix_letters_digest", "digest", unique=True),
    sqlite_autoincrement=True,
)

calls = Table(
    "calls",
    metadata,
    Column("inquiry", ForeignKey("inquiries.number", ondelete="CASCADE"), primary_key=True),
    Column("state", String(20), nullable=False),
    Column("begun", String(32), nullable=False),
    Column("moved", String(32), nullable=False),  # when it was last taken up, put on hold or rung off
    Column("cannot_say", Text, nullable=False, server_default="[]"),  # JSON list of facts that were asked in vain
    _one_of("state", CALL_STATES),
)

promises = Table(
    "promises",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("inquiry", ForeignKey("inquiries.number", ondelete="CASCADE"), nullable=False, index=True),
    Column("who", String(20), nullable=False),  # who has to act
    Column("what", Text, nullable=False),
    Column("by", String(20), nullable=False),  # day, or day and time, by the clock of the house; "" where none was said
    Column("done", String(32)),  # when it was kept
    Column("created", String(32), nullable=False),
    sqlite_autoincrement=True,
)

imports = Table(
    "imports",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("supplier", Text, nullable=False),
    Column("digest", String(64), nullable=False),
    Column("state", String(20), nullable=False),
    Column("answers", Text, nullable=False),  # JSON; the newest of a supplier are offered for the next list
    Column("done", Text, nullable=False),  # JSON: every record before and after
    Column("created", String(32), nullable=False),
    Column("taken", String(32), nullable=False),
    Column("file", LargeBinary, nullable=False),  # as it came
    _one_of("state", IMPORT_STATES),
    sqlite_autoincrement=True,
)

photos = Table(
    "photos",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("machine", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("type", String(20), nullable=False),
    Column("width", Integer, nullable=False),  # px, as it is shown
    Column("height", Integer, nullable=False),
    Column("digest", String(64), nullable=False),
    Column("marks", Text, nullable=False),  # JSON, as the form gave them
    Column("created", String(32), nullable=False),
    Column("file", LargeBinary, nullable=False),  # as it came
    Index("ix_photos_machine", "machine"),
    _one_of("type", PHOTO_TYPES),
    sqlite_autoincrement=True,
)

people = Table(
    "people",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("folded", Text, nullable=False),  # the name without its case: nobody is called nearly the same
    Column("role", String(20), nullable=False),
    Column("hash", String(64), nullable=False),
    Column("parameters", Text, nullable=False),  # JSON: salt and cost of the hash
    Column("active", Integer, nullable=False),
    Column("created", String(32), nullable=False),
    Index("ix_people_folded", "folded", unique=True),
    _one_of("role", ROLES),
    sqlite_autoincrement=True,
)

sessions = Table(
    "sessions",
    metadata,
    Column("digest", String(64), primary_key=True),  # of the secret in the cookie, which is not stored
    Column("person", ForeignKey("people.number"), nullable=False, index=True),
    Column("created", String(32), nullable=False),
    Column("seen", String(32), nullable=False),
    Column("expires", String(32), nullable=False),
)

tokens = Table(
    "tokens",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("digest", String(64), nullable=False),  # of the token, which is shown once and not stored
    Column("person", ForeignKey("people.number"), nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("created", String(32), nullable=False),
    Column("withdrawn", String(32), nullable=False),
    Index("ix_tokens_digest", "digest", unique=True),
    sqlite_autoincrement=True,
)

changes = Table(
    "changes",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("at", String(32), nullable=False),
    Column("who", Text, nullable=False),
    Column("table_name", String(20), nullable=False),
    Column("key", Text, nullable=False),
    Column("before", Text),
    Column("after", Text),
    Column("step", String(4)),  # undo or redo, where the change was one
    Index("ix_changes_table_name_key", "table_name", "key"),
    sqlite_autoincrement=True,
)

"""Small changes to texts, bytes and packed files, all from one random generator, so that every input can be made again."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Sequence
from random import Random

STRANGE = (
    "\x00", "\x1f", "\x7f", "\u00a0", "\u200b", "\u202e", "\ufeff", "\ufffd", "\U0001f69c", "\u0660\u0661", "\u00b2", "\u2155", "½",
    "\ud800", "ﬁ", "İ", "ß", "\r", "\n", "\r\n", "\t", "\\", '"', "'", "`", "<b>", "&amp;", "%00", "{{7*7}}", "{a}", "|", "||", "—", "−",
)  # fmt: skip
NUMBERS = (
    "0", "-0", "-1", "1e308", "1e309", "-1e400", "9" * 25, "0.0000001", ".5", "5.", "1,000", "1.000,5", "1/0", "0/0", "1/3", "7/2/3",
    "2147483648", "18446744073709551616", "nan", "inf", "-inf", "0x10", "1_000", "٣", "1e", "1e5000", "00012", "3.14.15", "1,2,3",
)  # fmt: skip
INTEGERS = (0, 1, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)


def text(random: Random, given: str, words: Sequence[str] = (), most: int = 20_000) -> str:
    """A text with one to six small changes; now and then a part of it many times over."""
    for _ in range(random.choice((1, 1, 1, 2, 2, 3, 4, 6))):
        given = _changed(random, given, words)
    return given[:most]


def _changed(random: Random, given: str, words: Sequence[str]) -> str:
    size = len(given)
    start = random.randint(0, size)
    end = min(size, start + random.choice((0, 0, 1, 1, 2, 5, 20, 80)))
    way = random.randrange(9)
    if way == 0:
        put = random.choice(STRANGE)
    elif way == 1:
        put = random.choice(NUMBERS)
    elif way == 2 and words:
        put = random.choice(words)
    elif way == 3:
        put = given[start:end] * random.choice((2, 2, 3, 10, 200))
    elif way == 4:
        put = chr(
            random.choice((random.randrange(32, 127), random.randrange(0xD7FF), random.randrange(0xE000, 0x110000)))
        )
    elif way == 5 and size:
        other = random.randrange(size)
        put = given[other : other + random.choice((1, 4, 30))]
    elif way == 6:
        put = given[start:end].swapcase()
    elif way == 7:
        put = given[start:end][::-1]
    else:
        put = ""
    return given[:start] + put + given[end:]


def data(random: Random, given: bytes, most: int = 300_000) -> bytes:
    """Bytes with one to six small changes: flipped, cut, put in, said twice, a length that is not true."""
    held = bytearray(given)
    for _ in range(random.choice((1, 1, 1, 2, 3, 6))):
        if not held:
            return bytes(random.randbytes(random.randrange(64)))
        at = random.randrange(len(held))
        way = random.randrange(7)
        if way == 0:
            held[at] ^= 1 << random.randrange(8)
        elif way == 1:
            held[at : at + random.choice((1, 2, 4, 16))] = random.randbytes(random.choice((1, 2, 4, 16)))
        elif way == 2:
            del held[at : at + random.choice((1, 2, 8, 64, 1000))]
        elif way == 3:
            held[at:at] = held[at : at + random.choice((1, 8, 200))] * random.choice((1, 2, 50))
        elif way == 4:
            kind = random.choice((">H", "<H", ">I", "<I"))
            held[at : at + struct.calcsize(kind)] = struct.pack(
                kind, random.choice(INTEGERS) & (0xFFFF if kind[1] == "H" else 0xFFFFFFFF)
            )
        elif way == 5:
            del held[at:]
        else:
            held[at:at] = bytes(random.randrange(64))
    return bytes(held[:most])


def packed(random: Random, given: bytes, words: Sequence[str] = ()) -> bytes:
    """A packed file: its bytes changed, or one of its parts changed and packed again, so that the reader gets to see it."""
    if random.random() < 0.25:
        return data(random, given)
    with zipfile.ZipFile(io.BytesIO(given)) as held:
        parts = [(one.filename, held.read(one)) for one in held.infolist()]
    at = random.randrange(len(parts))
    name, inner = parts[at]
    way = random.randrange(8)
    if way == 0:
        del parts[at]
    elif way == 1:
        parts[at] = (random.choice(("../" + name, "/" + name, name.upper(), name + "x", "a/" * 200 + name)), inner)
    elif way == 2:
        parts.append((name, data(random, inner)))
    elif way == 3:
        parts[at] = (name, data(random, inner))
    else:
        parts[at] = (
            name,
            text(random, inner.decode("utf-8", "surrogateescape"), words, 300_000).encode("utf-8", "replace"),
        )
    return packed_from(parts, random.choice((zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED)))


def packed_from(parts: Sequence[tuple[str, bytes]], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Parts as one packed file; a name may stand twice."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", how) as out:
        for name, inner in parts:
            out.writestr(zipfile.ZipInfo(name), inner, how)
    return buffer.getvalue()

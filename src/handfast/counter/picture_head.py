"""What a picture says of itself: JPEG or PNG by its bytes, never by its name, and how large it is."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import NamedTuple
from zlib import crc32

FILE_MOST = 8_000_000  # bytes
SIDE_MOST, SIDE_LEAST = 8000, 50  # px
PNG = b"\x89PNG\r\n\x1a\n"
DEPTHS = {0: (1, 2, 4, 8, 16), 2: (8, 16), 3: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}  # by colour type
FRAMES = (0xC0, 0xC1, 0xC2)  # baseline, extended, progressive
ALONE = (0x01, *range(0xD0, 0xD8))  # markers without a length
ORIENTATION = 0x0112
SIDEWAYS = range(5, 9)


class PictureError(ValueError):
    """A file that is no picture to mark, with what is expected."""


class Head(NamedTuple):
    """Content type and size as shown [px]."""

    type: str
    width: int
    height: int


def head_of(data: bytes) -> Head:
    """Type and size of a picture by its own bytes.

    Args:
        data: the file.

    Returns:
        `Head`, width and height as it is shown (a camera held on end counts).

    Raises:
        PictureError: it is neither a JPEG nor a PNG, is broken, or is too large.
    """
    if len(data) > FILE_MOST:
        raise PictureError(f"The file is larger than {FILE_MOST // 1_000_000} MB. Make it smaller and try again.")
    if data.startswith(PNG):
        head = Head("image/png", *_png(data))
    elif data.startswith(b"\xff\xd8\xff"):
        head = Head("image/jpeg", *_jpeg(data))
    else:
        raise PictureError("This is neither a JPEG nor a PNG. Save the photo or drawing as one of them.")
    if max(head[1:]) > SIDE_MOST or min(head[1:]) < SIDE_LEAST:
        size = f"{head.width} by {head.height} px"
        raise PictureError(f"The picture is {size}; each side has to be {SIDE_LEAST} to {SIDE_MOST} px.")
    return head


def _broken(what: str) -> PictureError:
    return PictureError(f"The {what} is broken or cut short. Send the whole file.")


def _png(data: bytes) -> tuple[int, int]:
    """Width and height; every chunk in its place, whole, ended."""
    chunks = list(_chunks(data))
    names = [name for name, _ in chunks]
    if len(names) < 3 or names[0] != b"IHDR" or names[-1] != b"IEND" or b"IDAT" not in names:
        raise _broken("PNG")
    if names.count(b"IHDR") != 1 or len(chunks[0][1]) != 13:
        raise _broken("PNG")
    width, height, depth, colour, packing, filtering, lacing = struct.unpack(">IIBBBBB", chunks[0][1])
    if depth not in DEPTHS.get(colour, ()) or packing or filtering or lacing > 1:
        raise _broken("PNG")
    return width, height


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(PNG)
    while at < len(data):
        if at + 12 > len(data):
            raise _broken("PNG")
        size, name = struct.unpack_from(">I4s", data, at)
        end = at + 12 + size
        if end > len(data) or struct.unpack_from(">I", data, end - 4)[0] != crc32(data[at + 4 : end - 4]):
            raise _broken("PNG")
        yield name, data[at + 8 : end - 4]
        if name == b"IEND":
            if end != len(data):
                raise _broken("PNG")
            return
        at = end


def _jpeg(data: bytes) -> tuple[int, int]:
    """Width and height as shown; frame before scan, and an end."""
    size: tuple[int, int] | None = None
    turned = False
    for marker, body in _segments(data):
        if marker in FRAMES:
            if size is not None or len(body) < 6 or body[0] != 8 or len(body) != 6 + 3 * body[5]:
                raise _broken("JPEG")
            size = struct.unpack(">HH", body[1:5])[::-1]
        elif marker == 0xE1 and body.startswith(b"Exif\0\0"):
            turned = turned or _orientation(body[6:]) in SIDEWAYS
    if size is None or b"\xff\xd9" not in data[-65536:]:
        raise _broken("JPEG")
    return size[::-1] if turned else size


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Segments up to the first scan; a file without one is broken."""
    at = 2
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            break
        marker = data[at + 1]
        if marker == 0xFF or marker in ALONE:
            at += 1 if marker == 0xFF else 2
            continue
        length = struct.unpack_from(">H", data, at + 2)[0]
        if length < 2 or at + 2 + length > len(data):
            break
        yield marker, data[at + 4 : at + 2 + length]
        if marker == 0xDA:
            return
        at += 2 + length
    raise _broken("JPEG")


def _orientation(tiff: bytes) -> int:
    """How the camera was held, 1 where it doesn't say so plainly."""
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(tiff[:4])
    if order is None or len(tiff) < 8:
        return 1
    start = struct.unpack_from(order + "I", tiff, 4)[0]
    if start + 2 > len(tiff):
        return 1
    for i in range(struct.unpack_from(order + "H", tiff, start)[0]):
        at = start + 2 + 12 * i
        if at + 12 > len(tiff):
            return 1
        tag, kind, count, value = struct.unpack_from(order + "HHIH", tiff, at)
        if tag == ORIENTATION:
            return int(value) if (kind, count) == (3, 1) else 1
    return 1

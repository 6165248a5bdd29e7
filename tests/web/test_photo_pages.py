"""The side photo at its page: what is taken, what is refused, how it is served; down and up on filled data."""

from __future__ import annotations

import struct
from zlib import compress, crc32

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import inspect

from handfast.counter import photos, shelving
from handfast.counter.picture_head import FILE_MOST, PictureError, head_of
from handfast.store.database import HEAD, MIGRATIONS, reading, writing

AT = "/shelf/machines/thimble-24/photo"


def chunk(name: bytes, body: bytes) -> bytes:
    """As the PNG specification (ISO/IEC 15948) lays it out."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", crc32(name + body))


def png(width: int = 300, height: int = 200, depth: int = 8, colour: int = 0, tail: bytes = b"") -> bytes:
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0))
    rows = chunk(b"IDAT", compress(b"\0" * (width + 1) * min(height, 300)))
    return b"\x89PNG\r\n\x1a\n" + head + rows + chunk(b"IEND", b"") + tail


def jpeg(width: int = 320, height: int = 240, held: int = 1) -> bytes:
    """The segments of ITU-T T.81, with an Exif orientation."""

    def segment(marker: int, body: bytes) -> bytes:
        return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body

    tiff = b"MM\0*" + struct.pack(">IHHHIHH", 8, 1, 0x0112, 3, 1, held, 0)
    frame = struct.pack(">BHHB", 8, height, width, 1) + b"\x01\x11\0"
    scan = segment(0xDA, b"\x01\x01\0\0\x3f\0") + b"\x12\x34"
    return b"\xff\xd8" + segment(0xE1, b"Exif\0\0" + tiff) + segment(0xC0, frame) + scan + b"\xff\xd9"


def bring(desk, data: bytes, name: str = "side.png", token: str | None = None):
    sent = {"token": desk.token() if token is None else token}
    return desk.client.post(AT, data=sent, files={"file": (name, data, "text/html")})


@pytest.mark.parametrize(
    ("data", "size"),
    [
        (png(), ("image/png", 300, 200)),
        (jpeg(), ("image/jpeg", 320, 240)),
        (jpeg(held=6), ("image/jpeg", 240, 320)),  # a telephone held on end
    ],
)
def test_type_and_size_are_read_from_the_bytes(data: bytes, size: tuple[str, int, int]) -> None:
    assert tuple(head_of(data)) == size


@pytest.mark.parametrize(
    "data",
    [
        b"", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"GIF89a", png()[:-4], png(tail=b"<script>"), png(8001, 200),
        png(20, 200), png(depth=3), png()[:40] + b"X" + png()[41:], jpeg()[:-2], jpeg()[:30], jpeg(9000, 100),
        b"\xff\xd8\xff\xe0\0\x01", b"\x89PNG\r\n\x1a\n" + chunk(b"IEND", b""),
    ],
)  # fmt: skip
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    with pytest.raises(PictureError):
        head_of(data)


def test_a_photo_is_served_as_it_came_and_as_nothing_else(desk) -> None:
    assert bring(desk, jpeg(), "x.html").status_code == 303
    answer = desk.client.get(AT + "/1")
    assert answer.content == jpeg() and answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["content-security-policy"].startswith("default-src 'none'")
    assert desk.client.get("/shelf/machines/hamper-42/photo/1").status_code == 404
    assert desk.client.get(AT + "/2").status_code == 404


def test_refusals_store_nothing(desk) -> None:
    assert bring(desk, png(), token="no").status_code == 403
    assert bring(desk, b"MZ" * 100).status_code == 422
    assert "neither a JPEG nor a PNG" in bring(desk, b"MZ" * 100).text
    assert bring(desk, png() + b"\0" * FILE_MOST).status_code == 422
    answer = bring(desk, png() + b"\0" * (FILE_MOST + 200_000))
    assert answer.status_code == 413 and "8 MB" in answer.text
    assert desk.client.post("/shelf/machines/nobody/photo", data={"token": desk.token()},
                            files={"file": ("a.png", png())}).status_code == 404  # fmt: skip
    assert photos.photo_of(desk.app.state.desk.workspace, "thimble-24") is None


def test_faults_are_told_and_what_was_marked_stays(desk) -> None:
    bring(desk, png())
    sent = {"photo": "1", "version": "1", "ground_rear-x": "10", "ground_rear-y": "left", "known": "62 lb", "away": "x"}
    answer = desk.post(AT + "/marks", act="keep", **sent)
    assert answer.status_code == 422
    assert all(
        one in answer.text for one in ("Ground at the rear wheel", "Known distance", "Camera to tractor", "62 lb")
    )
    assert 'value="10"' in desk.client.get(AT).text
    assert desk.post(AT + "/marks", photo="9").status_code == 409
    assert desk.post(AT + "/marks", photo="x").status_code == 404


def marks(**over: str) -> dict[str, str]:
    from handfast.machines.shelf_files import demo_shelf
    from handfast.reckoning.lift import ALWAYS, linkage_of

    points = linkage_of(demo_shelf().machines["thimble-24"]).points._asdict()
    at = {name: complex(points[name]) for name in ALWAYS}
    at |= {"ground_rear": 0j, "ground_front": 1.6 + 0j, "rear_axle": 0.5j, "scale_a": 0j, "scale_b": 1.6 + 0j}
    plain = {"photo": "1", "what": "drawing", "known": "1.6 m", "marking": "1"}
    for name, p in at.items():
        plain |= {f"{name}-x": f"{20 + 100 * p.real:.2f}", f"{name}-y": f"{180 - 100 * p.imag:.2f}"}
    return plain | over


def test_pins_reach_the_record_once_and_never_over_a_change(desk) -> None:
    bring(desk, png())
    workspace = desk.app.state.desk.workspace
    before = shelving.record(workspace, "machine", "thimble-24")
    stale = desk.post(AT + "/marks", act="keep", **marks(version=str(before.version - 1)))
    assert stale.status_code == 409
    assert shelving.record(workspace, "machine", "thimble-24") == before
    reckoned = desk.post(AT + "/marks", act="reckon", **marks(version=str(before.version)))
    assert reckoned.status_code == 200 and "What it lifts by these pins" in reckoned.text
    assert shelving.record(workspace, "machine", "thimble-24") == before
    assert desk.post(AT + "/marks", act="keep", **marks(version=str(before.version))).status_code == 303
    after = shelving.record(workspace, "machine", "thimble-24")
    assert after.version > before.version and '"measured"' in after.record
    assert desk.client.get("/shelf/machines/thimble-24").status_code == 200


def test_down_and_up_on_filled_data(desk) -> None:
    bring(desk, png())
    engine = desk.app.state.desk.workspace.engine
    for to in ("0007", HEAD):
        config = Config()
        config.set_main_option("script_location", str(MIGRATIONS))
        with writing(engine) as connection:
            config.attributes["connection"] = connection
            (command.downgrade if to != HEAD else command.upgrade)(config, to)
        with reading(engine) as connection:
            assert ("photos" in inspect(connection).get_table_names()) == (to == HEAD)
    assert desk.client.get("/shelf/machines/thimble-24").status_code == 200
    assert photos.photo_of(desk.app.state.desk.workspace, "thimble-24") is None

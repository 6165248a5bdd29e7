"""What Handfast stands on is written down as it is pinned; and the whole job is done with no way out of this machine."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import sbom

import handfast

SOURCE = str(Path(handfast.__file__).parents[1])
DEMO = Path(handfast.__file__).parent / "data" / "demo" / "inquiries" / "4-long-wet-logs.toml"


def test_the_bill_and_the_page_are_as_the_locks_say() -> None:
    for path, text in sbom.written(sbom.pins()).items():
        assert path.read_text("utf-8") == text, f"{path.name} is behind the locks: ./run sbom"


def test_every_pin_of_both_locks_stands_in_the_bill_with_its_hashes() -> None:
    """Counted by another way than the script's own: the lines with two equals signs, and all sixty-four digits."""
    held = json.loads(sbom.SBOM.read_text("utf-8"))
    assert (held["bomFormat"], held["specVersion"], held["version"]) == ("CycloneDX", "1.6", 1)
    assert re.fullmatch(r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", held["serialNumber"])
    told = {one["purl"] for one in held["components"]}
    digests = {
        each["value"] for one in held["components"] for each in one["properties"] if each["name"] == "handfast:sha256"
    }
    texts = [path.read_text("utf-8") for path in (sbom.ROOT / "requirements").glob("*.lock")]
    assert len(texts) == 2
    pins = {
        line.split()[0].split(";")[0] for text in texts for line in text.splitlines() if re.match(r"\w[\w.-]*==", line)
    }
    assert {
        f"pkg:pypi/{re.sub(r'[-_.]+', '-', pin.split('==')[0]).lower()}@{pin.split('==')[1]}" for pin in pins
    } == told
    assert digests == set(re.findall(r"\b[0-9a-f]{64}\b", "".join(texts)))
    assert all(one["licenses"][0]["expression"] for one in held["components"])


def test_no_licence_keeps_it_from_being_passed_on() -> None:
    for pin in sbom.pins():
        assert set(sbom.parts_of(pin.licence)) <= set(sbom.WITH_APACHE), pin
        assert not re.search(r"(?<![L])GPL|AGPL|SSPL|BUSL", pin.licence), pin
        if pin.run:
            assert all(sbom.WITH_APACHE[part] == "freely" for part in sbom.parts_of(pin.licence)), pin


CLOSED = """
import socket, sys
def beyond(address):
    return not (isinstance(address, (str, bytes)) or address[0] in ("127.0.0.1", "::1", "localhost"))
old = socket.socket.connect
def connect(self, address):
    if beyond(address):
        raise SystemExit(f"went out to {address}")
    return old(self, address)
def asked(host, *rest, **more):
    if host not in ("127.0.0.1", "::1", "localhost", None):
        raise SystemExit(f"asked for {host}")
    return looked(host, *rest, **more)
looked = socket.getaddrinfo
socket.socket.connect = socket.socket.connect_ex = connect
socket.getaddrinfo = asked
for name in ("gethostbyname", "gethostbyname_ex", "gethostbyaddr"):
    setattr(socket, name, asked)
"""
JOB = """
import json, re, sys
from urllib.parse import quote
from pathlib import Path
from starlette.testclient import TestClient
from handfast.counter import lists, moving, verbs as counter
from handfast.web.app import make_app
home = Path(sys.argv[1])
workspace = counter.open_workspace(home, address="")
counter.fill_demo(workspace)
with TestClient(make_app(workspace), base_url="http://127.0.0.1", client=("127.0.0.1", 50_000)) as client:
    pages = ["/", "/inquiries/4", "/inquiries/new", "/shelf", "/quotes", "/settings", "/reckoning", "/about", "/health", "/glossary"]
    assert [client.get(page).status_code for page in pages] == [200] * len(pages)
    token = re.search(r'name="token" value="([^"]+)"', client.get("/inquiries/new").text)[1]
    assert client.post("/inquiries/7/facts", data={"token": token, "line": "two levers"}).status_code < 400
    outfit = "/inquiries/4/outfits/" + quote(counter.answer(workspace, 4).outfits[0].id, safe="")
    assert client.get(outfit + "/fit-sheet.pdf").content.startswith(b"%PDF")
    assert client.post(outfit + "/quote", data={"token": token}).status_code < 400
number = lists.bring_list(workspace, "a.csv", b"Item,Type,Price\\nL1,bucket,500\\n", "Wherry")
lists.take_list(workspace, number)
assert counter.quotes(workspace)
json.dumps(counter.export(workspace))
moving.back_up(workspace, home / "copy.zip")
counter.settle(workspace)
print("done")
"""


def test_the_whole_job_asks_nothing_of_any_other_machine(tmp_path: Path) -> None:
    env = {**os.environ, "PYTHONPATH": SOURCE}
    done = subprocess.run(
        [sys.executable, "-c", CLOSED + JOB, str(tmp_path)], env=env, capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0 and done.stdout.endswith("done\n"), done.stderr[-2000:]


def test_the_closed_door_is_closed() -> None:
    """The check can fail: a call out ends the program."""
    tried = "socket.create_connection(('192.0.2.1', 80), timeout=1)"
    done = subprocess.run([sys.executable, "-c", f"{CLOSED}\n{tried}"], capture_output=True, text=True, timeout=60)
    assert done.returncode == 1 and ("192.0.2.1" in done.stderr)


def namespace() -> list[str]:
    """The words that start a program without any network; none where the system lets nobody do so."""
    for words in (["unshare", "-n"], ["unshare", "-rn"]):
        if shutil.which("unshare") and subprocess.run([*words, "true"], capture_output=True).returncode == 0:
            return words
    return []


@pytest.mark.skipif(not namespace(), reason="this system starts no program without network")
def test_the_terminal_does_its_job_where_there_is_no_network_at_all(tmp_path: Path) -> None:
    env = {**os.environ, "PYTHONPATH": SOURCE, "HANDFAST_HOME": str(tmp_path / "home")}
    env.pop("HANDFAST_DATABASE", None)

    def told(*words: str) -> str:
        command = [*namespace(), sys.executable, "-m", "handfast.cli", *words]
        done = subprocess.run(command, env=env, capture_output=True, text=True, timeout=120)
        assert done.returncode == 0, done.stderr[-1500:]
        return done.stdout

    best = json.loads(told("advise", str(DEMO), "--json"))["outfits"][0]["id"]
    told("advise", str(DEMO), "--pdf", str(tmp_path / "a.pdf"))
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")
    assert best and "G 1/2" in told("thread", "--od", "20.7mm", "--pitch", "1.814mm")
    lists = tmp_path / "a.csv"
    lists.write_bytes(b"Item,Type,Price\nL1,bucket,500\n")
    told("import", str(lists), "--supplier", "Wherry", "--take")
    told("backup", str(tmp_path / "copy.zip"))
    assert "sound" in told("check") and json.loads(told("export"))["shelf"]

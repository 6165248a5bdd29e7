"""The web pages served from the terminal."""

from __future__ import annotations

import os
import socket
from collections.abc import Sequence
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path

import click

from handfast.cli.given import Refused
from handfast.counter.verbs import Workspace
from handfast.language.telling import tell

HOST = "127.0.0.1"  # this machine only, unless --host says otherwise
PORT = 8765


def port() -> int:
    """The port asked for: HANDFAST_PORT, else 8765; 0 takes any that is free."""
    given = os.environ.get("HANDFAST_PORT", "").strip()
    if not given:
        return PORT
    if not given.isdecimal() or int(given) > 65535:
        raise Refused([f"HANDFAST_PORT is {given!r}; a number from 0 to 65535 is expected."])
    return int(given)


def serve_pages(
    workspace: Workspace,
    host: str = HOST,
    names: Sequence[str] = (),
    certificate: Path | None = None,
    key: Path | None = None,
) -> None:
    """Take the port, say where, and serve until stopped.

    Args:
        workspace: the open workspace.
        host: the address to listen at; one beyond this machine needs an owner who can log in.
        names: further names under which the pages answer.
        certificate: of the server, for an encrypted way.
        key: of the certificate, where it is not in the same file.
    """
    import uvicorn

    from handfast.cli.running import PATIENCE, run_to_the_end
    from handfast.web.app import HOSTS, make_app
    from handfast.web.logged import keep_log
    from handfast.web.ready import make_ready

    at = address_of(host)
    beyond = not at.is_loopback
    if beyond:
        _needs_owner(workspace, host)
    if at.is_unspecified and not names:
        raise Refused([f"--host {host} listens everywhere: --name says under which host name the pages answer."])
    listener = _listen(str(at), port())
    app = make_app(workspace, (*HOSTS, *_names(at, names)))
    keep_log(workspace.home)
    make_ready(workspace, app)
    taken = listener.getsockname()[1]
    scheme, shown = "https" if certificate else "http", f"[{at}]" if at.version == 6 else f"{at}"
    click.echo(tell(f"Handfast answers at {scheme}://{shown}:{taken}/  (Ctrl-C ends it)"))
    if beyond and certificate is None:
        click.echo(tell("Not encrypted: passwords can be read on the way. Give --certificate and --key."), err=True)
    config = uvicorn.Config(
        app,
        log_level="warning",
        server_header=False,
        proxy_headers=False,
        ssl_certfile=certificate,
        ssl_keyfile=key,
        timeout_graceful_shutdown=PATIENCE,
    )  # what a go-between says of itself is never taken for the socket's other end
    run_to_the_end(uvicorn.Server(config), listener, workspace)
    click.echo(tell("Ended."))


def address_of(host: str) -> IPv4Address | IPv6Address:
    """The address that --host names. Refused where it is none."""
    try:
        return ip_address({"localhost": HOST}.get(host, host.strip("[]")))
    except ValueError:
        raise Refused([f"--host is {host[:60]!r}; an address such as 127.0.0.1 or 192.168.1.20 is expected."]) from None


def _needs_owner(workspace: Workspace, host: str) -> None:
    """Refuse an address beyond this machine while nobody could log in."""
    from handfast.counter.people import has_owner

    if not has_owner(workspace):
        said = "beyond this machine everybody logs in, and there is no owner yet"
        raise Refused([f"--host {host}: {said}. Add one: handfast person add NAME --role owner."])


def _names(at: IPv4Address | IPv6Address, names: Sequence[str]) -> list[str]:
    """The names under which the pages answer beside this machine's own."""
    own = [] if at.is_unspecified or at.is_loopback else [f"[{at}]" if at.version == 6 else f"{at}"]
    return [*own, *(name.strip().casefold() for name in names if name.strip())]


def _listen(host: str, wanted: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)  # named: sent at once
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, wanted))
    except OSError as error:
        listener.close()
        raise Refused(
            [f"{host}:{wanted} can't be taken: {error.strerror}. Set HANDFAST_PORT to another port."]
        ) from error
    listener.listen(128)
    return listener

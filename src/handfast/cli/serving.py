"""The web pages served from the terminal."""

from __future__ import annotations

import os
import socket

import click

from handfast.cli.given import Refused
from handfast.counter.verbs import Workspace
from handfast.language.telling import tell

HOST = "127.0.0.1"  # this machine only: there is no sign-in
PORT = 8765


def port() -> int:
    """The port asked for: HANDFAST_PORT, else 8765; 0 takes any that is free."""
    given = os.environ.get("HANDFAST_PORT", "").strip()
    if not given:
        return PORT
    if not given.isdecimal() or int(given) > 65535:
        raise Refused([f"HANDFAST_PORT is {given!r}; a number from 0 to 65535 is expected."])
    return int(given)


def serve_pages(workspace: Workspace) -> None:
    """Take the port, say where, and serve until stopped."""
    import uvicorn

    from handfast.web.app import make_app
    from handfast.web.ready import make_ready

    listener = _listen(HOST, port())
    app = make_app(workspace)
    make_ready(workspace, app)
    host, taken = listener.getsockname()[:2]
    click.echo(tell(f"Handfast answers at http://{host}:{taken}/  (Ctrl-C ends it)"))
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", server_header=False))
    try:
        server.run(sockets=[listener])
    except KeyboardInterrupt:
        click.echo(tell("Ended."))


def _listen(host: str, wanted: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)  # named: sent at once
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

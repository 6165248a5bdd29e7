"""Who asks: the person of a session or a token, somebody at this machine itself, or nobody known."""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_address
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.types import Scope

from handfast.counter import people
from handfast.counter.house import settings
from handfast.counter.people import Person
from handfast.counter.verbs import Workspace

COOKIE, COOKIE_TLS = "handfast_session", "__Host-handfast_session"
FORWARDED = (
    "forwarded",
    "via",
    "x-real-ip",
    "true-client-ip",
    "cf-connecting-ip",
    "x-client-ip",
    "x-cluster-client-ip",
)
OWNER = "owner"


@dataclass(frozen=True)
class Asker:
    """Who asks for something: a person, or somebody at this machine, or neither."""

    person: Person | None = None
    here: bool = False
    secret: str = ""
    """Of the session, where there is one."""

    @property
    def role(self) -> str:
        """The role that counts: somebody at the machine itself is its owner; nobody known has none."""
        if self.person is not None:
            return self.person.role
        return OWNER if self.here else ""


NOBODY = Asker()


def asker_of(scope: Scope, workspace: Workspace, api: bool) -> Asker:
    """Who asks.

    Args:
        scope: of the request.
        workspace: whose people are asked for.
        api: whether a program asks: a token is looked at, a browser's session is not.

    Returns:
        The one; a token that is none lets nobody in, not even at this machine.
    """
    headers = Headers(scope=scope)
    told = headers.get("authorization", "")
    if api and told:
        kind, _, token = told.partition(" ")
        person = people.person_of_token(workspace, token.strip()) if kind.lower() == "bearer" else None
        return Asker(person) if person is not None else NOBODY
    secret = "" if api else session_secret(headers, is_secure(scope))
    if secret:
        person = people.person_of_session(workspace, secret)
        if person is not None:
            return Asker(person, secret=secret)
    return Asker(here=True) if is_here(scope) and not settings(workspace).login_here else NOBODY


def is_here(scope: Scope) -> bool:
    """Whether a request comes from a browser or program on this machine, and from nowhere through one.

    The socket's other end must be this machine, the host name asked for must be one of its own, and nothing may tell
    of a go-between or of a page at another address. HTTP/1.0 is spoken by go-betweens that leave their traces out.
    """
    client, headers = scope.get("client"), Headers(scope=scope)
    if not client or not is_loopback(str(client[0])) or scope.get("http_version") == "1.0":
        return False
    if any(name in FORWARDED or name.startswith("x-forwarded") for name in headers):
        return False
    linked = headers.get("sec-fetch-site") in (
        "cross-site",
        "same-site",
    )  # followed from a page elsewhere: no go-between
    names = ("origin",) if linked else ("origin", "referer")
    origins = [value for name in names for value in headers.getlist(name) if value != "null"]
    hosts = [f"//{one}" for one in headers.getlist("host")]
    return len(hosts) == 1 and all(is_own_name(one) for one in (*hosts, *origins))


def is_loopback(address: str) -> bool:
    """Whether an address is this machine's own.

    >>> [is_loopback(one) for one in ("127.0.0.1", "::1", "::ffff:127.0.0.9", "10.0.0.1", "localhost")]
    [True, True, True, False, False]
    """
    try:
        found: IPv4Address | IPv6Address = ip_address(address)
    except ValueError:
        return False
    mapped = getattr(found, "ipv4_mapped", None)
    return (mapped or found).is_loopback


def is_own_name(address: str) -> bool:
    """Whether an address names this machine as it names itself.

    >>> [is_own_name(one) for one in ("//localhost:80", "http://[::1]/", "https://a.example/", "//127.0.0.1.a.example")]
    [True, True, False, False]
    """
    try:
        name = urlsplit(address).hostname or ""
    except ValueError:
        return False
    return name == "localhost" or is_loopback(name)


def cookie_name(secure: bool) -> str:
    """The name of the session's cookie; with the prefix no neighbouring host and no unencrypted page can set it."""
    return COOKIE_TLS if secure else COOKIE


def session_secret(headers: Headers, secure: bool) -> str:
    """The session's secret in the cookies; nothing where one is told twice."""
    found, wanted = [], cookie_name(secure)
    for line in headers.getlist("cookie"):
        for part in line.split(";"):
            name, _, value = part.strip().partition("=")
            if name == wanted:
                found.append(value)
    return found[0] if len(found) == 1 and len(found[0]) < 100 else ""


def is_secure(scope: Scope) -> bool:
    """Whether the browser's side of the way is encrypted: here, or by whoever stands before this program."""
    told = Headers(scope=scope).get("x-forwarded-proto", "")
    return scope.get("scheme") == "https" or told.split(",")[0].strip() == "https"


def address_key(scope: Scope) -> str:
    """What guesses from an address are counted under: the address; of version 6 the network, which one has whole."""
    client = scope.get("client")
    try:
        found: IPv4Address | IPv6Address = ip_address(str(client[0]) if client else "")
    except ValueError:
        return "from nowhere"
    if isinstance(found, IPv6Address) and found.ipv4_mapped is None:
        return f"from {int(found) >> 64:x}"
    return f"from {getattr(found, 'ipv4_mapped', None) or found}"

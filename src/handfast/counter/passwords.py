"""Passwords: hashed with scrypt, salted, its parameters kept beside; compared in constant time."""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import unicodedata
from dataclasses import asdict, dataclass
from threading import BoundedSemaphore

SHORTEST, LONGEST = 12, 200  # characters
_AT_ONCE = BoundedSemaphore(2)  # hashes: guesses from many sides must not take the memory


@dataclass(frozen=True)
class Cost:
    """What a hash costs to reckon: 128 · n · r bytes, p times over."""

    n: int = 2**15
    r: int = 8
    p: int = 3


COST = Cost()  # of new passwords: 32 MB, about a quarter of a second; a stored one keeps the cost that it was made with


class WeakPasswordError(ValueError):
    """A password that guessing finds: said in a sentence that helps."""


def password_fits(name: str, password: str) -> None:
    """Raise WeakPasswordError where a password is too short, too long, one character over and over, or the name."""
    plain = _plain(password)
    if not SHORTEST <= len(plain) <= LONGEST:
        raise WeakPasswordError(f"A password has {SHORTEST} to {LONGEST} characters; a short sentence does well.")
    if len(set(plain)) < 5 or plain.casefold() in (name.casefold(), name.casefold() * 2):
        raise WeakPasswordError("That password is found by guessing: take a short sentence.")


def hashed(password: str) -> tuple[str, str]:
    """Hash and parameters of a new password, to be stored."""
    salt, cost = secrets.token_bytes(16), COST
    return _scrypt(password, salt, cost).hex(), json.dumps({**asdict(cost), "salt": salt.hex()})


def password_holds(password: str, kept: str, parameters: str) -> bool:
    """Whether a password is the one that a hash was made of."""
    told = json.loads(parameters)
    cost = Cost(told["n"], told["r"], told["p"])
    return hmac.compare_digest(_scrypt(password, bytes.fromhex(told["salt"]), cost).hex(), kept)


def refuse_slowly(password: str) -> None:
    """Cost what a comparison costs, where there is nothing to compare with."""
    _scrypt(password, b"nobody has this.", COST)


def _scrypt(password: str, salt: bytes, cost: Cost) -> bytes:
    most = 128 * cost.r * (cost.n + cost.p + 2) * 2
    given = _plain(password).encode("utf-8", "surrogatepass")
    with _AT_ONCE:
        return hashlib.scrypt(given, salt=salt, n=cost.n, r=cost.r, p=cost.p, maxmem=most, dklen=32)


def _plain(password: str) -> str:
    """A password as every keyboard gives it: composed, and no longer than one may be."""
    return unicodedata.normalize("NFKC", password)[: LONGEST + 1]

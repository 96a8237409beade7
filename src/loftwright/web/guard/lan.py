"""Letting a phone in from the network: one-time codes, and the devices that used one.

A code has 40 random bits, written in eight signs of Crockford's base 32 (which leaves out letters
that are taken for digits); it is good once, for some minutes, and void after a few wrong tries,
each of which waits longer. A device that used one is known by a cookie of 256 random bits until
the server ends, it is sent away, or half a day has passed. Of both only digests are held.
"""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import math
import secrets
import threading
import time
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from loftwright.web.guard.refusals import RefusedError

__all__ = ["ENTER", "Device", "Lan", "cookie_name", "read_code"]

ENTER = "/enter"  # the one page that a device sees before it has used a code
GOOD_FOR = 10 * 60.0  # s
STAYS = 12 * 3600.0  # s
TRIES = 5
_SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_TAKEN_FOR = str.maketrans({"O": "0", "I": "1", "L": "1"})
_LENGTH = 8


@dataclass(frozen=True, slots=True)
class Device:
    """A device that was let in: a short name of ours, what it said it is, and when (monotonic)."""

    id: str
    about: str
    since: float


def cookie_name(port: int) -> str:
    """Return what the cookie of a device is called.

    Browsers send cookies to every port of a machine (RFC 6265, 8.5): a name for each, so that two
    workbenches do not take each other's away.
    """
    return f"loftwright_device_{port}"


def read_code(said: str) -> str:
    """Return a code as it is held, whatever case, blanks, dashes and look-alikes it was typed with.

    A phone's keyboard makes a long dash of a short one, and puts blanks that are none.
    """
    return "".join(sign for sign in said[:40].upper() if sign.isalnum()).translate(_TAKEN_FOR)


class Lan:
    """Who is let in from the network. One for each start of the server; calls from any thread.

    ``address`` is the one that was chosen besides loopback. ``clock`` counts seconds, ``pause``
    waits for some; both are there to be replaced in tests.
    """

    def __init__(
        self,
        address: str,
        *,
        clock: Callable[[], float] = time.monotonic,
        pause: Callable[[float], Awaitable[object]] = asyncio.sleep,
    ) -> None:
        self.address = address
        self._clock, self._pause = clock, pause
        self._lock = threading.Lock()
        self._code = ""
        self._until = -math.inf
        self._wrong = 0
        self._devices: dict[bytes, Device] = {}

    @property
    def code(self) -> str | None:
        """The code that is good now, as it is shown (``"K7QF-2M9T"``); None where none is."""
        with self._lock:
            return self._shown() if self._is_good() else None

    @property
    def left_s(self) -> float:
        """For how many seconds the code is still good."""
        return max(0.0, self._until - self._clock()) if self._code else 0.0

    @property
    def devices(self) -> tuple[Device, ...]:
        """The devices that are let in, the latest first."""
        with self._lock:
            self._forget()
            return tuple(sorted(self._devices.values(), key=lambda each: -each.since))

    def new_code(self) -> str:
        """Make a code in place of the one before, and return it as it is shown."""
        with self._lock:
            self._code = "".join(secrets.choice(_SIGNS) for _ in range(_LENGTH))
            self._until = self._clock() + GOOD_FOR
            self._wrong = 0
            return self._shown()

    async def enter(self, said: str, about: str) -> str:
        """Let a device in that says the code; return the secret for its cookie.

        ``about`` is what it says it is. Raises `RefusedError` (403) for a wrong code, after
        a wait that grows with each, and where no code is good.
        """
        with self._lock:
            if not self._is_good():
                raise _no_code()
            right = hmac.compare_digest(read_code(said).encode(), self._code.encode())
            if right:
                self._code = ""
                return self._let_in(about)
            self._wrong += 1
            left = TRIES - self._wrong
            if left <= 0:
                self._code = ""
        await self._pause(min(0.25 * 2.0**self._wrong, 4.0))
        raise _wrong_code(left) if left > 0 else _no_code()

    def knows(self, secret: str | None) -> Device | None:
        """Return the device whose cookie this is, None for any other."""
        if not secret:
            return None
        with self._lock:
            self._forget()
            return self._devices.get(_digest(secret))

    def send_away(self, number: str | None = None) -> int:
        """Forget the device whose id this is, or all of them; return how many."""
        with self._lock:
            gone = [key for key, each in self._devices.items() if number in {None, each.id}]
            for key in gone:
                del self._devices[key]
            return len(gone)

    def _shown(self) -> str:
        return f"{self._code[:4]}-{self._code[4:]}"

    def _is_good(self) -> bool:
        return bool(self._code) and self._clock() < self._until

    def _let_in(self, about: str) -> str:
        secret = secrets.token_urlsafe(32)
        shown = "".join(sign for sign in about if sign.isprintable())[:120]
        self._devices[_digest(secret)] = Device(secrets.token_hex(3), shown, self._clock())
        return secret

    def _forget(self) -> None:
        now = self._clock()
        for key in [key for key, each in self._devices.items() if now - each.since > STAYS]:
            del self._devices[key]


def _digest(secret: str) -> bytes:
    return hashlib.sha256(secret.encode("utf-8", "replace")).digest()


def _wrong_code(left: int) -> RefusedError:
    tries = "one more try" if left == 1 else f"{left} more tries"
    message = f"this is not the code that the laptop shows; there is {tries}"
    if left > 1:
        message = message.replace("there is", "there are")
    mend = "read it again from the laptop's screen, or scan the square beside it"
    return RefusedError(403, "guard-code", message, mend, field="code")


def _no_code() -> RefusedError:
    message = "no code is good now: it was used, is too old, or was tried wrongly too often"
    mend = "ask for a new one on the laptop, on the page for opening on a phone"
    return RefusedError(403, "guard-code-void", message, mend, field="code")

"""Which names the workbench answers to, and which addresses are this machine's own.

A page elsewhere can have its own name resolved to 127.0.0.1 and then read what is there under
that name ("DNS rebinding"); its browser says that name in ``Host``. Nothing but names of loopback
and the address that was chosen for the network is answered.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Sequence

from loftwright.web.guard.refusals import RefusedError
from loftwright.web.guard.rules import Rules

__all__ = ["check_host", "is_loopback", "own_hosts"]

_PORT = re.compile(r":[0-9]{1,5}$")
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


def is_loopback(address: str) -> bool:
    """Tell whether an address of a connection is this machine's own loopback."""
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return False
    mapped = getattr(found, "ipv4_mapped", None)
    return (mapped or found).is_loopback


def own_hosts(rules: Rules, from_loopback: bool) -> frozenset[str]:
    """Return what ``Host`` may say, small letters, for a connection from here or the network."""
    names = LOOPBACK if from_loopback else ()
    if rules.lan is not None:
        address = rules.lan.address
        names = (*names, f"[{address}]" if ":" in address else address)
    bare = frozenset(names) if rules.port == 80 else frozenset()
    return bare | {f"{name}:{rules.port}" for name in names}


def check_host(values: Sequence[bytes], rules: Rules, from_loopback: bool) -> str:
    """Return the one ``Host`` of a request; raise `RefusedError` for none, two or a foreign one."""
    said = values[0].decode("latin-1").lower() if len(values) == 1 else ""
    named = _PORT.sub(":0", said) if rules.port == 0 else said
    if named in own_hosts(rules, from_loopback):
        return said
    shown = b", ".join(values).decode("latin-1")[:80]
    known = sorted(own_hosts(rules, from_loopback)) or [f"localhost:{rules.port}"]
    raise RefusedError(
        421,
        "guard-host",
        "the workbench does not answer to this name",
        f"open http://{known[0]}/ on the machine that it runs on; behind a tunnel, use the same "
        "port at both ends",
        field="Host",
        value=shown,
    )

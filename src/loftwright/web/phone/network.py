"""The address by which others on the same network reach this machine."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Iterator

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["chosen_address", "lan_fault"]

# An address that is nobody's (RFC 5737): no packet goes there, the system only says by which of
# its own addresses one would.
_NOWHERE = ("198.51.100.1", 9)


def chosen_address(said: str | None) -> str:
    """Return the address to open on the network: ``said``, or what the system would send from.

    Raises ``ProblemError`` (``serve-address``) for one that is not of a home or field network, and
    where none is found.
    """
    if said is not None:
        fault = lan_fault(said)
        if fault:
            raise _refused(said, fault)
        return said
    found = next((each for each in _own_addresses() if not lan_fault(each)), None)
    if found is None:
        raise _refused(None, "this machine has no address on a network that could be found")
    return found


def lan_fault(address: str) -> str:
    """Say why the workbench must not be opened at ``address``; empty where it may be."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return "this is no address in numbers"
    if found.is_loopback:
        return "this is the machine itself, where the workbench is open already"
    if found.is_unspecified or found.is_multicast:
        return "this stands for every network at once; one is to be chosen"
    if not (found.is_private or found.is_link_local):
        return "this is an address of the open internet"
    return ""


def _own_addresses() -> Iterator[str]:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_NOWHERE)
            yield str(probe.getsockname()[0])
        except OSError:  # no way out of this network: the machine's name may know one within
            pass
    try:
        known = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return
    yield from (str(each[4][0]) for each in known)


def _refused(value: str | None, message: str) -> ProblemError:
    mend = "connect the laptop to the phone's network or the other way round; or give its address "
    mend += "there: --lan-address 192.168.1.20"
    where = Where(field="--lan-address", value=value)
    return ProblemError([Problem("serve-address", message, where, mend)])

"""Where a request comes from: pages of other sites get no answer, whatever they ask.

By the Fetch standard's ``Sec-Fetch-Site`` (W3C, Fetch Metadata Request Headers), which a page
cannot set, and by ``Origin`` (RFC 6454), which browsers send with every POST. A browser sends the
first to loopback only: to it, http:// with another address is no trustworthy place.
"""

from __future__ import annotations

from collections.abc import Mapping

from loftwright.web.guard.refusals import RefusedError

__all__ = ["SAFE", "check_origin"]

SAFE = frozenset({"GET", "HEAD"})


def check_origin(method: str, headers: Mapping[str, str], host: str) -> None:
    """Raise `RefusedError` for a request that a page of another site made.

    The page of a folder of campaigns leads to that of each, at another port of this machine: a
    browser may be sent from there, and reads nothing for the page it comes from. A request without
    either header is no browser's: to change anything it needs the token like every other.
    """
    site = headers.get("sec-fetch-site")
    origin = headers.get("origin")
    if method in SAFE and site == "same-site" and headers.get("sec-fetch-mode") == "navigate":
        return
    allowed = {"same-origin", "none"} if method in SAFE else {"same-origin"}
    if site is not None and site not in allowed:
        raise _foreign("Sec-Fetch-Site", site)
    if origin is not None and origin.lower() != f"http://{host}":
        raise _foreign("Origin", origin)


def _foreign(field: str, value: str) -> RefusedError:
    return RefusedError(
        403,
        "guard-origin",
        "this was asked for by a page of another site",
        "use the link below, or type the address of the workbench into the browser",
        field=field,
        value=value[:80],
    )

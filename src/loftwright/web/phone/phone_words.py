"""What a person is told who opens the workbench to the network, and the square that a phone reads.

The square is a QR code (ISO/IEC 18004) of the address with the code in it.
"""

from __future__ import annotations

import sys
from io import StringIO

from loftwright.web.guard.lan import ENTER, Lan

__all__ = ["NOT_ENCRYPTED", "drawn_square", "entry_address", "lan_base", "lan_told", "svg_square"]

NOT_ENCRYPTED = (
    "The connection is not encrypted. Whoever is on the same network, and whoever runs it, can "
    "read along and could take over a phone that was let in. On a phone's own hotspot with its "
    "password nobody else is there; on a club's or a shared network, use --lan-look or do without."
)
_LIGHT_ON_DARK, _PLAIN = "\033[97;40m", "\033[0m"


def lan_base(lan: Lan, port: int) -> str:
    """Return the address of the workbench on the network."""
    name = f"[{lan.address}]" if ":" in lan.address else lan.address
    return f"http://{name}:{port}"


def entry_address(lan: Lan, port: int) -> str:
    """Return the address that lets a device in once, by the code that is good now."""
    code = (lan.code or "").replace("-", "")
    return f"{lan_base(lan, port)}{ENTER}?code={code}"


def svg_square(address: str) -> str:
    """Return the square of ``address`` as an SVG element, black on white whatever the page has."""
    import segno

    made: str = segno.make(address, error="m", micro=False).svg_inline(
        border=4, omitsize=True, dark="#000", light="#fff", svgclass=None, lineclass=None
    )
    return made


def drawn_square(address: str) -> str:
    """Return the square for a terminal: light signs on dark, two rows of it in a line."""
    import segno

    drawn = StringIO()
    segno.make(address, error="m", micro=False).terminal(drawn, compact=True)
    lines = drawn.getvalue().rstrip("\n").splitlines()
    return "\n".join(f"{_LIGHT_ON_DARK}{line}{_PLAIN}" for line in lines)


def lan_told(lan: Lan, port: int) -> str:
    """Return what the terminal says of the address, the code and what to beware of."""
    square = drawn_square(entry_address(lan, port)) if _can_draw() else ""
    told = f"on the network at {lan_base(lan, port)}/\ncode {lan.code}, good once, for 10 minutes"
    more = "Enter makes a new code here; so does the page Open on a phone."
    return "\n".join(part for part in (told, square, NOT_ENCRYPTED, more) if part)


def _can_draw() -> bool:
    """Tell whether standard output is a terminal that has the signs of the square."""
    try:
        "█▀▄".encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return sys.stdout.isatty()

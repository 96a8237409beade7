"""What is thrown at the workbench: odd words, odd requests, and a look at what was touched."""

from __future__ import annotations

import errno
import os
import socket
from collections.abc import Iterable, Iterator
from pathlib import Path
from urllib.parse import quote

# Words that have meant something else than a name to some program before.
WORDS = (
    "", " ", ".", "..", "...", "../../../../etc/passwd", "..\\..\\windows\\win.ini", "/etc/passwd",
    "C:\\Windows\\win.ini", "file:///etc/passwd", "%2e%2e%2f", "..%2f..%2fetc%2fpasswd",
    "..%c0%af..%c0%af", "....//....//etc/passwd", "~/.ssh/id_rsa", "con", "nul.txt", "a\0b", "\0",
    "a\r\nSet-Cookie: x=1", "a\nb", "\x1b[31m", "\u202eabc", "\ufeff", "e\u0301" * 30, "\U0001f600",
    "<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "javascript:alert(1)",
    "{{7*7}}", "{% raise %}", "${7*7}", "#{7*7}", "%s%s%s%n", "' OR 1=1 --",
    "'; DROP TABLE flight;",
    "$(id)", "`id`", "| id", "; id", "--help", "--report=/tmp/loftwright-abuse", "-h",
    "@/etc/passwd",
    "*", "?", "[", "(" * 60, "a" * 300, "0", "-1", "1e999", "nan", "inf", "0x10", "9" * 40, "1,5",
    "F0", "F-1", "F99999999999999999999999", "A1", "D1", "20260101-000000-000000", "null", "true",
    "__proto__", "constructor", "%", "%zz", "+", "&", "=", ";",
)  # fmt: skip
FIELDS = ("name", "what", "why", "who", "flight", "item", "key", "file", "field", "value", "path",
          "code", "device", "set", "text", "stamp", "evidence", "flights", "seed")  # fmt: skip

HEAD = b"Host: 127.0.0.1:%d\r\n"
# Whole requests as bytes; HOST stands for the right header.
RAW = (
    b"", b"\r\n", b"\r\n" * 500, b"\0" * 100, b"\xff" * 2000, b"GET\r\n\r\n", b"GET /\r\n\r\n",
    b"GET / HTTP/0.9\r\n\r\n", b"GET / HTTP/1.1\r\n\r\n", b"GET / HTTP/2.0\r\nHOST\r\n",
    b"GET / HTTP/9.9\r\nHOST\r\n", b"GET / HTTP/1.1\r\nHOSTHOST\r\n",
    b"GET http://evil.example/ HTTP/1.1\r\nHOST\r\n", b"GET //evil.example HTTP/1.1\r\nHOST\r\n",
    b"GET /../../../etc/passwd HTTP/1.1\r\nHOST\r\n", b"GET /%00 HTTP/1.1\r\nHOST\r\n",
    b"GET /\xff\xfe HTTP/1.1\r\nHOST\r\n", b"GET /%ff%fe HTTP/1.1\r\nHOST\r\n",
    b"GET / HTTP/1.1\r\nHOSTX : y\r\n\r\n", b"GET / HTTP/1.1\r\nHOST X: y\r\n\r\n",
    b"GET / HTTP/1.1\r\nHOSTX: a\0b\r\n\r\n", b"GET / HTTP/1.1\r\nHOSTX: a\r b\r\n\r\n",
    b"GET / HTTP/1.1\r\nHOST" + b"A: b\r\n" * 300 + b"\r\n",
    b"GET / HTTP/1.1\r\nHOSTA: " + b"b" * 100000 + b"\r\n\r\n",
    b"GET /" + b"a" * 100000 + b" HTTP/1.1\r\nHOST\r\n",
    b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    b"OPTIONS * HTTP/1.1\r\nHOST\r\n", b"CONNECT evil.example:443 HTTP/1.1\r\nHOST\r\n",
    b"TRACE / HTTP/1.1\r\nHOST\r\n", b"BREW / HTTP/1.1\r\nHOST\r\n", b"get / HTTP/1.1\r\nHOST\r\n",
    b"G\0T / HTTP/1.1\r\nHOST\r\n", b"POST / HTTP/1.1\r\nHOST\r\n",
    b"POST / HTTP/1.1\r\nHOSTContent-Length: -1\r\n\r\n",
    b"POST / HTTP/1.1\r\nHOSTContent-Length: 1\r\nContent-Length: 2\r\n\r\nab",
    b"POST / HTTP/1.1\r\nHOSTContent-Length: 99999999999999999999\r\n\r\n",
    b"POST / HTTP/1.1\r\nHOSTContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
    b"POST / HTTP/1.1\r\nHOSTTransfer-Encoding: chunked\r\n\r\nzz\r\nab\r\n0\r\n\r\n",
    b"POST / HTTP/1.1\r\nHOSTTransfer-Encoding: chunked\r\n\r\nffffffffffffffff\r\nab\r\n",
    b"POST / HTTP/1.1\r\nHOSTTransfer-Encoding: chunked\r\n\r\n1\r\na\r\n0\r\nX: y\r\n\r\n",
    b"POST / HTTP/1.1\r\nHOSTTransfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n",
    b"POST / HTTP/1.1\r\nHOSTExpect: 100-continue\r\nContent-Length: 3\r\n\r\nabc",
    b"GET / HTTP/1.1\r\nHOSTConnection: Upgrade\r\nUpgrade: websocket\r\n"
    b"Sec-WebSocket-Key: eA==\r\nSec-WebSocket-Version: 13\r\n\r\n",
    b"GET / HTTP/1.1\r\nHOSTConnection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\n\r\n",
    b"GET / HTTP/1.1\r\nHOST\r\nGET /phone HTTP/1.1\r\nHOST\r\nnonsense\r\n\r\n",
    b"GET / HTTP/1.1\r\nHOSTRange: bytes=0-0,1-1," + b"2-2," * 500 + b"\r\n\r\n",
    b"GET /api/check HTTP/1.1\r\nHOSTCookie: " + b"=;" * 3000 + b"\r\n\r\n",
    b"GET / HTTP/1.1\r\nHOSTX-Forwarded-For: 127.0.0.1\r\nX-Forwarded-Host: evil.example\r\n\r\n",
)  # fmt: skip


def raw_request(template: bytes, port: int) -> bytes:
    """The bytes of a request to the server at ``port``; a head that ends in HOST ends there."""
    return template.replace(b"HOST", HEAD % port)


def sent_raw(port: int, content: bytes, patience: float = 5.0) -> bytes:
    """Send bytes, say that no more come, and return all that comes back."""
    parts: list[bytes] = []
    with socket.create_connection(("127.0.0.1", port), timeout=patience) as connection:
        try:
            connection.sendall(content)
            connection.shutdown(socket.SHUT_WR)
            while part := connection.recv(65536):
                parts.append(part)
        except OSError as error:
            if not isinstance(error, ConnectionError) and error.errno != errno.ENOTCONN:
                raise  # that nothing comes in time, say
            # Otherwise it was refused before all of it was sent.
    return b"".join(parts)


def statuses(answer: bytes) -> list[int]:
    """The status of each answer in what came back."""
    heads = [line for line in answer.split(b"\r\n") if line.startswith(b"HTTP/1.")]
    return [int(head.split()[1]) for head in heads]


def targets(template: str, word: str) -> Iterator[str]:
    """Addresses of a route with ``word`` for each name in it, quoted in part and whole."""
    for safe in ("/%", "", "/.:\\"):
        parts = template.split("{")
        if len(parts) == 1:
            yield f"{template}?{quote(word, safe='')}={quote(word, safe='')}"
            return
        filled = [part.partition("}")[2] for part in parts[1:]]
        yield parts[0] + "".join(quote(word, safe=safe) + rest for rest in filled)


def footprint(*folders: Path, but: Iterable[Path] = ()) -> dict[str, tuple[int, int, int]]:
    """When each file and folder below was changed, its size and mode; ``but`` these left out."""
    left_out = {str(each) for each in but}
    found: dict[str, tuple[int, int, int]] = {}
    for folder in folders:
        for root, names, files in os.walk(folder):
            names[:] = [each for each in names if os.path.join(root, each) not in left_out]
            for path in [root, *(os.path.join(root, each) for each in files)]:
                if path in left_out:
                    continue
                try:
                    state = os.lstat(path)
                except FileNotFoundError:  # gone in this moment, so that it is no longer there
                    continue
                found[path] = (state.st_mtime_ns, state.st_size, state.st_mode)
    return found

"""What every answer says to the browser: load nothing from elsewhere, let nobody frame this."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["policy", "secured"]

# Nothing is allowed but what is listed. Style attributes place what a page draws to scale; style
# elements and scripts in a page are refused, so that no text of a document can become either.
_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "style-src-attr 'unsafe-inline'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "media-src 'self' blob:",
        "worker-src 'self'",
        "manifest-src 'self'",
        "form-action {}",
        "base-uri 'none'",
        "object-src 'none'",
        "frame-ancestors 'none'",
    )
)

# With no-referrer a browser would send "Origin: null" with forms of our own pages (Fetch standard,
# "append a request Origin header"); same-origin tells other sites as little.
_SECURITY: tuple[tuple[bytes, bytes], ...] = (
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (
        b"permissions-policy",
        b"camera=(), microphone=(), geolocation=(), payment=(), usb=(), serial=(), "
        b"display-capture=(), publickey-credentials-get=()",
    ),
    (b"origin-agent-cluster", b"?1"),
    (b"cache-control", b"no-store"),
)


def policy(form_action: str = "'self'") -> bytes:
    """Return the content security policy of pages whose forms lead to ``form_action``."""
    return _POLICY.format(form_action).encode()


def secured(
    headers: Iterable[tuple[bytes, bytes]], content_policy: bytes
) -> list[tuple[bytes, bytes]]:
    """Return the headers of an answer with those that it lacks for safety.

    A route may say more strictly what its answer may do, or let a file be kept that has its
    digest in its name; all else is not kept by the browser.
    """
    given = list(headers)
    names = {name.lower() for name, _ in given}
    wanted = ((b"content-security-policy", content_policy), *_SECURITY)
    return given + [(name, value) for name, value in wanted if name not in names]

"""Which document a page is about, as it stands and as it was read."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request

from loftwright.documents.history import content_of, digest_of
from loftwright.documents.journal import kept_text, remember
from loftwright.documents.named import Named, documents_named
from loftwright.documents.source import load
from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.bench import Bench, bench_of

__all__ = ["Asked", "asked_of", "slugs"]

_PLAIN = re.compile(r"[\w.-]+")


@dataclass(frozen=True, slots=True)
class Asked:
    """A document of the campaign on the bench; ``now`` are its bytes."""

    bench: Bench
    named: Named
    slug: str
    now: bytes

    @property
    def path(self) -> str:
        """The path of its page."""
        return f"/describe/{quote(self.slug)}"

    @property
    def title(self) -> str:
        """What it is called on pages."""
        return title_of(self.named.root)

    @property
    def digest(self) -> str:
        """The SHA-256 of what stands there."""
        return digest_of(self.now) or ""

    @property
    def has_form(self) -> bool:
        """Whether it can be shown as a form: a program cannot, nor what is no TOML."""
        source = load(self.bench.home / self.named.file, self.named.file)
        readable = source.data is not None and not any(
            each.code in ("doc-syntax", "doc-unquoted", "doc-duplicate") for each in source.problems
        )
        return readable and not self.named.root.startswith("program.")

    def read(self) -> str:
        """Remember what stands there, so that later edits can be put together; its SHA-256."""
        try:
            return remember(self.bench.home, self.now)
        except ProblemError:  # a folder that cannot be written to: saving will say so
            return self.digest

    def based_on(self, digest: str) -> bytes:
        """Return the text that a page was made from; what stands there where it is not known."""
        if digest in ("", self.digest):
            return self.now
        return kept_text(self.bench.home, digest) or self.now


def title_of(root: str) -> str:
    """Return what a document is called on pages, by its root."""
    if root.startswith("program."):
        return f"Program of {root.partition('.')[2]}"
    words = re.sub(r"(?<=[a-z])(?=[0-9])", " ", root)
    return words[:1].upper() + words[1:]


def slugs(named: dict[str, Named]) -> dict[str, Named]:
    """Return documents by the last part of their pages' paths."""
    found = {}
    for number, (root, each) in enumerate(named.items()):
        found[root if _PLAIN.fullmatch(root) else f"document.{number}"] = each
    return found


def asked_of(request: Request) -> Asked:
    """Return the document that a request is about.

    Raises 404 where the campaign has no such document, ``ProblemError`` where it is not there.
    """
    bench, slug = bench_of(request), request.path_params["document"]
    named = slugs(documents_named(bench.home)).get(slug)
    if named is None:
        raise HTTPException(404)
    now = content_of(bench.home / named.file)
    if now is None:
        mend = "write it, or correct its name in campaign.toml"
        where = Where(file=named.file)
        raise ProblemError([Problem("file-missing", "there is no such file", where, mend)])
    return Asked(bench, named, slug, now)

"""Long recorded text in blocks of lines: bounded memory, and nothing endless."""

from __future__ import annotations

import codecs
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

from loftwright.evidence.log_problems import log_problem
from loftwright.evidence.text import LINE_END, UNPRINTABLE, wide_encoding

__all__ = ["BLOCK", "LONGEST_LINE", "Block", "Source", "encodings", "read_blocks"]

BLOCK = 1 << 20  # bytes that are read at once
LONGEST_LINE = 1 << 16  # characters
HEAD = 4096  # bytes that show an encoding


@dataclass(frozen=True, slots=True)
class Block:
    """Lines of a file; ``first`` is the number of the first one.

    ``cut`` says that the file ends here and its last line has no line end.
    """

    first: int
    texts: list[str]
    cut: bool = False


class Source:
    """A stream of bytes that counts and hashes what is read from it, from its beginning."""

    def __init__(self, stream: BinaryIO, name: str) -> None:
        self.name = name
        self.done = 0
        self._stream = stream
        self._digest = hashlib.sha256()

    @property
    def sha256(self) -> str:
        """Digest of what has been read since the last beginning."""
        return self._digest.hexdigest()

    def rewind(self) -> None:
        """Begin again."""
        self._stream.seek(0)
        self.done = 0
        self._digest = hashlib.sha256()

    def read(self, count: int) -> bytes:
        """Return the next ``count`` bytes, fewer at the end."""
        content = self._stream.read(count)
        self.done += len(content)
        self._digest.update(content)
        return content


def encodings(source: Source) -> tuple[str, ...]:
    """Return the encodings to try in turn, by how the bytes begin.

    Raises ``ProblemError`` for a file without content.
    """
    source.rewind()
    head = source.read(HEAD)
    if not head.strip() and len(head) < HEAD:
        raise log_problem("log-empty", file=source.name)
    wide = wide_encoding(head)
    return (wide,) if wide else ("utf-8", "latin-1")


def read_blocks(source: Source, encoding: str) -> Iterator[Block]:
    """Yield all lines of a file, about a megabyte at a time.

    A carriage return at the end of a block waits for the line feed that may follow it.

    Raises
    ------
    ProblemError
        Characters that no text has, or a line longer than ``LONGEST_LINE``; never more than a
        block is read beyond either.
    UnicodeDecodeError
        The bytes are not in this encoding.
    """
    source.rewind()
    decoder = codecs.getincrementaldecoder(encoding)()
    number, carry = 1, ""
    while content := source.read(BLOCK):
        text = decoder.decode(content)
        _refuse_unprintable(source.name, number, carry, text)
        text = carry + text
        held = "\r" if text.endswith("\r") else ""
        texts = LINE_END.split(text[: len(text) - len(held)])
        carry = texts.pop() + held
        _refuse_long(source.name, number, [*texts, carry])
        if texts:
            yield Block(number, texts)
            number += len(texts)
    carry += decoder.decode(b"", final=True)
    ended = carry.endswith("\r")
    if carry:
        yield Block(number, [carry.rstrip("\r")], cut=not ended)


def _refuse_unprintable(name: str, number: int, carry: str, text: str) -> None:
    if found := UNPRINTABLE.search(text):
        before = len(LINE_END.findall(carry + text[: found.start()]))
        value = f"byte {ord(found.group()):#04x}"
        raise log_problem("log-not-text", file=name, line=number + before, value=value)


def _refuse_long(name: str, number: int, texts: list[str]) -> None:
    if max(map(len, texts)) <= LONGEST_LINE:
        return
    for offset, text in enumerate(texts):
        if len(text) > LONGEST_LINE:
            raise log_problem("log-long-line", file=name, line=number + offset, value=LONGEST_LINE)

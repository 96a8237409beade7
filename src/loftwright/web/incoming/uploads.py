"""Taking in files that a page sends: streamed to the disk, bounded, told apart by their bytes.

A form that sends files has ``method="post" enctype="multipart/form-data"``, posts to a path that
ends in ``/files`` (the guard lets large bodies through nowhere else) and has ``token_field()`` as
its first field. Its route is::

    async def take(request: Request) -> Response:
        upload = await receive(request, Inbox(bench.home))
        upload.files[0].id       # goes into the next page's form
        upload.fields["flight"]  # the other fields

and later ``Inbox(home).find(id).path`` is what a command is given, with ``--name`` and the
cleaned name; `Inbox.discard` takes it away once it is kept elsewhere. Nothing of a request stays
that was refused, broken off or came in half.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable, Collection, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.incoming.inbox import CONTENT, Inbox, Received, clean_name

if TYPE_CHECKING:
    from starlette.requests import Request

__all__ = ["LIMITS", "RECORDS", "Limits", "Upload", "receive"]

# What `loftwright.evidence.kinds` takes for a record; what is none of these is "other".
RECORDS = frozenset({"log", "firing", "sound", "picture", "film"})
_MIB = 1024 * 1024
_FIELDS, _FIELD = 64, 64 * 1024  # how many fields beside files, and bytes of each
_LOOK = 16 * _MIB  # bytes between two looks at what the disk has left


@dataclass(frozen=True, slots=True)
class Limits:
    """What a request with files may be, in bytes.

    ``file`` each, ``request`` all of one request, ``inbox`` all that waits in the inbox, ``spare``
    what is left free on the disk; and how many ``files`` a request has. A phone's film of a flight
    is some hundred MB.
    """

    file: int = 1024 * _MIB
    request: int = 2048 * _MIB
    inbox: int = 8192 * _MIB
    spare: int = 256 * _MIB
    files: int = 32


LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class Upload:
    """What a request brought: its files, in its order, and its other fields by name."""

    files: tuple[Received, ...]
    fields: Mapping[str, str]


async def receive(
    request: Request,
    inbox: Inbox,
    *,
    kinds: Collection[str] = RECORDS,
    limits: Limits = LIMITS,
) -> Upload:
    """Stream the files of a form into ``inbox`` and return them with the form's other fields.

    ``kinds`` are those that are wanted here, by the files' bytes, whatever they are called: add
    ``"other"`` where a person says that a file is to be kept all the same. A part without a file
    name is a field; a file field that was left empty is nothing.

    Raises
    ------
    ProblemError
        ``upload-form``: this is no form with files, or a broken one. ``upload-too-large``,
        ``upload-too-many``, ``upload-no-room``: a limit is met. ``upload-kind``: a file is
        something else than is wanted. Nothing is kept then.
    ClientDisconnect
        The sender broke off; nothing is kept.
    """
    from python_multipart.exceptions import FormParserError
    from python_multipart.multipart import MultipartParser
    from starlette.concurrency import run_in_threadpool as beside

    boundary = _boundary(request.headers.get("content-type", ""))
    with ExitStack() as stack:
        intake = _Intake(inbox, limits, stack)
        await beside(intake.prepare, request.headers.get("content-length", "0"))
        try:
            parser = MultipartParser(
                boundary, intake.callbacks(), max_header_count=8, max_header_size=4096
            )
            async for chunk in request.stream():
                if chunk:
                    await beside(parser.write, chunk)
            await beside(parser.finalize)
        except FormParserError as error:
            raise _broken(str(error)) from error
        return await beside(intake.settle, kinds)


def _boundary(content_type: str) -> bytes:
    from python_multipart.multipart import parse_options_header

    kind, options = parse_options_header(content_type)
    boundary = options.get(b"boundary", b"")
    if kind != b"multipart/form-data" or not 1 <= len(boundary) <= 70:  # RFC 2046, 5.1.1
        raise _broken("it is not multipart/form-data with a boundary")
    return boundary


def _broken(why: str) -> ProblemError:
    message = f"what was sent cannot be read as a form with files: {why}"
    mend = "load the page again and choose the files again"
    return ProblemError([Problem("upload-form", message, mend=mend)])


@dataclass(slots=True)
class _Part:
    """A part of the form while it comes in: a field in memory, or a file on the disk."""

    headers: dict[str, bytes] = field(default_factory=dict)
    name: str = ""
    file_name: str | None = None
    content: bytearray = field(default_factory=bytearray)
    draft: Path | None = None
    stream: BinaryIO | None = None
    digest: Any = None
    size: int = 0


class _Intake:
    """Takes what the parser finds, part by part; what it lays on the disk goes with ``stack``."""

    def __init__(self, inbox: Inbox, limits: Limits, stack: ExitStack) -> None:
        self.inbox, self.limits, self.stack = inbox, limits, stack
        self.parts: list[_Part] = []
        self.word, self.value = bytearray(), bytearray()
        self.taken = self.there = self.looked = 0
        self.whole = False

    def prepare(self, announced: str) -> None:
        """Look at the limits before anything is read; sweep what others left behind."""
        self.inbox.sweep()
        self.there = self.inbox.size()
        self._refuse_size(int(announced) if announced.isdecimal() else 0)

    def callbacks(self) -> Any:
        """Return what the parser calls."""
        handlers: dict[str, Callable[..., None]] = {
            "on_part_begin": self._begin,
            "on_header_field": lambda data, start, end: self.word.extend(data[start:end]),
            "on_header_value": lambda data, start, end: self.value.extend(data[start:end]),
            "on_header_end": self._header,
            "on_headers_finished": self._open,
            "on_part_data": self._data,
            "on_part_end": self._end,
            "on_end": self._close,
        }
        return handlers

    def _begin(self) -> None:
        self.parts.append(_Part())
        self.word, self.value = bytearray(), bytearray()

    def _header(self) -> None:
        word = self.word.decode("latin-1").lower()
        self.parts[-1].headers[word] = bytes(self.value)
        self.word, self.value = bytearray(), bytearray()

    def _open(self) -> None:
        from python_multipart.multipart import parse_options_header

        part = self.parts[-1]
        said, options = parse_options_header(part.headers.get("content-disposition", b""))
        if said != b"form-data" or b"name" not in options:
            raise _broken("a part of it has no name")
        part.name = _text(options[b"name"], "the name of a field")
        if b"filename" in options:
            part.file_name = options[b"filename"].decode("utf-8", "replace")
        files = [each for each in self.parts if each.file_name is not None]
        if len(files) > self.limits.files or len(self.parts) - len(files) > _FIELDS:
            message = f"this brings more than {self.limits.files} files, or {_FIELDS} fields"
            raise _refused("upload-too-many", message, "send the files in several steps")

    def _data(self, data: bytes, start: int, end: int) -> None:
        part, piece = self.parts[-1], data[start:end]
        part.size += len(piece)
        if part.file_name is None:
            if part.size > _FIELD:
                message = f"a field of the form has more than {_FIELD // 1024} KiB"
                raise _refused("upload-too-large", message, "say it in fewer words")
            part.content += piece
            return
        self.taken += len(piece)
        self._refuse_size(self.taken, part)
        if part.stream is None:
            self._lay(part)
        assert part.stream is not None
        part.stream.write(piece)
        part.digest.update(piece)

    def _lay(self, part: _Part) -> None:
        part.draft = self.inbox.begin()
        self.stack.callback(self.inbox.give_up, part.draft)  # gone once it is kept
        part.stream = self.stack.enter_context((part.draft / CONTENT).open("xb"))
        part.digest = hashlib.sha256()

    def _end(self) -> None:
        stream = self.parts[-1].stream
        if stream is not None:
            stream.flush()
            os.fsync(stream.fileno())
            stream.close()

    def _close(self) -> None:
        self.whole = True

    def _refuse_size(self, size: int, part: _Part | None = None) -> None:
        limits = self.limits
        if part is not None and part.size > limits.file:
            message = f"a file has more than {limits.file // _MIB} MiB"
            mend = "cut it down to the flight, or copy it and take it in with loftwright record"
            raise _refused("upload-too-large", message, mend, part.file_name)
        if size > limits.request:
            message = f"the files together have more than {limits.request // _MIB} MiB"
            raise _refused("upload-too-large", message, "send them in several steps")
        if self.there + size > limits.inbox:
            message = "too many files wait here that were never kept with a flight"
            mend = "keep them with a flight or throw them away, on the page Debrief"
            raise _refused("upload-no-room", message, mend)
        if part is None or self.taken - self.looked > _LOOK:
            self.looked = self.taken
            free = shutil.disk_usage(self.inbox.home).free - limits.spare
            if free < (size if part is None else 0):
                message = "the disk has not room enough for this"
                raise _refused("upload-no-room", message, "make room, and send it again")

    def settle(self, kinds: Collection[str]) -> Upload:
        """Tell every file's kind, and keep all of them or none."""
        if not self.whole:
            raise _broken("it ends before its end")
        texts = [part for part in self.parts if part.file_name is None]
        fields = {part.name: _text(bytes(part.content), f"field {part.name}") for part in texts}
        files = [part for part in self.parts if part.file_name]
        for part in files:
            if part.stream is None:  # a file of no bytes
                self._lay(part)
            assert part.stream is not None
            part.stream.close()
        found = [self._received(part) for part in files]
        if problems := [_unwanted(each, kinds) for each in found if each.kind not in kinds]:
            raise ProblemError(problems)
        return Upload(tuple(self._kept(found)), fields)

    def _kept(self, found: list[Received]) -> list[Received]:
        kept: list[Received] = []
        try:
            for each in found:
                kept.append(self.inbox.settle(each.path.parent, each))
        except (OSError, ProblemError) as error:
            for each in kept:
                self.inbox.discard(each.id)
            why = (
                error.strerror or error if isinstance(error, OSError) else error.problems[0].message
            )
            message = f"the files cannot be kept: {why}"
            mend = "see whether the campaign may be written to and has room"
            raise _refused("upload-no-room", message, mend) from error
        return kept

    @staticmethod
    def _received(part: _Part) -> Received:
        from loftwright.evidence.kinds import propose_kind

        assert part.draft is not None
        path, name = part.draft / CONTENT, clean_name(part.file_name or "")
        found = propose_kind(path)
        digest = part.digest.hexdigest()
        number = part.draft.name.partition(".")[0]
        return Received(number, name, part.size, digest, found.kind, found.why, found.sure, path)


def _text(content: bytes, what: str) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise _broken(f"{what} is not UTF-8 text") from error


def _refused(code: str, message: str, mend: str, name: str | None = None) -> ProblemError:
    where = Where(file=clean_name(name)) if name else Where()
    return ProblemError([Problem(code, message, where, mend)])


def _unwanted(found: Received, kinds: Collection[str]) -> Problem:
    wanted = ", ".join(sorted(kinds))
    message = f"this is {found.kind} by its bytes: {found.why}; wanted here: {wanted}"
    mend = "choose the file that the recorder, camera or phone wrote"
    return Problem("upload-kind", message, Where(file=found.name), mend)

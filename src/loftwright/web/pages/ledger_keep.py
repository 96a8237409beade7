"""Keeping the ledger: held to its digests, written out as plain files, and put in again."""

from __future__ import annotations

import io
import os
import shutil
import tempfile
import zipfile
import zlib
from pathlib import Path, PurePosixPath

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.pages.ledger import opened, told
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render

__all__ = ["ROUTES", "unpack"]

LARGEST = 512 << 20  # bytes of an export, unpacked
MOST = 20_000  # files in one
END = 22 + 65535 + 20  # bytes at the end of an archive that say how long the list of contents is
LIST = MOST * 256  # bytes of that list
# What reading an archive raises that is none, or is damaged; ValueError is for names.
_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError)


def _keep(request: Request) -> Response:
    bench = bench_of(request)
    with opened(bench) as (ledger, problems):
        counts = {
            "flights": len(ledger.flights()),
            "findings": len(ledger.findings()),
            "actions": len(ledger.actions()),
            "decisions": len(ledger.decisions()),
        }
        names = [each.name for each in ledger.flights()]
    return render(
        request,
        "ledger_keep.html.j2",
        counts=counts,
        flights=names,
        jobs=[job for job in bench.jobs.all() if job.begun_with[:1] == ["ledger verify"]][:1],
        problems=told(problems),
        command=["loftwright", "ledger", "verify", str(bench.home)],
    )


def _verify(request: Request, form: Form) -> Response:
    bench = bench_of(request)
    begun = bench.once.do(
        form.word("once") or "",
        lambda: (
            bench.jobs.start(
                ["ledger verify"], page="ledger", title="Hold ledger and evidence to their digests"
            ).id
        ),
    )
    return RedirectResponse(f"/work/{begun}", 303)


def _take_in(request: Request, form: Form) -> Response:
    """Take in flights; documents as flown that were changed since only where somebody says so."""
    from loftwright.cli.ledger_take_in import ledger_of
    from loftwright.ledger.taking_in import take_in

    with ledger_of(bench_of(request).home) as ledger:
        take_in(ledger, accept=tuple(filter(None, form.all("accept"))))
    return RedirectResponse("/ledger/keep", 303)


def _export(request: Request) -> Response:
    """Return the whole ledger as plain files in one archive."""
    from loftwright.ledger.exchange import export_to

    out = io.BytesIO()
    with opened(bench_of(request)) as (ledger, _), tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "ledger"
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in export_to(ledger, folder):
                # One moment for all: the same ledger always makes the same archive.
                name = f"ledger/{path.relative_to(folder).as_posix()}"
                about = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
                about.compress_type = zipfile.ZIP_DEFLATED
                archive.writestr(about, path.read_bytes())
    headers = {"content-disposition": 'attachment; filename="ledger.zip"'}
    return Response(out.getvalue(), 200, headers, "application/zip")


async def _import(request: Request) -> Response:
    from starlette.concurrency import run_in_threadpool

    from loftwright.web.incoming.inbox import Inbox
    from loftwright.web.incoming.uploads import RECORDS, Limits, receive

    inbox = Inbox(bench_of(request).home)
    limits = Limits(file=LARGEST, request=LARGEST)
    upload = await receive(request, inbox, kinds={*RECORDS, "other"}, limits=limits)
    return await run_in_threadpool(_put_in, request, inbox, [each.id for each in upload.files])


def _put_in(request: Request, inbox: object, files: list[str]) -> Response:
    """Put the uploaded export into the ledger, which must be empty; the upload goes in any case."""
    from loftwright.cli.ledger_take_in import ledger_of
    from loftwright.ledger.exchange import import_from
    from loftwright.ledger.problems import refused
    from loftwright.web.incoming.inbox import Inbox

    assert isinstance(inbox, Inbox)
    try:
        if len(files) != 1:
            raise refused("ledger-export-unfit", "this is not one archive", "choose ledger.zip")
        with tempfile.TemporaryDirectory() as scratch:
            folder = unpack(inbox.find(files[0]).path, Path(scratch))
            with ledger_of(bench_of(request).home) as ledger:
                import_from(ledger, folder)
    finally:
        for each in files:
            inbox.discard(each)
    return RedirectResponse("/ledger", 303)


def unpack(archive: Path, to: Path) -> Path:
    """Unpack an export into ``to`` and return its folder; no name leads out of it.

    Raises ``ProblemError``, ``ledger-export-unfit``, for what is no such archive, or too large.
    """
    from loftwright.ledger.problems import refused

    mend = "choose the ledger.zip that this page wrote"
    try:
        _refuse_many(archive, mend)
        with zipfile.ZipFile(archive) as packed:
            entries = [each for each in packed.infolist() if not each.is_dir()]
            if len(entries) > MOST or sum(each.file_size for each in entries) > LARGEST:
                raise refused("ledger-export-unfit", "this is larger than any ledger", mend)
            for each in entries:
                parts = PurePosixPath(each.filename).parts
                # A colon leads to another drive on some systems.
                if (
                    ".." in parts
                    or each.filename.startswith("/")
                    or set("\\:") & set(each.filename)
                ):
                    raise refused("ledger-export-unfit", "a name in it leads out of it", mend)
                path = to.joinpath(*parts)
                path.parent.mkdir(parents=True, exist_ok=True)
                with packed.open(each) as stream, path.open("wb") as out:
                    shutil.copyfileobj(stream, out)  # stops at the size that was told
    except _DAMAGED as error:
        message = f"this is no archive that can be read: {error}"
        raise refused("ledger-export-unfit", message, mend) from error
    return next((each.parent for each in sorted(to.rglob("ledger.json"))), to)


def _refuse_many(archive: Path, mend: str) -> None:
    """Refuse an archive with a list of contents that no ledger has, before it is read into memory.

    By its end of central directory record (PKWARE, APPNOTE 4.3.16); what needs the larger form of
    that (4.3.14) has more than any ledger.
    """
    from loftwright.ledger.problems import refused

    with archive.open("rb") as stream:
        size = stream.seek(0, os.SEEK_END)
        stream.seek(max(size - END, 0))
        tail = stream.read(END)
    at = tail.rfind(b"PK\x05\x06")
    listed = int.from_bytes(tail[at + 12 : at + 16], "little") if at >= 0 else 0
    if listed > LIST or (at >= 20 and tail[at - 20 : at - 16] == b"PK\x06\x07"):
        raise refused("ledger-export-unfit", "this is larger than any ledger", mend)


ROUTES = [
    Route("/ledger/keep", _keep),
    Route("/ledger/verify", posted(_verify), methods=["POST"]),
    Route("/ledger/take-in", posted(_take_in), methods=["POST"]),
    Route("/ledger/export.zip", _export),
    Route("/ledger/import/files", _import, methods=["POST"]),
]

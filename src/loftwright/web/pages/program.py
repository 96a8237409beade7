"""A release program: what it does, what is proved of it, what it would have done on a record."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlencode

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.bench import Bench, bench_of
from loftwright.web.debrief.corrected import for_files, with_form
from loftwright.web.debrief.proposals import shown_file
from loftwright.web.debrief.takes import Take, Takes
from loftwright.web.posting import Form, posted
from loftwright.web.rehearse.programs import ProgramFile, program_of, read_or_refuse
from loftwright.web.rehearse.rehearsals import parted, report_shown
from loftwright.web.rendering import render
from loftwright.web.said import units_of

if TYPE_CHECKING:
    from loftwright.evidence.flight_log import LogOptions

__all__ = ["ROUTES"]

AT_ONCE = 64 * 2**20  # bytes of a log that is replayed while somebody waits


def _program(request: Request) -> Response:
    return _shown(request, _named(request))


def _named(request: Request) -> ProgramFile:
    return program_of(bench_of(request), request.path_params["name"])


def _shown(request: Request, program: ProgramFile) -> Response:
    from loftwright import __version__
    from loftwright.documents.history import digest_of
    from loftwright.flight.results import Provenance
    from loftwright.report.program_page import programs_page

    bench = bench_of(request)
    part = program.part(bench)
    sha256 = digest_of(program.path.read_bytes()) or ""
    made = Provenance({program.name: sha256}, f"loftwright {__version__}")
    body, foot = parted(report_shown(bench, "program", lambda: programs_page([part], made)))
    return render(
        request,
        "program.html.j2",
        program=program,
        title=part.name,
        reads=part.reads,
        errors=part.errors,
        body=body,
        foot=foot,
        logs=_kept_logs(bench),
        controllers=_controllers(bench, program),
        command=["loftwright", "program", "check", str(program.path)],
    )


def _controllers(bench: Bench, program: ProgramFile) -> list[str]:
    """Return the controllers that run it; none where the campaign does not read."""
    try:
        avionics = bench.read_campaign().avionics
    except ProblemError:
        return []
    rows = avionics.controller if avionics is not None else ()
    return [each.name for each in rows if each.program == program.name]


def _kept_logs(bench: Bench) -> list[tuple[str, str]]:
    """Return the logs of kept flights, the latest flight first: flight and file."""
    from loftwright.evidence.kept_reading import logs_of_flights

    return [(flight, path.name) for flight, path in logs_of_flights(bench.home)]


# ---------------------------------------------------------------- replay


@dataclass(frozen=True, slots=True)
class _Log:
    """A log to be replayed: where it lies, what it is called, and how it is to be read."""

    path: Path
    name: str
    options: LogOptions
    words: tuple[str, ...] = ()  # of the command, that say how
    take: Take | None = None  # of a log that was sent
    flight: str = ""  # that keeps it


def _replay(request: Request) -> Response:
    """Replay the program over a log of a kept flight, or one that was sent."""
    program, log = _named(request), _log_asked(request)
    if log.take is None:
        return _replayed(request, program, log)
    try:
        return _replayed(request, program, log)
    except ProblemError as error:
        return _not_read(request, program, log, error.problems)


def _not_read(
    request: Request, program: ProgramFile, log: _Log, problems: Sequence[Problem]
) -> Response:
    """Say what keeps a log from being replayed, with its columns to be corrected."""
    return render(
        request,
        "replay.html.j2",
        program=program,
        log=log.name,
        flight=log.flight,
        body="",
        foot="",
        query=dict(request.query_params),
        command=["loftwright", "program", "run", str(program.path), str(log.path), *log.words],
        **_columns_of(request, log, problems),
    )


def _columns_of(request: Request, log: _Log, problems: Sequence[Problem] = ()) -> dict[str, Any]:
    """Return what shows the columns of a log that was sent; nothing to show of others."""
    if log.take is None:
        return {"file": None}
    bench = bench_of(request)
    shown = shown_file(bench, 0, log.take.items[0], "", by_readings=False)
    said = {each.message for each in shown.problems}
    rest = [each for each in problems if each.message not in said]
    return {**for_files(bench), "alone": True, "file": shown, "take": log.take, "problems": rest}


def _replayed(request: Request, program: ProgramFile, log: _Log) -> Response:
    from dataclasses import replace

    from loftwright.evidence.flight_log import read_flight_log
    from loftwright.rehearsal.replay import replay
    from loftwright.report import replay_words
    from loftwright.report.replay_report import replay_report

    read = read_or_refuse(program)
    flight = replace(read_flight_log(log.path, log.options), name=log.name)
    opens, began = (_time(request, name) for name in ("line_opens", "liftoff"))
    replayed = replay(
        read.table,
        flight,
        pad_temperature=read.program.pad_temperature.value,
        line_opens_s=opens,
    )
    words = _replay_command(program, log, opens, began)
    system = units_of(bench_of(request))
    body, foot = parted(
        report_shown(
            bench_of(request),
            f"replay.{_key(flight.sha256, read.source.sha256, *words[5:])}",
            lambda: replay_report(read, flight, replayed, began, system),
        )
    )
    return render(
        request,
        "replay.html.j2",
        program=program,
        log=log.name,
        flight=log.flight,
        body=body,
        foot=foot,
        heads=(replay_words.ENTERED_HEADS, replay_words.SWITCHED_HEADS),
        entered=replay_words.entered_rows(replayed, read.program, system),
        switched=replay_words.switched_rows(replayed),
        reading=list(replay_words.reading_lines(flight)),
        record=list(replay_words.record_lines(replayed, flight, system)),
        query=dict(request.query_params),
        command=words,
        **_columns_of(request, log),
    )


def _replay_command(
    program: ProgramFile, log: _Log, opens: float | None, began: float | None
) -> list[str]:
    words = ["loftwright", "program", "run", str(program.path), str(log.path), *log.words]
    for option, value in (("--line-opens", opens), ("--liftoff", began)):
        words += [] if value is None else [option, f"{value!r} s"]
    return words


def _key(*parts: str) -> str:
    return sha256("\0".join(parts).encode()).hexdigest()[:32]


def _log_asked(request: Request) -> _Log:
    """Return the log that the address names; raises 404 for any that is not kept or sent."""
    from loftwright.evidence.kept_reading import kept_entry, log_options, logs_of_flights
    from loftwright.evidence.log_columns import LogOptions

    home, asked = bench_of(request).home, request.query_params
    if take := asked.get("take", ""):
        found = _sent_log(bench_of(request), take)
    else:
        kept = {f"{flight}/{path.name}": path for flight, path in logs_of_flights(home)}
        # Asked for without a log, it is the latest one.
        path = kept.get(asked.get("log") or next(iter(kept), ""))
        if path is None:
            raise HTTPException(404)
        entry = kept_entry(path)
        options = LogOptions() if entry is None else log_options(entry[1], entry[0])
        flight = path.parents[1].name
        found = _Log(path, path.name, options, flight=flight)
    _refuse_long(found)
    return found


def _sent_log(bench: Bench, number: str) -> _Log:
    """Return a log that was sent, to be read as its take says."""
    from loftwright.cli.record_told import FileWords

    take = Takes(bench.home).find(number)
    if not take.for_replay or len(take.items) != 1 or not take.items[0].path.is_file():
        raise HTTPException(404)
    item = take.items[0]
    told = FileWords.of_told(item.path, item.told)
    words = FileWords(item.path, told.log).options()  # what else is said of it is for keeping it
    return _Log(item.path, item.name, told.log.options(), tuple(words), take)


def _refuse_long(log: _Log) -> None:
    size = log.path.stat().st_size
    if size > AT_ONCE:
        message = f"this log of {size // 2**20} MB is too long to replay while a page waits"
        mend = f"replay it with the command: loftwright program run PROGRAM '{log.path}'"
        raise ProblemError([Problem("replay-long", message, Where(file=log.name), mend)])


def _time(request: Request, name: str) -> float | None:
    """Return a time that was typed, s; None for none. Raises ``ProblemError`` for what is none."""
    from loftwright.cli.log_options import read_time

    text = request.query_params.get(name, "").strip()
    return read_time(f"--{name.replace('_', '-')}", text, "12.3 s") if text else None


async def _send(request: Request) -> Response:
    """Take in a log that was sent, and lead to its replay."""
    from loftwright.web.incoming.inbox import Inbox
    from loftwright.web.incoming.uploads import receive

    bench = bench_of(request)
    inbox = Inbox(bench.home)
    # A table of which nobody knows what it is may be a log: its columns are said on the page.
    upload = await receive(request, inbox, kinds={"log", "other"})
    if not upload.files:
        mend = "choose the log's file, then replay it"
        raise ProblemError([Problem("upload-form", "no file was chosen", mend=mend)])
    file, *more = upload.files
    for each in (*more, *([file] if file.kind == "other" and file.sure else [])):
        inbox.discard(each.id)
    if file.kind == "other" and file.sure:
        mend = "choose what the recorder wrote"
        message = f"this is no log that can be read: {file.why}"
        raise ProblemError([Problem("upload-kind", message, Where(file=file.name), mend)])
    take = Takes(bench.home).begin([file], for_replay=True)
    return RedirectResponse(_place(request, take), 303)


def _place(request: Request, take: Take) -> str:
    return f"/program/{quote(_named(request).stem)}/replay?take={take.id}"


def _look(request: Request, form: Form) -> Response:
    """Read a log that was sent as the form says; show what that makes of it, or replay it so."""
    bench = bench_of(request)
    log = _sent_log(bench, form.get("take"))
    assert log.take is not None
    try:
        take = with_form(bench, log.take, form)
    except ProblemError as error:
        take, problems = log.take, error.problems
    else:
        problems = ()
    log = _sent_log(bench, take.id)
    if request.headers.get("hx-request") == "true":
        return render(request, "replay_columns.html.j2", **_columns_of(request, log, problems))
    if problems:
        return _not_read(request, _named(request), log, problems)
    more = {name: form.get(name) for name in ("liftoff", "line_opens") if form.get(name)}
    place = _place(request, take)
    return RedirectResponse(f"{place}&{urlencode(more)}" if more else place, 303)


# ---------------------------------------------------------------- for a controller


def _c_source(request: Request) -> Response:
    """Return the program as C99, all its files in one archive."""
    from loftwright.cli.program_emit import phrases_of
    from loftwright.program.emit import emit

    read = read_or_refuse(_named(request))
    files = emit(read.table, None, phrases_of(read))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), text)
    header = next(name for name in files if name.endswith(".h")).removesuffix(".h")
    said = f'attachment; filename="{header}-c.zip"'
    return Response(packed.getvalue(), 200, {"content-disposition": said}, "application/zip")


ROUTES = [
    Route("/program/{name:path}/replay", _replay),
    Route("/program/{name:path}/files", _send, methods=["POST"]),
    Route("/program/{name:path}/columns", posted(_look), methods=["POST"]),
    Route("/program/{name:path}/c.zip", _c_source),
    Route("/program/{name:path}", _program),
]

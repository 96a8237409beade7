"""Files that come in: kept whole under names of ours, bounded, told apart by their bytes."""

from __future__ import annotations

import hashlib
import json
import os
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.applications import Starlette
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse
from starlette.routing import Route
from web.asking import ask
from web.serving import copied

from loftwright.documents.flights import name_fault
from loftwright.errors import Problem, ProblemError
from loftwright.web.incoming import inbox as inbox_module
from loftwright.web.incoming.inbox import Inbox, clean_name
from loftwright.web.incoming.uploads import RECORDS, Limits, receive

PNG = b"\x89PNG\r\n\x1a\n" + bytes(range(200))
LOG = b"time,pressure\n" + b"".join(b"%d,%d\n" % (i * 20, 101325 - i) for i in range(50))
EDGE = "loftwright-edge"


def form(*parts: tuple[str, str | None, bytes], ends: bool = True) -> bytes:
    out = b""
    for name, file_name, content in parts:
        named = f'; filename="{file_name}"' if file_name is not None else ""
        out += f'--{EDGE}\r\nContent-Disposition: form-data; name="{name}"{named}\r\n\r\n'.encode()
        out += content + b"\r\n"
    return out + (f"--{EDGE}--\r\n".encode() if ends else b"")


def app(home, limits=None, kinds=RECORDS):
    async def take(request: Request):
        try:
            upload = await receive(request, Inbox(home), limits=limits or Limits(), kinds=kinds)
        except ProblemError as error:
            return JSONResponse({"codes": [each.code for each in error.problems]}, 422)
        except ClientDisconnect:
            return JSONResponse({}, 499)
        files = [[each.id, each.name, each.kind, each.sha256] for each in upload.files]
        return JSONResponse({"files": files, "fields": upload.fields})

    return Starlette(routes=[Route("/files", take, methods=["POST"])])


def post(home, body, *, content_type=f"multipart/form-data; boundary={EDGE}", **rest):
    limits, kinds = rest.pop("limits", None), rest.pop("kinds", RECORDS)
    headers = {"Content-Type": content_type, **rest.pop("headers", {})}
    answer = ask(app(home, limits, kinds), "POST", "/files", headers, body, **rest)
    return answer.status, json.loads(answer.body)


def left(home):
    return sorted(str(each.relative_to(home)) for each in home.rglob("*") if each.is_file())


def test_files_are_kept_byte_for_byte_under_our_names(tmp_path):
    body = form(
        ("token", None, b"x"), ("file", "board.csv", LOG), ("file", "C:\\fakepath\\a b.png", PNG)
    )
    status, said = post(tmp_path, [body[i : i + 7] for i in range(0, len(body), 7)])
    assert status == 200
    assert said["fields"] == {"token": "x"}
    assert [each[1:3] for each in said["files"]] == [["board.csv", "log"], ["a b.png", "picture"]]
    inbox = Inbox(tmp_path)
    for (number, _, _, digest), content in zip(said["files"], (LOG, PNG), strict=True):
        kept = inbox.find(number)
        assert kept.path.read_bytes() == content
        assert kept.sha256 == digest == hashlib.sha256(content).hexdigest()
        assert kept.path.name == "content"
        assert kept.path.is_relative_to(tmp_path / ".loftwright" / "inbox")
    assert {each.name for each in inbox.all()} == {"board.csv", "a b.png"}
    inbox.discard(said["files"][0][0])
    assert [each.name for each in inbox.all()] == ["a b.png"]


def test_what_the_bytes_are_counts_not_the_name(tmp_path):
    status, said = post(tmp_path, form(("file", "board.csv", PNG)), kinds={"log"})
    assert (status, said) == (422, {"codes": ["upload-kind"]})
    status, said = post(tmp_path, form(("file", "a.png", b"MZ\x90\0" + bytes(100))))
    assert (status, said) == (422, {"codes": ["upload-kind"]})
    assert left(tmp_path) == []
    status, said = post(
        tmp_path, form(("file", "a.bin", b"MZ\x90\0" + bytes(100))), kinds={"other"}
    )
    assert status == 200


def test_one_bad_file_keeps_the_good_one_out_too(tmp_path):
    status, _ = post(tmp_path, form(("a", "a.csv", LOG), ("b", "b.csv", b"\0\1\2")))
    assert status == 422
    assert left(tmp_path) == []


@pytest.mark.parametrize(
    ("limits", "code"),
    [
        (Limits(file=100), "upload-too-large"),
        (Limits(request=500), "upload-too-large"),
        (Limits(inbox=500), "upload-no-room"),
        (Limits(spare=1 << 60), "upload-no-room"),
        (Limits(files=1), "upload-too-many"),
    ],
)
def test_limits_hold_and_leave_nothing_behind(tmp_path, limits, code):
    body = form(("a", "a.csv", LOG), ("b", "b.csv", LOG))
    assert post(tmp_path, body, limits=limits) == (422, {"codes": [code]})
    assert left(tmp_path) == []


def test_what_is_announced_too_large_is_refused_unread(tmp_path):
    headers = {"Content-Length": str(10**15)}
    assert post(tmp_path, b"", headers=headers) == (422, {"codes": ["upload-too-large"]})


@pytest.mark.parametrize(
    ("body", "content_type"),
    [
        (b"", f"multipart/form-data; boundary={EDGE}"),
        (form(("a", "a.csv", LOG), ends=False), f"multipart/form-data; boundary={EDGE}"),
        (b"nonsense", f"multipart/form-data; boundary={EDGE}"),
        (form(("a", "a.csv", LOG)), "multipart/form-data"),
        (form(("a", "a.csv", LOG)), "multipart/form-data; boundary=" + "a" * 71),
        (form(("a", "a.csv", LOG)), "text/plain"),
        (form(("a", None, b"\xff")), f"multipart/form-data; boundary={EDGE}"),
        (f"--{EDGE}\r\n\r\nx\r\n--{EDGE}--".encode(), f"multipart/form-data; boundary={EDGE}"),
        (f"--{EDGE}\r\n".encode() + b"a: b\r\n" * 50, f"multipart/form-data; boundary={EDGE}"),
        (f"--{EDGE}\r\na: {'b' * 9000}".encode(), f"multipart/form-data; boundary={EDGE}"),
    ],
)
def test_broken_forms_are_told_and_leave_nothing(tmp_path, body, content_type):
    assert post(tmp_path, body, content_type=content_type) == (422, {"codes": ["upload-form"]})
    assert left(tmp_path) == []


def test_a_sender_that_breaks_off_leaves_nothing(tmp_path):
    status, _ = post(tmp_path, form(("a", "a.csv", LOG * 9), ends=False), breaks_off=True)
    assert status == 499
    assert left(tmp_path) == []


def test_an_empty_choice_is_nothing_and_an_empty_file_is_no_record(tmp_path):
    assert post(tmp_path, form(("a", "", b""))) == (200, {"files": [], "fields": {}})
    assert post(tmp_path, form(("a", "a.csv", b"")))[1] == {"codes": ["upload-kind"]}


@given(body=st.binary(max_size=400))
def test_any_bytes_are_a_form_or_told(tmp_path_factory, body):
    home = tmp_path_factory.getbasetemp() / "any-bytes"
    home.mkdir(exist_ok=True)
    status, _ = post(home, f"--{EDGE}\r\n".encode() + body)
    assert status in {200, 422}


@given(said=st.text(max_size=300))
def test_any_name_becomes_one_that_every_system_takes(said):
    name = clean_name(said)
    assert name_fault(name) is None
    assert not set(name) & set("/\\\0")
    assert clean_name(name) == name


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("../../etc/passwd", "passwd"),
        ("..\\..\\board.csv", "board.csv"),
        (".bashrc", "bashrc"),
        ("con.txt", "unnamed-con.txt"),
        ("a\0b.csv", "ab.csv"),
        ("log\u202egnp.exe", "loggnp.exe"),
        ("..", "unnamed"),
        ("/", "unnamed"),
        ("a" * 300 + ".csv", "a" * 84 + ".csv"),
        ("first flight.csv", "first flight.csv"),
    ],
)
def test_names_by_example(said, name):
    assert clean_name(said) == name


@pytest.mark.parametrize("number", ["", "..", "../..", "a" * 16 + "/..", "0" * 15, "\0" * 16])
def test_an_id_is_never_a_path(tmp_path, number):
    with pytest.raises(ProblemError, match="no such file"):
        Inbox(tmp_path).find(number)


def test_an_inbox_that_leads_out_of_the_campaign_is_refused(tmp_path):
    home, out = tmp_path / "home", tmp_path / "out"
    home.mkdir()
    out.mkdir()
    (home / ".loftwright").symlink_to(out, target_is_directory=True)
    with pytest.raises(ProblemError, match="leads out"):
        Inbox(home)


def test_what_was_forsaken_is_swept(tmp_path):
    inbox = Inbox(tmp_path)
    _, said = post(tmp_path, form(("a", "a.csv", LOG)))
    draft = inbox.folder / f"{'0' * 16}.part"
    draft.mkdir()
    inbox.sweep(now=time.time() + 1800)
    assert draft.is_dir()
    inbox.sweep(now=time.time() + 2 * 3600)
    assert not draft.exists()
    assert inbox.find(said["files"][0][0]).size == len(LOG)


def test_a_clock_that_is_wrong_takes_no_file_away_that_nobody_kept(tmp_path):
    inbox = Inbox(tmp_path)
    _, said = post(tmp_path, form(("a", "a.csv", LOG)))
    coming = inbox.begin()
    for days in (8, 400, -400):
        inbox.sweep(now=time.time() + days * 24 * 3600)
    (there,) = inbox.all()
    assert there.id == said["files"][0][0]
    assert there.path.read_bytes() == LOG
    assert coming.is_dir()  # this process writes to it, whatever the clock says
    inbox.give_up(coming)
    assert not coming.exists()


def test_what_a_flight_keeps_is_swept_where_it_keeps_the_same_bytes(tmp_path):
    home = tmp_path / "home"
    copied("sedge-lift-flown", home)
    kept = home / "flights" / "2026-05-16-a" / "evidence" / "board.csv"
    log = kept.read_bytes()
    post(home, form(("a", "a.csv", log)))
    inbox = Inbox(home)
    kept.write_bytes(log[:-1] + b"\r")  # damaged, under a record that says it is whole
    inbox.sweep(now=time.time() + 8 * 24 * 3600)
    assert len(inbox.all()) == 1
    kept.write_bytes(log)
    inbox.sweep(now=time.time() + 6 * 24 * 3600)
    assert len(inbox.all()) == 1
    inbox.sweep(now=time.time() + 8 * 24 * 3600)
    assert inbox.all() == ()


def test_all_are_kept_or_none_where_the_disk_gives_out(tmp_path, monkeypatch):
    real, told = inbox_module.write_atomically, []

    def write(path, content):
        told.append(path)
        if len(told) == 2:
            raise ProblemError([Problem("file-not-written", "no space left on device")])
        real(path, content)

    monkeypatch.setattr(inbox_module, "write_atomically", write)
    status, said = post(tmp_path, form(("a", "a.csv", LOG), ("b", "b.csv", LOG)))
    assert (status, said) == (422, {"codes": ["upload-no-room"]})
    assert len(told) == 2
    assert left(tmp_path) == []


def test_many_uploads_at_once_do_not_mind_each_other(tmp_path):
    body = form(("a", "a.csv", LOG), ("b", "b.csv", LOG))

    def come_and_go(_: int) -> int:
        status, said = post(tmp_path, body)
        inbox = Inbox(tmp_path)
        inbox.all()
        inbox.size()
        for each in said["files"]:
            inbox.discard(each[0])
        return status

    with ThreadPoolExecutor(8) as people:
        assert set(people.map(come_and_go, range(60))) == {200}
    assert left(tmp_path) == []


def test_a_file_that_goes_while_others_are_looked_at_is_no_fault(tmp_path, monkeypatch):
    _, said = post(tmp_path, form(("a", "a.csv", LOG), ("b", "b.csv", LOG)))
    inbox, (gone, kept) = Inbox(tmp_path), (each[0] for each in said["files"])
    listed = list(inbox.folder.iterdir())
    inbox.discard(gone)
    monkeypatch.setattr(type(inbox.folder), "iterdir", lambda _: iter(listed))
    assert [each.id for each in inbox.all()] == [kept]
    inbox.sweep()


@pytest.mark.parametrize("about", ["", "{", "[]", "{}", '{"id": 1, "more": 2}'])
def test_a_file_of_which_nothing_is_known_any_more_is_no_fault(tmp_path, about):
    _, said = post(tmp_path, form(("a", "a.csv", LOG)))
    inbox, number = Inbox(tmp_path), said["files"][0][0]
    (inbox.folder / number / "about.json").write_text(about, "utf-8")
    assert inbox.all() == ()
    with pytest.raises(ProblemError, match="no such file"):
        inbox.find(number)


@pytest.mark.skipif(os.name != "posix", reason="POSIX permissions")
def test_nobody_else_reads_the_inbox(tmp_path):
    post(tmp_path, form(("a", "a.csv", LOG)))
    assert Inbox(tmp_path).folder.stat().st_mode & 0o077 == 0

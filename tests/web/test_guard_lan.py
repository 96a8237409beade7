"""Devices on the network: let in by a code, known by a cookie, and by nothing else."""

from __future__ import annotations

import asyncio

import pytest
from hypothesis import given
from hypothesis import strategies as st
from web.guarding import HOST, PAGE, code, get, guard, post

from loftwright.web.guard import Lan
from loftwright.web.guard.lan import cookie_name

PHONE = ("192.168.1.33", 40000)
ADDRESS = {"Host": "192.168.1.20:8765"}
COOKIE = cookie_name(8765)


class Clock:
    def __init__(self):
        self.now, self.pauses = 1000.0, []

    def __call__(self):
        return self.now

    async def pause(self, seconds):
        self.pauses.append(seconds)


def opened(clock=None):
    clock = clock or Clock()
    return Lan("192.168.1.20", clock=clock, pause=clock.pause)


def test_nobody_else_is_answered_without_lan():
    answer = get(headers={"Host": HOST}, client=PHONE)
    assert answer.status == 421
    answer = get(headers=ADDRESS, client=PHONE)
    assert answer.status == 421


def test_a_device_enters_once_with_the_code():
    lan = opened()
    guarded = guard(lan=lan)
    answer = get(headers=ADDRESS, client=PHONE, app=guarded)
    assert (answer.status, code(answer)) == (403, "guard-device")
    shown = get(headers={**ADDRESS, **PAGE}, client=PHONE, app=guarded)
    assert (shown.status, shown.headers["location"]) == (303, "/enter")
    assert get("/enter", headers=ADDRESS, client=PHONE, app=guarded).status == 200
    shown = lan.new_code()
    secret = asyncio.run(lan.enter(shown.lower().replace("-", " "), "a phone"))
    known = {**ADDRESS, "Cookie": f"{COOKIE}={secret}"}
    assert get(headers=known, client=PHONE, app=guarded).status == 200
    assert lan.code is None
    with pytest.raises(Exception, match="no code is good"):
        asyncio.run(lan.enter(shown, "another"))
    lan.send_away()
    assert get(headers=known, client=PHONE, app=guarded).status == 403


def test_a_device_still_needs_the_token_and_the_right_host():
    lan = opened()
    secret = asyncio.run(lan.enter(lan.new_code(), "a phone"))
    known = {**ADDRESS, "Cookie": f"{COOKIE}={secret}"}
    guarded = guard(lan=lan)
    assert (
        post(headers={**known, "X-Loftwright-Token": "x"}, client=PHONE, app=guarded).status == 403
    )
    assert post(headers={**known, "Origin": "http://evil"}, client=PHONE, app=guarded).status == 403
    assert get(headers={**known, "Host": HOST}, client=PHONE, app=guarded).status == 421
    assert post(headers=known, client=PHONE, app=guarded).status == 200
    assert post(headers=known, client=PHONE, app=guard(lan=lan, look_only=True)).status == 403
    assert get(headers=known, client=PHONE, app=guard(lan=lan, look_only=True)).status == 200
    assert post(app=guard(lan=lan, look_only=True)).status == 200


def test_wrong_codes_wait_longer_and_void_the_code():
    clock = Clock()
    lan = opened(clock)
    right = lan.new_code()
    for left in (4, 3, 2, 1, 0):
        with pytest.raises(
            Exception, match=str(left) if left > 1 else "one more" if left else "no"
        ):
            asyncio.run(lan.enter("0000-0000", ""))
    assert clock.pauses == sorted(clock.pauses)
    assert clock.pauses[-1] >= 4.0
    with pytest.raises(Exception, match="no code is good"):
        asyncio.run(lan.enter(right, ""))
    asyncio.run(lan.enter(lan.new_code(), ""))


def test_codes_and_devices_end():
    clock = Clock()
    lan = opened(clock)
    old = lan.new_code()
    clock.now += 601
    assert lan.code is None
    with pytest.raises(Exception, match="no code is good"):
        asyncio.run(lan.enter(old, ""))
    secret = asyncio.run(lan.enter(lan.new_code(), "<b>\u202ephone\n"))
    assert lan.knows(secret) is not None
    assert lan.devices[0].about == "<b>phone"
    clock.now += 13 * 3600
    assert lan.knows(secret) is None
    assert lan.devices == ()


def test_codes_differ_and_are_long_enough():
    lan = opened()
    codes = {lan.new_code() for _ in range(300)}
    assert len(codes) == 300
    assert all(len(each.replace("-", "")) == 8 for each in codes)  # of 32 signs: 40 bits
    assert not set("".join(codes)) & set("ILOU")


@given(cookie=st.text(st.characters(max_codepoint=255), max_size=80))
def test_no_odd_cookie_is_a_device(cookie):
    answer = get(headers={**ADDRESS, "Cookie": cookie}, client=PHONE, app=guard(lan=opened()))
    assert answer.status in {403, 431}


def test_cookies_of_other_programs_of_the_machine_are_in_nobodys_way():
    lan = opened()
    secret = asyncio.run(lan.enter(lan.new_code(), "a phone"))
    guarded = guard(lan=lan)
    for before in ("a", "a=b;c=\x01", f"{COOKIE}=tossed", f"{cookie_name(1)}=x", 'x="', "=", ";;"):
        known = {**ADDRESS, "Cookie": f"{before}; {COOKIE}={secret}"}
        assert get(headers=known, client=PHONE, app=guarded).status == 200
    other = {**ADDRESS, "Cookie": f"{cookie_name(8766)}={secret}"}  # of another workbench
    assert get(headers=other, client=PHONE, app=guarded).status == 403

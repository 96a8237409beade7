"""Processes by number and birth: a number alone may have passed to another program."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

__all__ = ["is_alive", "mark_of", "tell"]


def mark_of(pid: int) -> dict[str, Any]:
    """Return what tells this process from any that may have its number later, or elsewhere."""
    return {"pid": pid, "born": _born(pid), "boot": _boot()}


def is_alive(mark: dict[str, Any] | None) -> bool:
    """Tell whether the process of ``mark`` runs; what is no mark is of none."""
    pid = mark.get("pid") if mark else None
    if mark is None or not isinstance(pid, int) or pid <= 0 or mark.get("boot", "") != _boot():
        return False
    return _runs(pid) and _born(pid) == mark.get("born")


def tell(mark: dict[str, Any] | None, what: signal.Signals) -> None:
    """Send a signal to the process of ``mark`` and its children; nothing if it has ended."""
    if mark is None or not is_alive(mark):
        return
    pid = int(mark["pid"])
    try:
        if sys.platform == "win32":
            os.kill(pid, signal.CTRL_BREAK_EVENT)
        else:
            os.killpg(os.getpgid(pid), what)
    except OSError:  # it has ended meanwhile, or no signal can reach it
        return


@cache
def _boot() -> str:
    """Return what tells this start of this machine from any other; empty where nothing does."""
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except (OSError, ValueError):
        return ""


if sys.platform == "win32":
    import ctypes

    LOOK = 0x1000  # PROCESS_QUERY_LIMITED_INFORMATION
    STILL_ACTIVE = 259

    def _runs(pid: int) -> bool:
        kernel = ctypes.windll.kernel32
        handle = kernel.OpenProcess(LOOK, False, pid)
        if not handle:
            return False
        code = ctypes.c_ulong()
        known = kernel.GetExitCodeProcess(handle, ctypes.byref(code))
        kernel.CloseHandle(handle)
        return bool(known) and code.value == STILL_ACTIVE

    def _born(pid: int) -> str:
        kernel = ctypes.windll.kernel32
        handle = kernel.OpenProcess(LOOK, False, pid)
        if not handle:
            return ""
        times = [ctypes.c_ulonglong() for _ in range(4)]
        kernel.GetProcessTimes(handle, *(ctypes.byref(each) for each in times))
        kernel.CloseHandle(handle)
        return str(times[0].value)

else:

    def _runs(pid: int) -> bool:
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return False
        except PermissionError:
            return True
        return not _is_gone(pid)

    def _is_gone(pid: int) -> bool:
        """Whether it has ended and only its parent has not asked yet."""
        state = _stat(pid)
        return bool(state) and state[0] == "Z"

    def _born(pid: int) -> str:
        if sys.platform != "linux":
            return _began(pid)
        state = _stat(pid)
        return state[19] if state else ""

    def _began(pid: int) -> str:
        """Return when a process began, by the system's own list."""
        asked = ["ps", "-o", "lstart=", "-p", str(pid)]
        try:
            said = subprocess.run(asked, capture_output=True, text=True, check=False)
        except OSError:
            return ""
        return said.stdout.strip()

    def _stat(pid: int) -> list[str]:
        """Return the fields of /proc/<pid>/stat after the name; empty where there is none."""
        try:
            text = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8", errors="replace")
        except OSError:
            return []
        return text.rpartition(")")[2].split()

"""``loftwright doctor``."""

from __future__ import annotations

import os
import sys
from dataclasses import asdict, dataclass
from pathlib import Path

import click

from loftwright.cli.options import json_option

__all__ = ["OPTIONAL", "REQUIRED", "command"]

# What Loftwright is built on, and what each is for; pyproject.toml says the same, tested.
REQUIRED: dict[str, str] = {
    "numpy": "tracks, ensembles and fits as arrays",
    "numba": "compiling the flight, so that thousands take seconds",
    "click": "the command line",
    "rich": "tables in the terminal",
    "jinja2": "the pages of reports",
    "platformdirs": "the place of compiled kernels",
    "scipy": "searches and shares of variance (best, sensitivity)",
    "lark": "the conditions of release programs (program, rehearse, tune)",
    "starlette": "the pages of the workbench (serve)",
    "uvicorn": "answering a browser (serve)",
    "python-multipart": "files that are dropped onto a page (serve)",
    "resvg-py": "strips as pictures (strip --png)",
    "segno": "the code by which a phone finds the workbench (serve --lan)",
}
OPTIONAL: dict[str, str] = {
    "pyarrow": "tracks and flights as Parquet files (forecast --parquet)",
    "distributed": "flying on several machines (forecast --cluster)",
}
PORT = 8042  # where the workbench listens if it may; as in web/serve.py, tested
PYTHONS = ((3, 11), (3, 13))


@dataclass(frozen=True, slots=True)
class Part:
    """One thing this machine needs or may have. ``mend`` is empty where all is well."""

    name: str
    found: str
    purpose: str
    is_well: bool
    is_needed: bool
    mend: str


@click.command("doctor")
@json_option
def command(as_json: bool) -> int:
    """Say whether this machine is ready: each part, what it is for, the line that mends it.

    Exits with 1 when a part that is needed is missing.
    """
    parts = [_python(), *_packages(), _kernel_folder(), _kernel(), _port(), _browser()]
    ready = all(part.is_well for part in parts if part.is_needed)
    if as_json:
        from loftwright.cli.answers import emit

        emit("doctor", {"is_ready": ready, "parts": [asdict(part) for part in parts]})
        return 0 if ready else 1
    for part in parts:
        click.echo(_line(part))
    click.echo("Ready." if ready else "Not ready: mend what is marked with !")
    return 0 if ready else 1


def _line(part: Part) -> str:
    mark = "ok" if part.is_well else "!" if part.is_needed else "-"
    line = f"{mark:2}  {part.name:14} {part.found:18} {part.purpose}"
    return f"{line}\n    {'mend:':14} {part.mend}" if part.mend else line


def _python() -> Part:
    found = ".".join(map(str, sys.version_info[:3]))
    oldest, newest = (".".join(map(str, each)) for each in PYTHONS)
    is_well = PYTHONS[0] <= sys.version_info[:2] <= PYTHONS[1]
    mend = "" if is_well else f"install Python {newest} from python.org"
    return Part("python", found, f"everything; {oldest} to {newest}", is_well, True, mend)


def _packages() -> list[Part]:
    needed = [_package(name, purpose, True) for name, purpose in REQUIRED.items()]
    return needed + [_package(name, purpose, False) for name, purpose in OPTIONAL.items()]


def _package(name: str, purpose: str, is_needed: bool) -> Part:
    """Import a package: one that is installed but broken must not pass for well."""
    from importlib import import_module
    from importlib.metadata import PackageNotFoundError, version

    mend = f'"{sys.executable}" -m pip install {name}'
    try:
        found = version(name)
    except PackageNotFoundError:
        return Part(name, "missing", purpose, False, is_needed, mend)
    try:
        import_module(name.replace("-", "_"))
    except Exception as error:  # whatever a broken library raises
        said = f"{found} broken"
        again = f"{mend} --force-reinstall   ({type(error).__name__}: {error})"
        return Part(name, said, purpose, False, is_needed, again)
    return Part(name, found, purpose, True, is_needed, "")


def _cache_root() -> Path:
    from loftwright.compiling.clone import cache_folder
    from loftwright.flight.kernel.driver import fly_phase

    return cache_folder(fly_phase)


def _kernel_folder() -> Part:
    """Tell whether compiled kernels can be kept; without that each start compiles anew."""
    purpose = "keeping compiled kernels between runs"
    folder = _cache_root()
    stands = next(each for each in (folder, *folder.parents) if each.exists())
    is_well = stands.is_dir() and os.access(stands, os.W_OK)
    mend = "" if is_well else f"make {stands} writable for you"
    found = "writable" if is_well else "not writable"
    return Part("kernel folder", found, purpose, is_well, False, mend)


def _kernel() -> Part:
    from loftwright.flight.engine import is_ready

    purpose = "flying at once; the first flight compiles it, about 10 s"
    if is_ready():
        return Part("kernel", "compiled", purpose, True, False, "")
    return Part("kernel", "not yet compiled", purpose, False, False, "loftwright forecast DIR")


def _port() -> Part:
    """Tell whether the workbench can listen on this machine, at its usual port or any."""
    import socket

    purpose = "pages of the workbench (serve)"
    for number, found in ((PORT, f"{PORT} free"), (0, f"{PORT} taken")):
        with socket.socket() as listening:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                listening.bind(("127.0.0.1", number))
            except OSError:
                continue
            mend = "" if number else "none needed: serve takes another port, and says which"
            return Part("port", found, purpose, True, False, mend)
    mend = "let Python listen on 127.0.0.1: a firewall or a rule of the system forbids it"
    return Part("port", "not allowed", purpose, False, False, mend)


def _browser() -> Part:
    import webbrowser

    purpose = "opening the workbench; its address can be typed as well"
    try:
        found = webbrowser.get()
    except webbrowser.Error:
        mend = "open the address that serve shows in any browser, or serve --lan for a phone's"
        return Part("browser", "not found", purpose, False, False, mend)
    return Part("browser", getattr(found, "name", "") or "found", purpose, True, False, "")

"""The part of the docs that is written by the code itself, so that it cannot go stale."""

from __future__ import annotations

import inspect
import re
import shutil
from collections.abc import Iterator
from importlib import import_module
from itertools import groupby
from pathlib import Path
from pkgutil import iter_modules
from types import ModuleType

import click
from snippets import write_snippets

import loftwright.physics
from loftwright.cli.main import COMMANDS, verbs
from loftwright.documents.reference import document_reference
from loftwright.errors import catalogue
from loftwright.instruments.faults import library

FAMILIES = {
    "adopt": "Adopting what was tried",
    "api": "Endpoints for programs",
    "avionics": "Avionics",
    "causes": "Causes of a flight that went wrong",
    "check": "Warnings of the check",
    "cluster": "Several machines",
    "command": "The command line",
    "debrief": "Debriefs",
    "doc": "Documents in general",
    "edit": "Changing documents",
    "evidence": "Records of firings",
    "file": "Files",
    "fit": "Fitting",
    "forecast": "Kept forecasts",
    "guard": "What the workbench refuses",
    "ledger": "The ledger",
    "log": "Recorded flights",
    "page": "Pages of the workbench",
    "payload": "Payloads",
    "program": "Release programs",
    "quantity": "Quantities",
    "reading": "Readings of columns",
    "record": "Flights that are kept",
    "rehearse": "Rehearsals",
    "replay": "Replays",
    "serve": "The workbench",
    "site": "Sites",
    "stage": "Boosters and upper stages",
    "strip": "Strips",
    "study": "Studies",
    "upload": "Files that come in by the browser",
    "tune": "Tuning a program",
    "undo": "Taking changes back",
    "vehicle": "Vehicles",
    "whatif": "What if",
    "work": "Long work in the workbench",
}


def write_all(folder: Path) -> None:
    """Write every generated page into ``folder``; what is there already is replaced."""
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "laws").mkdir(parents=True)
    pages = {"commands.md": commands_page(), "documents.md": document_reference()}
    pages["codes.md"] = codes_page()
    pages["faults.md"] = faults_page()
    pages |= {f"laws/{name}.md": text for name, text in law_pages().items()}
    pages["laws/index.md"] = laws_index()
    for name, text in pages.items():
        (folder / name).write_text(text, encoding="utf-8")
    write_snippets(folder / "snippets")


# ---------------------------------------------------------------- commands


def commands_page() -> str:
    """Return the reference of every command and option."""
    parts = [
        "# Commands\n",
        "Every command is `loftwright` followed by a word; `python -m loftwright` does the same. "
        "`DIR` is a campaign folder or its `campaign.toml`. Options that name a file replace it "
        "if it exists, whole or not at all.\n",
        "Exit codes: 0 done, 1 failed, 2 bad input (with what to mend), 130 interrupted. With "
        "`--json`, problems are an object too: `schema` is `loftwright/problems/1`, and "
        "`problems` a list with `code`, `severity`, `message`, `where` and `mend`.\n",
    ]
    with click.Context(verbs, info_name="loftwright") as root:
        for name in COMMANDS:
            command = verbs.get_command(root, name)
            assert command is not None
            with click.Context(command, info_name=name, parent=root) as context:
                parts += _commands(command, context)
    return "\n".join(parts)


def _commands(command: click.Command, context: click.Context) -> Iterator[str]:
    """Yield the part of a command, and those of the commands below it."""
    yield _command(command, context)
    for name in command.list_commands(context) if isinstance(command, click.Group) else []:
        below = command.get_command(context, name)
        assert below is not None
        with click.Context(below, info_name=name, parent=context) as inner:
            yield _command(below, inner)


def _command(command: click.Command, context: click.Context) -> str:
    usage = " ".join(command.collect_usage_pieces(context))
    words = _words(inspect.cleandoc(command.help or ""))
    rows = ["| option | meaning | default |", "|---|---|---|"]
    rows += [
        _option(each, context)
        for each in command.get_params(context)
        if isinstance(each, click.Option)
    ]
    title = context.command_path.partition(" ")[2]
    mark = "###" if " " in title else "##"
    if not rows[2:]:
        rows = []
    head = f"{mark} {title}\n\n```text\n{context.command_path} {usage}\n```\n\n{words}\n"
    return head + "\n" + "\n".join(rows) + "\n"


def _option(option: click.Option, context: click.Context) -> str:
    names = ", ".join(f"`{name}`" for name in option.opts)
    takes = "" if option.is_flag else " " + option.make_metavar(context)
    default = f"`{option.default}`" if option.show_default else ""
    return " | ".join(("", names + _cell(takes), _cell(option.help or ""), default, "")).strip()


def _cell(text: str) -> str:
    return _words(text).replace("|", "\\|").replace("<", "&lt;")


def _words(text: str) -> str:
    """Return help text with options set as code."""
    return re.sub(r"(?<![\w`-])(--[a-z][a-z-]*)", r"`\1`", text)


# ---------------------------------------------------------------- codes


def codes_page() -> str:
    """Return the page of every error and warning code."""
    head = "Every error and warning has a code; `loftwright explain CODE` shows the same offline.\n"
    parts = ["# Codes\n", head]
    entries = sorted(catalogue.entries().values(), key=lambda entry: _family(entry.code))
    for family, members in groupby(entries, key=lambda entry: _family(entry.code)):
        parts.append(f"## {FAMILIES[family]}\n")
        parts += [_entry(entry) for entry in members]
    return "\n".join(parts)


def _entry(entry: catalogue.Entry) -> str:
    # Examples show wrong forms too, which no highlighter can read.
    return "#" + catalogue.page(entry).replace("```toml", "```text")


def _family(code: str) -> str:
    return code.partition("-")[0]


# ---------------------------------------------------------------- faults


def faults_page() -> str:
    """Return the page of the fault library, group by group."""
    parts = [
        "# Faults\n",
        "What can fail in a rehearsal, to which parts, and how likely that is in one flight at "
        "one part. A `[[fault]]` of the avionics puts your own chance in place of the "
        "library's. See [what is modelled](../physics/instruments.md), and how to "
        "[add a fault](../how-to/add-a-fault.md).\n",
    ]
    for group, members in groupby(library().values(), key=lambda fault: fault.group):
        parts += [f"## {group.capitalize()}\n", "| fault | what happens | chance | from |"]
        parts.append("|---|---|---|---|")
        for fault in members:
            says = fault.says.replace("{part}", "it")
            says = says[:1].upper() + says[1:]
            cells = (f"`{fault.name}`", says, f"{fault.chance:g}", fault.chance_source)
            parts.append("| " + " | ".join(cells) + " |")
        parts[-1] += "\n"
    return "\n".join(parts)


# ---------------------------------------------------------------- laws


def law_modules() -> Iterator[ModuleType]:
    """Yield the modules that hold laws, by name."""
    for found in iter_modules(loftwright.physics.__path__):
        module = import_module(f"loftwright.physics.{found.name}")
        if any(inspect.isfunction(getattr(module, name)) for name in module.__all__):
            yield module


def law_pages() -> dict[str, str]:
    """Return a page for each module of laws, from its docstrings."""
    return {_short(module): _law_page(module) for module in law_modules()}


def _law_page(module: ModuleType) -> str:
    title = _short(module).replace("_", " ").capitalize()
    return f"# {title}\n\n```{{eval-rst}}\n.. automodule:: {module.__name__}\n   :members:\n```\n"


def laws_index() -> str:
    """Return the page that lists all laws by module."""
    rows = []
    for module in law_modules():
        laws = [name for name in module.__all__ if inspect.isfunction(getattr(module, name))]
        first = (module.__doc__ or "").strip().splitlines()[0]
        links = ", ".join(f"`{name}`" for name in laws)
        rows.append(
            f"[{_short(module).replace('_', ' ')}]({_short(module)}.md)\n: {first} {links}\n"
        )
    listed = "\n".join(_short(module) for module in law_modules())
    head = (
        "# Laws\n\nEvery law is one short function with its equation, units, range and source. The "
        "same functions run as plain Python in `check` and compiled in `forecast`.\n"
    )
    return "\n".join([head, *rows, f"```{{toctree}}\n:hidden:\n\n{listed}\n```\n"])


def _short(module: ModuleType) -> str:
    return module.__name__.rpartition(".")[2]

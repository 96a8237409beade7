"""Which commands programs may start over HTTP, with which options, and the schema of each.

The schemas are made from the commands' own declarations. What is listed here is all there is: no
option that reads or writes a file by its path, none that reaches another machine. Files come from
the inbox, by their ids.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import click

from loftwright.web.incoming.inbox import Inbox

__all__ = ["VERBS", "Verb", "command_of", "is_listed", "schema_of", "words_of"]

_LARGEST = 2**53 - 1  # the largest whole number that every reader of JSON has exactly (RFC 8259)
_MOST = 64  # entries of a list
_LONGEST = 1000  # signs of a text
# One line; where a word of its own stands, no dash at its front, or it would be an option.
_LINE = {"pattern": r"^[^\x00-\x1f\x7f]*$", "x-said": "this is one line without control signs"}
_WORD = {
    "pattern": r"^[^\x00-\x1f\x7f-][^\x00-\x1f\x7f]*$",
    "x-said": "this is one line without control signs, and begins with no dash",
}
_ID = {"pattern": r"^[0-9a-f]{16}$", "x-said": "this is the id of a file in the inbox"}


@dataclass(frozen=True, slots=True)
class Verb:
    """A command that may be started: its name, and the names of its options and arguments.

    ``files`` is the argument that takes files of the inbox.
    """

    name: str
    options: tuple[str, ...]
    arguments: tuple[str, ...] = ()
    files: str | None = None

    @property
    def key(self) -> str:
        """What it is called in an address, like the name in an answer's schema."""
        return self.name.replace(" ", "-")


_SEEDED = ("flights", "seed")
_STUDY = (*_SEEDED, "set")
_COLUMNS = (
    "time",
    "pressure",
    "height",
    "push",
    "battery",
    "temperature",
    "state",
    "ignore",
    "unit",
    "scale",
    "every",
    "delimiter",
    "decimal",
    "flight-number",
)
VERBS: Mapping[str, Verb] = {
    verb.key: verb
    for verb in (
        Verb("check", ()),
        Verb("program check", ("no-flights",)),
        Verb("firing", ("flight", "seed", "set")),
        Verb("forecast", (*_STUDY, "tolerance", "ballistic")),
        Verb("whatif", (*_STUDY, "against", "programs")),
        Verb("rehearse", (*_STUDY, "faults", "pairs", "level", "no-mends")),
        Verb("tune", (*_STUDY, "vary", "aim", "against", "limit", "faults", "points")),
        Verb("compare", _STUDY),
        Verb("explore", (*_STUDY, "points", "show", "limit"), ("ranges",)),
        Verb("best", (*_STUDY, "aim", "vary", "limit")),
        Verb("sensitivity", (*_STUDY, "figure")),
        Verb(
            "record",
            (
                *_STUDY,
                *("as", "source", "clock", "said", "name", "force", "yes", "no-forecast"),
                *_COLUMNS,
            ),
            ("flight",),
            files="files",
        ),
        Verb("debrief", (*_SEEDED, "causes", "campaign", "keep", "liftoff"), ("flight",)),
        Verb("causes", (*_SEEDED, "pairs"), ("flight",)),
        Verb("fit", ("field", "write", "again", "seed", "set"), ("flights",)),
        Verb("ledger take-in", ("accept",)),
        Verb(
            "ledger finding",
            ("flight", "evidence", "sure", "explains", "unsettled", "by"),
            ("what",),
        ),
        Verb("ledger action", ("who", "due", "finding"), ("what",)),
        Verb("ledger decision", ("why", "evidence", "by"), ("what",)),
        Verb("ledger close", ("flight", "why"), ("item",)),
        Verb("ledger judge", ("why", "by"), ("flight", "function", "outcome")),
        Verb("ledger verify", ()),
    )
}


@cache
def command_of(verb: Verb) -> click.Command:
    """Return the command as it is declared."""
    from loftwright.cli.main import verbs

    found: click.Command = verbs
    for word in verb.name.split():
        assert isinstance(found, click.Group)
        below = found.get_command(click.Context(found), word)
        assert below is not None
        found = below
    return found


@cache
def _declared(verb: Verb) -> dict[str, click.Parameter]:
    """Return the declarations by option (its long name without dashes) and argument."""
    found: dict[str, click.Parameter] = {}
    for each in command_of(verb).params:
        names = [name[2:] for name in each.opts if name.startswith("--")] or [each.name or ""]
        found[names[0]] = each
    return found


@cache
def schema_of(verb: Verb) -> dict[str, Any]:
    """Return the JSON schema of what the command is given, made from its declarations."""
    declared = _declared(verb)
    properties: dict[str, Any] = {}
    required = []
    for name in (*verb.options, *verb.arguments):
        properties[_key(name)] = _schema(declared[name])
        if declared[name].required:
            required.append(_key(name))
    if verb.files is not None:
        properties[verb.files] = {
            "type": "array",
            "items": {"type": "string", **_ID},
            "maxItems": 1,
            "description": "The id of a file in the inbox.",
        }
    made = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**made, "required": required} if required else made


def _key(name: str) -> str:
    return name.replace("-", "_")


def _schema(each: click.Parameter) -> dict[str, Any]:
    is_option = isinstance(each, click.Option)
    one = _one(each.type, {} if is_option else _WORD)
    if each.nargs == -1 or getattr(each, "multiple", False):
        one = {"type": "array", "items": one, "maxItems": _MOST}
        if each.required:
            one["minItems"] = 1
    said = getattr(each, "help", None)
    return {**one, "description": said} if said else one


def _one(kind: Any, word: Mapping[str, str]) -> dict[str, Any]:
    if isinstance(kind, click.Choice):
        return {"type": "string", "enum": list(kind.choices)}
    if isinstance(kind, click.types.BoolParamType):
        return {"type": "boolean"}
    if isinstance(kind, click.IntRange):
        most = _LARGEST if kind.max is None else kind.max
        return {"type": "integer", "minimum": kind.min, "maximum": most}
    if isinstance(kind, click.FloatRange):
        ends = {"minimum": kind.min, "exclusiveMaximum" if kind.max_open else "maximum": kind.max}
        return {"type": "number", **ends}
    if isinstance(kind, click.types.StringParamType):
        return {"type": "string", "minLength": 1, "maxLength": _LONGEST, **(word or _LINE)}
    raise TypeError(f"{kind} has no schema")  # a test makes the schema of every verb


def words_of(verb: Verb, given: Mapping[str, Any], inbox: Inbox) -> list[str]:
    """Return the words of the command, for `Jobs.start`; ``given`` is held to the schema already.

    Raises ``ProblemError`` (``upload-unknown``) for a file that is not in the inbox.
    """
    words = [verb.name]
    declared = _declared(verb)
    for name in verb.options:
        value = given.get(_key(name))
        for one in value if isinstance(value, list) else [value]:
            words += _option(declared[name], name, one)
    for name in verb.arguments:
        value = given.get(_key(name), [])
        words += [str(each) for each in (value if isinstance(value, list) else [value])]
    return words + _files(verb, given, inbox)


def is_listed(words: Sequence[str]) -> bool:
    """Tell whether words, as `Jobs.start` takes them, ask for no more than what is listed here."""
    verb = VERBS.get(words[0].replace(" ", "-")) if words else None
    if verb is None or verb.files is not None:
        return False
    command = command_of(verb)
    context = click.Context(command)
    try:
        values, _, asked = command.make_parser(context).parse_args(["DIR", *words[1:]])
    except click.UsageError:
        return False
    declared = _declared(verb)
    listed = {declared[name].name for name in (*verb.options, *verb.arguments)}
    arguments = [each.name for each in command.params if isinstance(each, click.Argument)]
    # Of arguments the parser names all that are declared; where one was not given stands no text.
    given = {
        each.name
        for each in asked
        if each.name not in arguments or isinstance(values[str(each.name)], str | tuple)
    }
    return given <= listed | set(arguments[:1])  # the first one is DIR


def _option(declared: click.Parameter, name: str, value: Any) -> list[str]:
    if value is None or value is False:
        return []
    if isinstance(declared, click.Option) and declared.is_flag:
        return [f"--{name}"]
    if isinstance(declared.type, click.IntRange):
        value = int(value)  # 4.0 is a whole number to JSON
    return [f"--{name}={value}"]  # one word, so that no value is taken for an option


def _files(verb: Verb, given: Mapping[str, Any], inbox: Inbox) -> list[str]:
    """Return the words for a file of the inbox, which keeps the name that it came with."""
    words = []
    for number in given.get(verb.files, ()) if verb.files is not None else ():
        found = inbox.find(number)
        words += [str(found.path)] if "name" in given else [f"--name={found.name}", str(found.path)]
    return words

"""A starter campaign, written from the declarations: every field, its meaning and an example."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from loftwright.documents.campaign import CampaignFile
from loftwright.documents.edit import with_values
from loftwright.documents.examples import written_example
from loftwright.documents.fields import Declared, rules
from loftwright.documents.files import write_atomically
from loftwright.documents.reading import CAMPAIGN_FILE, MODELS
from loftwright.errors import Problem, ProblemError, Where

__all__ = [
    "EXAMPLES",
    "is_mostly_example",
    "make_folder",
    "new_campaign",
    "starter",
    "starters_of_electronics",
]

WIDTH = 44  # column at which the meaning of a field begins

# Optional fields that a starter shows in use; the others stand in it as comments.
IN_USE = frozenset(
    {
        "campaign.units",
        "campaign.payload",
        "vehicle.mass",
        "vehicle.mass.dry",
        "vehicle.mass.balance_from_nose",
        "vehicle.vessel",
        "vehicle.vessel.proof_gauge_pressure",
        "vehicle.nozzle.flow_coefficient",
        "vehicle.nozzle.velocity_coefficient",
        "vehicle.fins",
        "vehicle.canopy",
        "payload.carried.offset",
        "payload.glide",
        "payload.glide.wing_area",
        "payload.glide.glide_ratio",
        "payload.hold",
        "payload.release.climb",
        "payload.toss",
        "avionics.bay",
        "avionics.battery",
        "avionics.barometer",
        "avionics.barometer.noise",
        "avionics.barometer.resolution",
        "avionics.barometer.filter",
        "avionics.barometer.every",
        "avionics.accelerometer",
        "avionics.switch",
        "avionics.controller",
        "avionics.actuator",
        "avionics.indicator",
        "site.air.humidity",
        "site.wind.at_height",
        "site.launch.azimuth",
        "program.estimate.unsteadiness",
        "program.estimate.noise",
        "program.output",
        "program.stage",
        "program.stage.ground",
    }
)

_HEADS = {
    "campaign": "The campaign: what is asked, and which documents answer it.",
    "vehicle": "The rocket as it stands on the pad. Lengths run aft from the nose tip.",
    "payload": "What the vehicle carries and lets go.",
    "boosters": "One of the boosters beside the vehicle, and how they are attached.",
    "upper": "The upper stage, and how it sits on the vehicle.",
    "avionics": "What senses, decides and acts on board, and how it is wired together.",
    "site": "The field, its air, its wind, and how the pad is set.",
    "flight": "A flight: what was flown, what was recorded, what people saw and heard.",
    "readings": "How the columns of recorded files are read.",
    "program": "What a controller does with what it senses, stage by stage.",
}
SYSTEMS = ("metric", "us")
# What stands in `starters/` in metres, as somebody writes it who thinks in feet: within 2 %.
_IN_US = {
    'vent_diameter = "2 mm"': 'vent_diameter = "0.08 in"',
    'unsteadiness = "20 m/s^2"': 'unsteadiness = "65 ft/s^2"',
    'noise = "0.2 m"': 'noise = "8 in"',
    "height > 12 m": "height > 40 ft",
    "climb < 15 m/s": "climb < 50 ft/s",
    "climb < 2 m/s or drop > 2 m": "climb < 6.5 ft/s or drop > 6.5 ft",
}
STARTERS = ("campaign", "vehicle", "payload", "site")  # what a new campaign begins with
STAGES = ("boosters", "upper")  # vehicles themselves, so what a vehicle shows in use they do too
EXAMPLES = "The numbers are examples"  # by which a document that was begun is known
FEW = 4  # fields from which on it can be told whether they are examples
MOSTLY = 0.75  # of its fields
_NOTE = (
    f"# {EXAMPLES}: put what you measured in their place. A number may carry its\n"
    '# uncertainty, as one standard deviation: "1.30 L ± 0.02 L" (+/- works too).\n'
)
_CAUTION = (
    "# A pressurised bottle can burst and maim. Proof-test it filled with water, from afar, and\n"
    "# never fill it beyond what it was tested to. Follow the rules of the place where you fly.\n"
)


def new_campaign(
    folder: Path,
    name: str,
    *,
    electronics: bool = False,
    payload: bool = True,
    question: str | None = None,
    units: str | None = None,
) -> list[Path]:
    """Write a starter campaign called ``name`` into ``folder`` and return the files written.

    With ``electronics`` it has avionics with a release program, to be rehearsed, which lets the
    payload go; without ``payload`` it has neither. ``question`` takes the place of the example.
    ``units`` ("metric" or "us") are those of its answers, and of the examples: the vehicle is the
    same, to the digits that somebody writes. The folder is made where it does not exist. Nothing is
    overwritten: raises ``ProblemError`` when any of the files stands already, or cannot be written.
    """
    system = units or "metric"
    used = set(IN_USE) - (set() if payload else {"campaign.payload"})
    used |= {"campaign.avionics"} if electronics and payload else set()
    wanted = [each for each in STARTERS if payload or each != "payload"]
    texts = {
        f"{document}.toml": starter(document, name, frozenset(used), system) for document in wanted
    }
    head = {"question": _plain(question or ""), "units": units or ""}
    given = {word: value for word, value in head.items() if value}
    texts[CAMPAIGN_FILE] = with_values(texts[CAMPAIGN_FILE], given)
    if electronics and payload:
        texts |= starters_of_electronics(system)
    _refuse_taken(folder, texts)
    make_folder(folder)
    # campaign.toml comes last: a folder without it is not yet a campaign.
    for file in sorted(texts, key=lambda file: file == CAMPAIGN_FILE):
        write_atomically(folder / file, texts[file], overwrite=False)
    return [folder / file for file in texts]


def _refuse_taken(folder: Path, files: Iterable[str]) -> None:
    if taken := [folder / file for file in files if (folder / file).exists()]:
        raise ProblemError(
            Problem(
                "file-exists",
                "the file exists already",
                Where(file=str(path)),
                "choose another folder; nothing was written",
            )
            for path in taken
        )


def is_mostly_example(content: bytes, model: type) -> bool:
    """Tell whether most of what stands in a document is as a new campaign began with it.

    What does not read as TOML is no example: what is wrong with it is told elsewhere.
    """
    if EXAMPLES.encode() not in content:
        return False
    try:
        data = tomllib.loads(content.decode("utf-8-sig"))
    except ValueError:
        return False
    return any(_is_as_begun(data, model, system) for system in SYSTEMS)


def _is_as_begun(data: Mapping[str, Any], model: type, system: str) -> bool:
    begun = _avionics_begun(system) if model is MODELS["avionics"] else None
    told = list(_as_begun(data, model, begun, system))
    return len(told) >= FEW and sum(told) > MOSTLY * len(told)


def _avionics_begun(system: str) -> dict[str, Any]:
    """Return the avionics that a new campaign begins with: no declaration makes these."""
    return tomllib.loads(starters_of_electronics(system)["avionics.toml"])


def _as_begun(
    data: Mapping[str, Any], model: type, begun: Mapping[str, Any] | None, system: str
) -> Iterator[bool]:
    """Yield for each field in a table whether it is the example; a choice says nothing.

    The example is what stands in ``begun``; that of the declaration where ``begun`` is None.
    """
    for word, each in rules(model).items():
        value = data.get(word)
        if value is None or each.rule.kind in ("choice", "flag"):
            continue
        if each.rule.model is None:
            declared = tomllib.loads(written_example(word, each.rule, system))[word]
            yield value == (declared if begun is None else begun.get(word))
            continue
        examples = () if begun is None else _tables(begun.get(word, ()))
        for number, inside in enumerate(_tables(value)):
            example = dict(examples[number]) if number < len(examples) else {}
            yield from _as_begun(
                inside, each.rule.model, None if begun is None else example, system
            )


def _tables(value: Any) -> list[Mapping[str, Any]]:
    """Return a table, or those of a list."""
    every = value if isinstance(value, list) else [value]
    return [each for each in every if isinstance(each, Mapping)]


def make_folder(folder: Path) -> None:
    """Make ``folder``, and those around it. Raises ``ProblemError`` where that cannot be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        message = f"the folder cannot be made: {error.strerror or error}"
        where, mend = Where(file=str(folder)), "choose another place"
        raise ProblemError([Problem("file-not-written", message, where, mend)]) from error


def starters_of_electronics(system: str = "metric") -> dict[str, str]:
    """Return by file what no declaration makes: parts that fit together, and a whole program.

    ``system`` are the units that they are written in, "metric" or "us".
    """
    found = sorted(Path(__file__).with_name("starters").glob("*.toml"))
    texts = {each.name: each.read_text("utf-8") for each in found}
    return {name: _in_us(text) for name, text in texts.items()} if system == "us" else texts


def _in_us(text: str) -> str:
    """Return a starter with the values of `_IN_US`; comments beside them keep their column."""
    for metric, us in _IN_US.items():
        text = text.replace(f"{metric:<{len(us)}}  ", f"{us:<{len(metric)}}  ")
        text = text.replace(metric, us)
    return text


def starter(document: str, name: str, used: frozenset[str] = IN_USE, system: str = "metric") -> str:
    """Return the text of a starter ``document``: "campaign", or one of ``MODELS``.

    ``used`` are the optional fields that stand in it; the others are comments. ``system`` are the
    units of its examples, "metric" or "us".
    """
    model = CampaignFile if document == "campaign" else MODELS[document]
    head = f"# {_HEADS[document]}\n{_NOTE}" + (_CAUTION if document in ("vehicle", *STAGES) else "")
    lines = list(_Lines(used, system).of(model, document, "", in_use=True))
    if document == "campaign":
        lines[0] = _with_meaning(f"name = {_quoted(name)}", rules(model)["name"].rule.doc)
    return head + "\n" + "\n".join(lines).rstrip() + "\n"


def _quoted(text: str) -> str:
    escaped = _plain(text).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped or "New campaign"}"'


def _plain(text: str) -> str:
    return "".join(char if char.isprintable() else " " for char in text).strip()


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of a starter: which optional fields stand in it, and the units of its examples."""

    used: frozenset[str]
    system: str

    def of(self, model: type, path: str, header: str, *, in_use: bool) -> Iterator[str]:
        """Yield the lines of a table: its own fields first, then the tables below it."""
        declared = rules(model).items()
        for word, each in declared:
            if each.rule.model is None:
                shown = in_use and _is_used(each, f"{path}.{word}", self.used)
                line = written_example(word, each.rule, self.system)
                yield _with_meaning(line, each.rule.doc, in_use=shown)
        for word, each in declared:
            if each.rule.model is not None:
                shown = in_use and _is_used(each, f"{path}.{word}", self.used)
                yield from self._table(word, each, f"{path}.{word}", header, in_use=shown)

    def _table(
        self, word: str, each: Declared, path: str, header: str, *, in_use: bool
    ) -> Iterator[str]:
        name = f"{header}.{word}" if header else word
        opening = f"[[{name}]]" if each.rule.kind == "tables" else f"[{name}]"
        yield ""
        yield _with_meaning(opening, each.rule.doc, in_use=in_use)
        assert each.rule.model is not None
        yield from self.of(each.rule.model, path, name, in_use=in_use)


def _is_used(each: Declared, path: str, used: frozenset[str]) -> bool:
    root, _, below = path.partition(".")
    like = f"vehicle.{below}" if root in STAGES else path
    return like in used or (each.required and each.rule.kind != "tables")


def _with_meaning(line: str, meaning: str, *, in_use: bool = True) -> str:
    line = line if in_use else f"# {line}"
    return f"{line:<{WIDTH}}  # {meaning}"

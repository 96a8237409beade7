"""Reading a campaign folder, or one document, with every problem in one run."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any, TypeVar

from loftwright.documents.avionics import Avionics
from loftwright.documents.build import Partial, UnreadError, build, closest
from loftwright.documents.campaign import PAYLOADS, Campaign, CampaignFile
from loftwright.documents.finding import Finding, apply, listed, telling_in
from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.payload import Payload
from loftwright.documents.program import Program
from loftwright.documents.readings import Readings
from loftwright.documents.rules_avionics import (
    AVIONICS_RULES,
    outputs_are_there,
    works_what_is_there,
)
from loftwright.documents.rules_carried import AMONG_PAYLOADS, BESIDE_BOOSTERS, ON_CARRIER
from loftwright.documents.rules_flight import READING_RULES
from loftwright.documents.rules_flight import RULES as FLIGHT_RULES
from loftwright.documents.rules_payload import CAMPAIGN_RULES
from loftwright.documents.rules_payload import RULES as PAYLOAD_RULES
from loftwright.documents.rules_program import RULES as PROGRAM_RULES
from loftwright.documents.rules_site import RULES as SITE_RULES
from loftwright.documents.rules_stages import (
    BOOSTER_RULES,
    BOOSTERS_ON_VEHICLE,
    UPPER_ON_VEHICLE,
    UPPER_RULES,
)
from loftwright.documents.rules_vehicle import RULES as VEHICLE_RULES
from loftwright.documents.site import Site
from loftwright.documents.source import Source, load, read_content
from loftwright.documents.spans import Path as SpanPath
from loftwright.documents.stage import Boosters, Upper
from loftwright.documents.vehicle import Vehicle
from loftwright.errors import Problem, ProblemError, Where

__all__ = [
    "CAMPAIGN_FILE",
    "MODELS",
    "ROLES",
    "check_source",
    "findings",
    "programs_named",
    "read_campaign",
    "read_document",
    "read_text",
    "stays_inside",
]

CAMPAIGN_FILE = "campaign.toml"

Document = TypeVar("Document")
Rules = tuple[Callable[..., Iterator[Finding]], ...]

# The kinds of document: the model of each and the rules within it. campaign.toml names them, save
# for programs, which the avionics name, and for what is kept of flights.
MODELS: dict[str, type] = {
    "vehicle": Vehicle,
    "payload": Payload,
    "boosters": Boosters,
    "upper": Upper,
    "avionics": Avionics,
    "site": Site,
    "program": Program,
    "flight": FlightRecord,
    "readings": Readings,
}
_RULES: dict[type, Rules] = {
    CampaignFile: CAMPAIGN_RULES,
    Vehicle: VEHICLE_RULES,
    Payload: PAYLOAD_RULES,
    Boosters: (*VEHICLE_RULES, *BOOSTER_RULES),
    Upper: (*VEHICLE_RULES, *UPPER_RULES),
    Avionics: AVIONICS_RULES,
    Site: SITE_RULES,
    Program: PROGRAM_RULES,
    FlightRecord: FLIGHT_RULES,
    Readings: READING_RULES,
}
# The roles that a document can have in a campaign; several payloads are of one kind.
ROLES: dict[str, type] = {
    "vehicle": Vehicle,
    **dict.fromkeys(PAYLOADS, Payload),
    "boosters": Boosters,
    "upper": Upper,
    "avionics": Avionics,
    "site": Site,
}


def read_campaign(folder: Path) -> Campaign:
    """Read the campaign in ``folder`` (or whose ``campaign.toml`` this is), in SI.

    Warnings are handed on in ``Campaign.warnings``. Raises ``ProblemError`` with every problem
    of every document of the folder when at least one of them is an error.
    """
    if folder.name == CAMPAIGN_FILE and os.path.isfile(folder):
        folder = folder.parent
    return _Folder(folder).read()


def read_document(path: Path, model: type[Document]) -> Document:
    """Read one document as ``model``. Raises ``ProblemError`` with every problem in it."""
    return _read(load(path, path.name), model)


def read_text(text: str, name: str, model: type[Document]) -> Document:
    """Read the text of a document, shown as ``name``, as `read_document` reads a file."""
    source = Source(name)
    read_content(text.encode("utf-8"), source)
    return _read(source, model)


def _read(source: Source, model: type[Document]) -> Document:
    document = check_source(source, model)
    if source.broken:
        raise ProblemError(_in_order(source))
    assert isinstance(document, model)
    return document


def findings(campaign: Campaign) -> Iterator[tuple[str, Finding]]:
    """Yield what the rules between fields find in a campaign, each with its document's role.

    These are the rules of reading: what they refuse here, they refuse in a folder.
    """
    within = [(role, _RULES[ROLES[role]], (each,)) for role, each in campaign.documents.items()]
    for role, rules, documents in (*within, *_between(campaign.documents)):
        for rule in rules:
            with telling_in(campaign.head.units):
                found = list(rule(*documents))
            yield from ((role, each) for each in found)


def _between(documents: Mapping[str, Any]) -> Iterator[tuple[str, Rules, tuple[Any, ...]]]:
    """Yield rules between documents, as far as these were read.

    Each comes with the role in whose document its findings stand, and the documents it looks at.
    """
    vehicle, boosters = documents.get("vehicle"), documents.get("boosters")
    if vehicle is None:
        return
    for role, rules in (("boosters", BOOSTERS_ON_VEHICLE), ("upper", UPPER_ON_VEHICLE)):
        if documents.get(role) is not None:
            yield role, rules, (documents[role], vehicle)
    if documents.get("avionics") is not None:
        yield "avionics", (works_what_is_there,), (documents["avionics"], documents)
    given = {root: documents[root] for root in PAYLOADS if documents.get(root) is not None}
    for number, (root, payload) in enumerate(given.items()):
        carrier = documents.get(_carrier(payload))
        if carrier is None:
            continue
        yield root, ON_CARRIER, (payload, carrier)
        for other in list(given.items())[:number]:
            yield root, AMONG_PAYLOADS, (payload, carrier, dict([other]))
        if boosters is not None:
            yield root, BESIDE_BOOSTERS, (payload, boosters, carrier)


def _carrier(payload: Payload) -> str:
    """Return the role of what carries a payload, or "" where that could not be read."""
    try:
        return payload.on
    except UnreadError:
        return ""


def programs_named(folder: Path, avionics: str) -> list[str]:
    """Return the program files that the avionics in ``folder`` name, as far as they can be read."""
    data = load(folder / avionics, avionics).data or {}
    controllers = data.get("controller")
    if not isinstance(controllers, list):
        return []
    names = [each.get("program") for each in controllers if isinstance(each, dict)]
    return list(dict.fromkeys(name for name in names if isinstance(name, str)))


def check_source(source: Source, model: type) -> Any:
    """Note every problem of a document, and return what could be read of it (None: nothing)."""
    if source.data is None:
        return None
    document = build(model, source)
    apply(_RULES.get(model, ()), source, document)
    return document


def _in_order(source: Source) -> list[Problem]:
    return sorted(source.problems, key=lambda problem: problem.where.line or 0)


def _programs_of(avionics: Any) -> Iterator[tuple[SpanPath, str, str]]:
    """Yield where each controller names its program, the controller, and the program's file."""
    try:
        for path, controller in listed("controller", avionics.controller):
            yield (*path, "program"), controller.name, controller.program
    except UnreadError:
        return


def stays_inside(folder: Path, source: Source, place: SpanPath, name: str) -> bool:
    """Tell whether a file name stays inside a campaign's folder; report it if it does not."""
    posix, windows = PurePosixPath(name), PureWindowsPath(name)
    leaves = ".." in windows.parts or posix.is_absolute() or windows.anchor or "\\" in name
    inside = not leaves
    if inside:
        try:
            inside = (folder / name).resolve().is_relative_to(folder.resolve())
        except (OSError, ValueError, RuntimeError):
            inside = False
    if not inside:
        word = place[-1]
        message = "this file is not inside the campaign folder"
        mend = f'give a name inside it, with / between folders, e.g. {word} = "{word}.toml"'
        source.report("file-outside", place, message, mend)
    return inside


class _Folder:
    """One reading of one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.head = Source(CAMPAIGN_FILE)
        self.sources: dict[str, Source] = {}  # by role, in the order of campaign.toml
        self.documents: dict[str, Any] = {}
        self.programs: dict[str, Any] = {}  # by controller

    def read(self) -> Campaign:
        if not os.path.isdir(self.folder):
            message = "there is no such folder"
            mend = "give the folder that holds campaign.toml"
            where = Where(file=str(self.folder))
            raise ProblemError([Problem("file-no-folder", message, where, mend)])
        self.head = load(self.folder / CAMPAIGN_FILE, CAMPAIGN_FILE)
        if (self.head.data or {}).get("units") == "us":
            self.head.system = "us"
        head = check_source(self.head, CampaignFile)
        if head is None and not self.head.sha256:
            raise ProblemError(self._named_better())
        names = self._names(head)
        for role, name in names.items():
            self._document(role, name)
        self._programs()
        self._together()
        return self._result(head)

    def _named_better(self) -> list[Problem]:
        """Return the problems of a campaign.toml that cannot be had at all."""
        problems = _in_order(self.head)
        if [problem.code for problem in problems] == ["file-missing"]:
            message = f"there is no {CAMPAIGN_FILE} in {self.folder}"
            name = self.folder if self.folder.name.strip(".") else "NAME"  # "." has no name
            mend = f"give a campaign folder, or begin one: loftwright new {name}"
            return [Problem("file-missing", message, Where(file=CAMPAIGN_FILE), mend)]
        return problems

    def _names(self, head: Any) -> dict[str, str]:
        """Return the file name of each role, as far as it was read and may be used.

        Where campaign.toml does not tell, the usual name is tried: its problems count too.
        """
        names: dict[str, str] = {}
        for role in ROLES:
            try:
                name = getattr(Partial({}) if head is None else head, role)
            except UnreadError:
                name = f"{role}.toml" if os.path.isfile(self.folder / f"{role}.toml") else None
            if name is None or not stays_inside(self.folder, self.head, (role,), name):
                continue
            if name in names.values():
                other = next(one for one in names if names[one] == name)
                message = f"the {other} has this file already"
                mend = f"give the {role} a file of its own"
                self.head.report("file-twice", (role,), message, mend)
                continue
            names[role] = name
        return names

    def _document(self, role: str, name: str) -> None:
        source = load(self.folder / name, name, self.head.system)
        if not source.sha256:
            self._report_unread(self.head, (role,), name, source)
            return
        self.sources[role] = source
        self.documents[role] = check_source(source, ROLES[role])

    def _programs(self) -> None:
        """Read the programs that the controllers name; controllers may share one."""
        avionics, source = self.documents.get("avionics"), self.sources.get("avionics")
        if avionics is None or source is None:
            return
        read: dict[str, Any] = {}
        for place, controller, file in _programs_of(avionics):
            if file not in read and stays_inside(self.folder, source, place, file):
                read[file] = self._program(source, place, file)
            self.programs[controller] = read.get(file)

    def _program(self, avionics: Source, place: SpanPath, file: str) -> Any:
        if file in (CAMPAIGN_FILE, *(each.file for each in self.sources.values())):
            message, mend = "this is another document's file", "give the program one of its own"
            avionics.report("file-twice", place, message, mend)
            return None
        source = load(self.folder / file, file, self.head.system)
        if not source.sha256:
            self._report_unread(avionics, place, file, source)
            return None
        self.sources[f"program {file}"] = source
        return check_source(source, Program)

    def _report_unread(self, head: Source, place: SpanPath, name: str, source: Source) -> None:
        """Report a file that cannot be had at the place that names it."""
        for problem in source.problems:
            message, mend = problem.message, problem.mend
            if problem.code == "file-missing":
                present = sorted(each.name for each in self.folder.glob("*.toml"))
                near = closest(name, [each for each in present if each != CAMPAIGN_FILE])
                message = "there is no such file in the folder"
                mend = f'did you mean "{near}"?' if near else "write the file, or correct its name"
            head.report(problem.code, place, message, mend)

    def _together(self) -> None:
        """Hold the documents against each other."""
        if self.documents.get("vehicle") is None:
            return
        for role, rules, documents in _between(self.documents):
            apply(rules, self.sources[role], *documents)
        if self.documents.get("avionics") is not None:
            programs = {name: each for name, each in self.programs.items() if each is not None}
            avionics = self.documents["avionics"]
            apply((outputs_are_there,), self.sources["avionics"], avionics, programs)
        for root in PAYLOADS:
            payload = self.documents.get(root)
            if payload is not None and _carrier(payload) == "upper" and "upper" not in self.sources:
                message = "this campaign has no upper stage"
                mend = 'name its file in campaign.toml, upper = "upper.toml", or write on = '
                self.sources[root].report("payload-no-upper", ("on",), message, mend + '"vehicle"')

    def _result(self, head: Any) -> Campaign:
        sources = [self.head, *self.sources.values()]
        problems = [problem for source in sources for problem in _in_order(source)]
        if any(problem.severity == "error" for problem in problems):
            raise ProblemError(problems)
        return Campaign(
            folder=self.folder,
            head=head,
            vehicle=self.documents["vehicle"],
            payload=self.documents.get("payload"),
            payload2=self.documents.get("payload2"),
            payload3=self.documents.get("payload3"),
            boosters=self.documents.get("boosters"),
            upper=self.documents.get("upper"),
            avionics=self.documents.get("avionics"),
            site=self.documents["site"],
            programs=self.programs,
            hashes={source.file: source.sha256 for source in sources},
            warnings=tuple(problems),
        )

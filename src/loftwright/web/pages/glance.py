"""The campaign at a glance: whether it is ready, what to do next, what is open."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from loftwright.web.bench import bench_of
from loftwright.web.posting import Form, posted
from loftwright.web.rendering import render

if TYPE_CHECKING:
    from loftwright.documents.campaign import CampaignFile
    from loftwright.ledger.next_step import Step
    from loftwright.ledger.standing import Standing

__all__ = ["ROUTES", "step_path"]

RECENT = 4  # jobs that are shown


def _glance(request: Request) -> Response:
    bench = bench_of(request)
    if not bench.begun:
        return render(request, "begin.html.j2", jobs=bench.jobs.all()[:RECENT])
    from loftwright.ledger.standing import standing
    from loftwright.report.glance_words import glance_words

    found = bench.memory.recall("standing", lambda: standing(bench.home))
    told = glance_words(found)
    return render(
        request,
        "glance.html.j2",
        glance=told,
        standing=found,
        path=step_path(told.step, found.head, _programs(found)),
        button=BUTTONS[told.step.kind],
        drawing=bench.memory.recall("cutaway", lambda: _drawing(found)),
        figures=_figures(found),
        jobs=bench.jobs.all()[:RECENT],
        flights=[each.name for each in found.flights if each.has_flown or each.on_stand],
        command=["loftwright", "glance", str(bench.home)],
    )


BUTTONS = {
    "mend": "Mend it",
    "flight record": "See the flight",
    "ledger": "See to the ledger",
    "debrief": "Debrief it",
    "keep": "Keep it",
    "cause": "Look for the cause",
    "explain": "Write it down",
    "finding": "Settle it",
    "judge": "Say how it went",
    "describe": "Describe it",
    "forecast": "Forecast",
    "firing": "Fire it by the model",
    "rehearse": "Rehearse",
    "action": "Close it once it is done",
    "begin": "Begin the flight",
    "pad": "The list on the pad",
}


def step_path(step: Step, head: CampaignFile | None, programs: Collection[str] = ()) -> str:
    """Return the page on which a step is done; ``programs`` are the files of release programs."""
    if step.kind in ("mend", "describe"):
        file = "" if step.where is None else step.where.file or ""
        if file in programs:
            return f"/program/{quote(file.removesuffix('.toml'))}"
        return f"/describe/{role}" if (role := _role(step, head)) else "/describe"
    flight, entry = quote(step.flight or ""), step.entry or ""
    return {
        "flight record": f"/debrief/{flight}",
        "ledger": "/ledger/keep",
        "debrief": f"/debrief/{flight}",
        "keep": f"/debrief/{flight}",
        "cause": f"/debrief/{flight}",
        "explain": f"/ledger/add/finding?flight={flight}&explains={_function(step)}",
        "finding": f"/ledger/{entry}",
        "judge": f"/ledger/flights/{flight}#judge",
        "forecast": "/forecast",
        "firing": "/forecast",
        "rehearse": "/rehearse",
        "action": f"/ledger/{entry}",
        "begin": "/begin",
        "pad": "/pad",
    }[step.kind]


def _programs(found: Standing) -> set[str]:
    """Return the files of the release programs."""
    avionics = None if found.campaign is None else found.campaign.avionics
    return set() if avionics is None else {each.program for each in avionics.controller}


def _function(step: Step) -> str:
    """Return the function whose failure a step is about."""
    words = step.command
    return words[words.index("--explains") + 1] if "--explains" in words else ""


def _role(step: Step, head: CampaignFile | None) -> str:
    """Return the role of the document that is to be mended; empty where that is not known."""
    file = None if step.where is None else step.where.file
    if file is None:
        return ""
    name = Path(file).name
    if name == "campaign.toml":
        return "campaign"
    from loftwright.documents.reading import ROLES

    return next((role for role in ROLES if head and getattr(head, role) == name), "")


def _drawing(found: Standing) -> Markup:
    """Return a small cutaway; nothing where the documents are broken."""
    if found.campaign is None or found.checked is None:
        return Markup("")
    from loftwright.report.cutaway import Frame, draw_cutaway

    # What is drawn is escaped by the drawing itself.
    return Markup(draw_cutaway(found.campaign, found.checked.as_dict(), Frame(360, 430, 62, 12)))


SHOWN = ("apogee_m", "max_climb_m_s", "canopy_open_height_m", "touchdown_vehicle_time_s")
FIGURES = 4  # of the last flight that are shown


def _figures(found: Standing) -> list[tuple[str, str, str]]:
    """Return figures of the last flight that the ledger keeps: words, amount, how sure."""
    from loftwright.report.estimates import plus_minus
    from loftwright.report.words import figure

    last = found.last_flight
    if last is None:
        return []
    system = "metric" if found.head is None else found.head.units
    wanted = {name: place for place, name in enumerate(SHOWN)}
    own = sorted(last.figures, key=lambda each: wanted.get(each.name, len(wanted)))
    told = []
    for each in own[:FIGURES]:
        known = figure(each.name)
        said = plus_minus(each.value, each.sd or 0.0, known.kind, system)
        number, sign, spread = said.partition("\u00a0±\u00a0")
        unit = spread.partition("\u00a0")[2]
        told.append((known.words, f"{number} {unit}".strip(), f"± {spread}" if sign else ""))
    return told


def _begin(request: Request, form: Form) -> Response:
    """Begin the flight that the next step names: documents and forecast are kept beside."""
    from loftwright.ledger.next_step import next_step
    from loftwright.ledger.standing import standing

    bench = bench_of(request)

    def begun() -> str:
        step = next_step(standing(bench.home))
        if step.kind != "begin" or step.flight is None:
            return "/"
        words = ["record", step.flight]
        title = f"Begin flight {step.flight}"
        return f"/work/{bench.jobs.start(words, page='glance', title=title).id}"

    return RedirectResponse(bench.once.do(form.word("once") or "", begun), 303)


ROUTES = [
    Route("/", _glance),
    Route("/begin", posted(_begin), methods=["POST"]),
]

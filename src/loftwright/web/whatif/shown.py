"""What stands on the what-if of a page: its sliders, their values, the baseline.

It is all in the address, so that it survives a reload and can be kept as a bookmark.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING

from loftwright.documents.campaign import Campaign
from loftwright.units import QuantityError, from_si, read_quantity

if TYPE_CHECKING:
    from starlette.datastructures import QueryParams

    from loftwright.study.sliders import Slider
    from loftwright.web.bench import Bench

__all__ = [
    "PROGRAM",
    "Shown",
    "SliderView",
    "all_sliders",
    "number_of",
    "shown_of",
    "slider_view",
    "views",
    "words_of",
]

PROGRAM = "program."
MOST = 40  # sliders on one page
LONGEST = 120  # characters of a value


@dataclass(frozen=True, slots=True)
class Shown:
    """What the address of the page says."""

    paths: tuple[str, ...] = ()
    values: dict[str, str] = field(default_factory=dict)
    pinned: dict[str, str] = field(default_factory=dict)
    name: str = ""  # of the baseline; "" for the documents as they stand
    ranges: dict[str, tuple[float, float]] = field(default_factory=dict)
    programs: bool = False


@dataclass(frozen=True, slots=True)
class SliderView:
    """A slider as the page shows it; numbers are in its unit."""

    slider: Slider
    words: str
    text: str  # what stands in its box
    number: float  # where its thumb is
    low: float
    high: float

    @property
    def ends(self) -> tuple[str, str]:
        """The ends of its range, as they stand in their boxes."""
        return f"{self.low:.9g}", f"{self.high:.9g}"

    @property
    def id(self) -> str:
        """An id for its elements: letters, digits and dashes."""
        return "s-" + "".join(each if each.isalnum() else "-" for each in self.slider.path)


def shown_of(query: QueryParams) -> Shown:
    """Read the address.

    ``show=PATH``, ``set=PATH=VALUE``, ``pin=PATH=VALUE``, ``name=``, ``programs=1``, and
    ``range=PATH=FROM..TO`` in the slider's unit.
    """
    return Shown(
        tuple(dict.fromkeys(query.getlist("show")))[:MOST],
        _pairs(query.getlist("set")),
        _pairs(query.getlist("pin")),
        query.get("name", "")[:60],
        dict(_ranges(_pairs(query.getlist("range")))),
        query.get("programs") == "1",
    )


def _pairs(texts: Iterable[str]) -> dict[str, str]:
    parts = (text.partition("=") for text in texts)
    pairs = {path: value[:LONGEST] for path, sign, value in parts if sign}
    return dict(list(pairs.items())[:MOST])


def _ranges(texts: Mapping[str, str]) -> Iterable[tuple[str, tuple[float, float]]]:
    for path, text in texts.items():
        first, _, last = text.partition("..")
        try:
            low, high = float(first), float(last)
        except ValueError:
            continue  # a range that nobody can read is that of the slider
        if -1e12 < low < high < 1e12:
            yield path, (low, high)


# ---------------------------------------------------------------- sliders


def all_sliders(bench: Bench) -> dict[str, Slider]:
    """Return every number that can be slid: of the documents, then of the programs.

    Raises ``ProblemError`` where the documents cannot be read.
    """
    from loftwright.study.sliders import sliders

    campaign = bench.read_campaign()
    with _LOCK:
        if _LAST and _LAST[0][0] is campaign:
            return _LAST[0][1]
        found = sliders(campaign, bench.home) | _of_programs(campaign)
        _LAST[:] = [(campaign, found)]
        return found


_LOCK = Lock()
_LAST: list[tuple[Campaign, dict[str, Slider]]] = []  # as long as the documents stay what they are


def _of_programs(campaign: Campaign) -> dict[str, Slider]:
    if not campaign.programs:
        return {}
    from loftwright.rehearsal.knobs import knobs_of
    from loftwright.study.sliders import knob_slider

    system = campaign.head.units
    return {
        PROGRAM + knob.path: knob_slider(
            PROGRAM + knob.path, "Of the release program.", knob.dimension, knob.now, system
        )
        for knob in knobs_of(campaign.programs)
    }


def views(bench: Bench, shown: Shown, first: Iterable[str]) -> list[SliderView]:
    """Return the sliders of a page; ``first`` are those of a page that says nothing of any."""
    known = all_sliders(bench)
    paths = shown.paths or tuple(dict.fromkeys([*first, *shown.values]))
    return [slider_view(bench, known[path], shown) for path in paths if path in known]


def slider_view(bench: Bench, slider: Slider, shown: Shown) -> SliderView:
    """Return one slider with what the address says of it."""
    from loftwright.study.sliders import readable

    if not slider.path.startswith(PROGRAM):
        slider = readable(bench.read_campaign(), slider)
    text = shown.values.get(slider.path, slider.text)
    # What the document has behind ± stands beside the box.
    text = text.removesuffix(f" ± {slider.spread}") if slider.spread else text
    number = number_of(slider, text)
    low, high = shown.ranges.get(slider.path, (slider.low, slider.high))
    return SliderView(slider, words_of(slider.path), text, number, low, high)


def words_of(path: str) -> str:
    """Return what a number is called."""
    if path.startswith(PROGRAM):
        controller, *steps = path.removeprefix(PROGRAM).split(".")
        return f"program of {controller}: {', '.join(steps).replace('_', ' ')}"
    from loftwright.report.field_words import path_words

    return path_words(path)


def number_of(slider: Slider, text: str) -> float:
    """Return what a text says in the unit of its slider; the slider's own where it says nothing."""
    dimension = slider.dimension
    try:
        quantity, _ = read_quantity(text.strip(), dimension)
    except QuantityError:
        return slider.number
    return float(f"{from_si(quantity.value, dimension, slider.unit):.9g}")

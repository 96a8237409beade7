"""Will it hold: what each payload's hold is asked, how often it gives way, and what follows."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.flight.chance import chance_of
from loftwright.flight.figures import prefix_of
from loftwright.report.quantities import amount, digits
from loftwright.report.reading import Reading, often

__all__ = ["hold_sentences", "share_word"]


def share_word(happened: float) -> str:
    """Return one word for a share: yes, mostly or no."""
    return "Yes." if happened >= 1.0 else "Mostly." if happened >= 0.5 else "No."


def hold_sentences(read: Reading) -> Iterator[str]:
    """Yield a sentence for each payload, and one for what a torn-off payload leaves behind."""
    for root in read.campaign.payloads:
        said = _held(read, root)
        if said:
            yield said
    yield from _flies_on(read)


def _held(read: Reading, root: str) -> str:
    torn, prefix, name = read.torn(root), prefix_of(root), read.name(root)
    load, when = f"{prefix}hold_load_n", f"{prefix}hold_load_time_s"
    if read.best(load) is None:
        return ""
    asked = f"{read.shown(load, 'force')}{read.wide(load, 'force')}"
    if torn is None:
        return (
            f"Nobody has said what the hold of {name} bears: it is asked up to {asked}, "
            f"{read.shown(when, 'time')} after liftoff."
        )
    word = share_word(1.0 - float(torn.mean()))
    if read.tears(root):
        times = f" {often(chance_of(torn))}" if read.ensemble else ""
        time = read.middle(f"{prefix}release_time_s", "time", torn)
        height = read.middle(f"{prefix}release_height_m", "height", torn)
        return (
            f"{word} {name} tears off{times}, {time} after liftoff and {height} up: its hold "
            f"gives way at {asked}."
        )
    room = _room(read, root)
    if read.ensemble is None:
        return f"{word} The hold of {name} is asked up to {asked}{room}."
    return (
        f"{word} The hold of {name} gives way {often(chance_of(torn))}; it is asked up to {asked}"
        f"{room}."
    )


def _room(read: Reading, root: str) -> str:
    """By how much all loads could grow at the moment that is nearest to too much."""
    prefix = prefix_of(root)
    key, when = f"{prefix}hold_margin", f"{prefix}hold_use_time_s"
    margin, low = read.best(key), read.statistic(key, "p05")
    if margin is None:
        return ""
    moment = f"at its worst moment, {read.shown(when, 'time')} after liftoff"
    if low is not None and low > 0.0:
        times = digits(1.0 + low, 2, "down")
        return f", and {moment}, would bear {times} times that load in 19 of 20 flights"
    mostly = " in half of all flights" if read.ensemble else ""
    return f", and {moment}, would bear {digits(1.0 + margin, 2, 'down')} times that load{mostly}"


def _flies_on(read: Reading) -> Iterator[str]:
    """Say what the vehicle does without what tore off, beside what it does with it."""
    carried = [root for root, each in read.campaign.payloads.items() if each.on == "vehicle"]
    torn = [root for root in carried if read.tears(root)]
    known = read.flight.carrying
    if len(carried) != 1 or not torn or read.best("apogee_m") is None:
        return
    held = known.apogee_held_m if known else None
    lone = f"{read.name('vehicle')} flies on without it to {read.shown('apogee_m', 'height')}"
    yield (
        f"{lone}; with it on, it would reach {amount(held, 'height', read.system, 2)}."
        if held
        else f"{lone}."
    )

"""Does it let go cleanly: release, way past the fins, and the parting of stages."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.chance import Chance, chance_of
from loftwright.flight.figures import prefix_of
from loftwright.report.hold_words import share_word
from loftwright.report.quantities import amount, digits, span
from loftwright.report.reading import Reading, in_hundred, often

__all__ = ["HoldsTable", "holds_table", "release_sentences", "stage_sentences"]


@dataclass(frozen=True, slots=True)
class HoldsTable:
    """Payloads by name, and rows of words with a cell for each."""

    names: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def release_sentences(read: Reading) -> Iterator[str]:
    """Yield a sentence for each payload."""
    for root, payload in read.campaign.payloads.items():
        if payload.release.when == "never" and not read.tears(root):
            yield f"{payload.name} is not let go, as written."
        elif read.column(f"{prefix_of(root)}release_time_s").size:
            yield _let_go(read, root)


def _let_go(read: Reading, root: str) -> str:
    prefix, name, free = prefix_of(root), read.name(root), read.let_go(root)
    share = float(free.mean()) if free.size else 0.0
    met = read.recontact(root)
    # Clean is only what is let go and comes away without touching.
    word = share_word(min(share, 1.0 - met.share) if met is not None else share)
    past = _past(read, root)
    if share < 0.5:
        if read.ensemble is None and read.tears(root):
            return f"No. {name} has torn off before{past}."
        times = f" {often(chance_of(free))}" if read.ensemble else ""
        return f"No. {name} is let go as meant{times or ' not at all'}{past}."
    times = f" {often(chance_of(free))}" if read.ensemble else ""
    climb = f"{prefix}release_climb_m_s"
    return (
        f"{word} {name} is let go{times}, "
        f"{read.middle(f'{prefix}release_height_m', 'height', free)} up and climbing at "
        f"{read.middle(climb, 'speed', free, 3)}{_wide(read, climb, free)}{past}."
    )


def _wide(read: Reading, key: str, which: NDArray[np.bool_]) -> str:
    spread = read.spread(key, "speed", which)
    return f" ({spread})" if " to " in spread else ""


def _past(read: Reading, root: str) -> str:
    """How it gets past what carried it."""
    met, key = read.recontact(root), f"{prefix_of(root)}fin_clearance_m"
    if met is None:
        return ""
    carrier = read.name(read.campaign.payloads[root].on)
    least = read.statistic(key, "p05")
    near = least if least is not None else read.best(key)
    past = ""
    if near is not None and near > 0.0:
        mostly = " or more in 19 of 20 flights" if least is not None else ""
        past = f", and passes the fins at {amount(near, 'small_length', read.system, 2)}{mostly}"
    if read.ensemble is None:
        return f"; it {'touches' if met.count else 'touches nothing of'} {carrier}{past}"
    return f"; it touches {carrier} on its way {often(met)}{past}"


# ---------------------------------------------------------------- stages


def stage_sentences(read: Reading) -> Iterator[str]:
    """Yield when boosters and upper stage part, and what the upper stage does then."""
    boosters = read.campaign.boosters
    if boosters is not None:
        count = boosters.attach.count
        both = "Both" if count == 2 else f"All {count}"
        said = _part(read, "boosters", f"{both} {boosters.name}")
        yield said or f"{both} {boosters.name} stay on."
    if read.campaign.upper is not None:
        name = read.name("upper")
        said = _part(read, "upper", name)
        yield f"{said}{_fires(read)}" if said else f"{name} stays on."


def _part(read: Reading, root: str, name: str) -> str:
    time = f"{root}_release_time_s"
    left = np.isfinite(read.column(time))
    if not left.any():
        return ""
    times = f" {often(chance_of(left))}" if read.ensemble else ""
    speed = f"{root}_release_speed_m_s"
    verb = "parts" if root == "upper" else "part"
    return (
        f"{name} {verb}{times}, {read.shown(time, 'time')} after liftoff, "
        f"{read.shown(f'{root}_release_height_m', 'height')} up and at "
        f"{read.shown(speed, 'speed')}{read.wide(speed, 'speed')}."
    )


def _fires(read: Reading) -> str:
    fired = np.isfinite(read.column("upper_start_s"))
    if not fired.any():
        return " It does not fire."
    times = f" {often(chance_of(fired))}" if read.ensemble else ""
    return (
        f" It fires{times}, {read.shown('upper_start_s', 'time')} after liftoff, and reaches "
        f"{read.shown('upper_apogee_m', 'height')}{read.wide('upper_apogee_m', 'height')}."
    )


# ---------------------------------------------------------------- table


def holds_table(read: Reading) -> HoldsTable | None:
    """Return what holds and partings come to, a column for each payload."""
    roots = [
        root
        for root in read.campaign.payloads
        if read.best(f"{prefix_of(root)}hold_load_n") is not None
    ]
    if not roots:
        return None
    each = ", flights in 100" if read.ensemble else ""
    rows = [
        ("greatest load on the hold", [_spread(read, r, "hold_load_n", "force") for r in roots]),
        ("that is, after liftoff", [_spread(read, r, "hold_load_time_s", "time") for r in roots]),
        ("loads could be larger, times", [_margin(read, r) for r in roots]),
        (f"gives way{each}", [_torn(read, r) for r in roots]),
        (f"let go as meant{each}", [_free(read, r) for r in roots]),
        *_leaving(read, roots, "torn off", read.torn),
        *_leaving(read, roots, "let go", read.let_go),
        ("passes the fins at", [_spread(read, r, "fin_clearance_m", "small_length")
                                for r in roots]),
        ("nearest to the body", [_spread(read, r, "body_clearance_m", "small_length")
                                 for r in roots]),
        (f"touches its carrier again{each}", [_met(read, r) for r in roots]),
    ]  # fmt: skip
    told = [(words, tuple(cells)) for words, cells in rows if any(cell != "–" for cell in cells)]
    return HoldsTable(tuple(read.name(root) for root in roots), tuple(told))


def _leaving(
    read: Reading,
    roots: list[str],
    words: str,
    which: Callable[[str], NDArray[np.bool_] | None],
) -> Iterator[tuple[str, list[str]]]:
    """Yield when, how high and at what climb payloads leave in one of the two ways."""
    for row, key, kind in (
        (f"{words}, after liftoff", "release_time_s", "time"),
        (f"{words}, at a height of", "release_height_m", "height"),
        (f"{words}, climbing at", "release_climb_m_s", "speed"),
    ):
        yield row, [read.spread(f"{prefix_of(r)}{key}", kind, which(r)) for r in roots]


def _spread(read: Reading, root: str, key: str, kind: str) -> str:
    name = f"{prefix_of(root)}{key}"
    low, high = read.statistic(name, "p05"), read.statistic(name, "p95")
    if low is None or high is None:
        return amount(read.best(name), kind, read.system, 2)
    return span(low, high, kind, read.system)


def _margin(read: Reading, root: str) -> str:
    key = f"{prefix_of(root)}hold_margin"
    low, high = read.statistic(key, "p05"), read.statistic(key, "p95")
    if low is None or high is None:
        margin = read.best(key)
        return "not known" if margin is None else digits(1.0 + margin, 2, "down")
    first, last = (digits(1.0 + each, 2, "down") for each in (low, high))
    return first if first == last else f"{first} to {last}"


def _torn(read: Reading, root: str) -> str:
    torn = read.torn(root)
    if torn is None:
        return "not known"
    return _chance(read, chance_of(torn))


def _free(read: Reading, root: str) -> str:
    free = read.let_go(root)
    if not free.size:
        return "–"
    return _chance(read, chance_of(free))


def _met(read: Reading, root: str) -> str:
    met = read.recontact(root)
    if met is None:
        return "–"
    return _chance(read, met)


def _chance(read: Reading, chance: Chance) -> str:
    if read.ensemble is None:
        return "yes" if chance.count else "no"
    return " ".join(in_hundred(chance))

"""What a flight's own evidence says of each subject, in words."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from loftwright.debrief.causes.evidence import APART
from loftwright.debrief.causes.features import ACROSS
from loftwright.debrief.causes.subjects import Speech, Subject

__all__ = ["words_of"]

Values = Mapping[str, float]

WAY_DOWN = 2.5  # s after the top from which on there is a way down to speak of
NO_LOAD = 0.02  # V that are no load to speak of


def words_of(subject: Subject, values: Values, speech: Speech) -> tuple[str, float | None]:
    """Say what the flight shows of a subject, and when.

    ``values`` are the flight's features by full name.
    """
    own = {name.partition(APART)[2]: values[name] for name in subject.features}
    if subject.key in ("watch", "place", "two records"):
        return _OTHER[subject.key](subject, own, values, speech), None
    if "stage" in subject.key and subject.key != "last stage":
        return _staged(subject, own, speech)
    mine = replace(speech, own=speech.stages.get(subject.of, ()))
    said, when = _OWN[subject.key](own, mine)
    sentence = said.replace("{record}", speech.record(subject.of))
    if when is not None and not math.isfinite(when):
        when = None
    return sentence, when


Said = tuple[str, float | None]


def _is(value: float | None) -> bool:
    return value is not None and math.isfinite(value)


def _liftoff(own: Values, _: Speech) -> Said:
    words = ("nothing", "the pressure", "the push alone", "the stages alone")
    shown = words[int(own["liftoff shown by"])]
    return f"Liftoff shows in {shown}.", None


def _end(own: Values, speech: Speech) -> Said:
    end, height, climb = (own[n] for n in ("record ends", "height at its end", "climb at its end"))
    if not _is(end):
        return "Where {record} ends is not known, for it shows no liftoff.", None
    if not _is(height):
        return f"{{record}} ends {speech.when(end)}.", end
    up = speech.show(height, "length")
    if _is(climb) and abs(climb) > 2.0:
        way = "climbing" if climb > 0 else "sinking"
        speed = speech.show(abs(climb), "speed")
        return f"{{record}} ends {speech.when(end)}, at {up}, {way} at {speed}.", end
    return f"{{record}} goes on until rest at {up}, {speech.when(end)}.", end


def _hole(own: Values, speech: Speech) -> Said:
    if own["hole"] <= 0.0:
        return "{record} has no hole.", None
    begin = own["hole from"]
    where = f" from {speech.when(begin)}" if _is(begin) else ""
    return f"{{record}} has a hole of {own['hole']:.2f} s{where}.", begin


def _still(what: str) -> Callable[[Values, Speech], Said]:
    def words(own: Values, speech: Speech) -> Said:
        length, begin = own[f"still {what}"], own[f"still {what} from"]
        if length < 0.3:
            return f"The {what} never stands still.", None
        where = f" from {speech.when(begin)}" if _is(begin) else ""
        return f"The {what} stands still for {length:.1f} s or longer{where}.", begin

    return words


def _silent(own: Values, speech: Speech) -> Said:
    begin, share = own["silent from"], own["silent share"]
    if _is(begin):
        return f"The barometer gives nothing from {speech.when(begin)}.", begin
    if _is(share) and share > 0.005:
        return f"The barometer gives nothing in {100 * share:.0f} % of the rows.", None
    return "The barometer gives a value in every row.", None


def _absurd(own: Values, speech: Speech) -> Said:
    begin, side, share = own["absurd from"], own["absurd side"], own["absurd share"]
    if not _is(share) or share <= 0.0:
        return "The pressure stays within what a flight can show.", None
    way = "high" if _is(side) and side > 0.0 else "low"
    where = f" from {speech.when(begin)}" if _is(begin) else ""
    return f"The pressure is absurdly {way}{where}.", begin


def _repeats(own: Values, _: Speech) -> Said:
    share = own["same in motion"]
    if not _is(share):
        return "Whether readings repeat in motion cannot be seen.", None
    return f"In motion {100 * share:.0f} % of the readings repeat the one before.", None


def _noise(own: Values, speech: Speech) -> Said:
    pad, burst, at = own["pad noise"], own["burst"], own["burst at"]
    if _is(burst):
        return (
            f"Readings jump by {burst:.1f} Pa at the most, {speech.when(at)}"
            + (f"; by {pad:.1f} Pa on the pad." if _is(pad) else "."),
            at,
        )
    return "How noisy the pressure is cannot be seen.", None


def _pad(own: Values, speech: Speech) -> Said:
    wander, at = own["pad wander"], own["pad wander at"]
    if not _is(wander):
        return "The pad before liftoff is not on record.", None
    return f"On the pad the pressure strays by {wander:.0f} Pa, {speech.when(at)}.", at


def _boost(own: Values, _: Speech) -> Said:
    excess, at = own["boost excess"], own["boost excess at"]
    if not _is(excess):
        return "The first second of the flight shows no pressure.", None
    return f"Just after liftoff the pressure is at most {excess:+.0f} Pa over the pad's.", at


def _rest(own: Values, speech: Speech) -> Said:
    value = own["rest pressure"]
    if not _is(value):
        return "The pressure at rest is not on record.", None
    return f"The pressure at rest is {speech.show(value, 'absolute_pressure')}.", None


def _top(own: Values, speech: Speech) -> Said:
    height, at = own["apogee"], own["apogee time"]
    if not _is(height) or not _is(at):
        return "{record} shows no top.", None
    return f"The top is {speech.show(height, 'length')}, {speech.when(at)}.", at


def _sink(own: Values, speech: Speech) -> Said:
    last, long = own["last sink"], own["time from the top"]
    if not _is(long) or long < WAY_DOWN:
        return "{record} shows no way down.", None
    after = f"{long:.1f} s from the top to the end"
    if not _is(last):
        return f"It is {after} of the record.", None
    return f"It comes down at {speech.show(last, 'speed')} at last, {after}.", None


def _climb(own: Values, speech: Speech) -> Said:
    fastest, at = own["fastest climb"], own["fastest climb at"]
    if not _is(fastest):
        return "{record} shows no climb.", None
    speed = speech.show(fastest, "speed")
    return f"Over {ACROSS:g} s it climbs at {speed} at the most, {speech.when(at)}.", at


def _push_pad(own: Values, speech: Speech) -> Said:
    noise = own["push noise on the pad"]
    if not _is(noise):
        return "The push on the pad is not on record.", None
    jumps = speech.show(noise, "acceleration")
    return f"On the pad the push jumps by {jumps} from row to row.", None


def _knock(own: Values, speech: Speech) -> Said:
    most, at = own["knock"], own["knock at"]
    if not _is(most):
        return "The pad before liftoff is not on record.", None
    if most < 20.0:
        return "Nothing knocks the vehicle on the pad.", None
    return f"A knock of {most / 9.80665:.1f} g stands {speech.when(at)}.", at


def _push_silent(own: Values, speech: Speech) -> Said:
    begin = own["push silent from"]
    if _is(begin):
        return f"The accelerometer gives nothing from {speech.when(begin)}.", begin
    return "The accelerometer gives values throughout.", None


def _push_noise(own: Values, speech: Speech) -> Said:
    noise = own["push noise in flight"]
    if not _is(noise):
        return "The push in flight is not on record.", None
    jumps = speech.show(noise, "acceleration")
    return f"In flight the push jumps by {jumps} from row to row.", None


def _canopy_push(own: Values, speech: Speech) -> Said:
    hangs = own["hangs from"]
    if not _is(hangs):
        return "The push never shows that it hangs under a canopy.", None
    return f"The push shows that something holds it up from {speech.when(hangs)}.", hangs


def _boost_push(own: Values, speech: Speech) -> Said:
    most, ends = own["most push"], own["push ends"]
    if not _is(most):
        return "The push of the liftoff is not on record.", None
    until = f", and it ends {speech.when(ends)}" if _is(ends) else ""
    return f"The greatest push is {most / 9.80665:.0f} g{until}.", own["most push at"]


def _anew(own: Values, speech: Speech) -> Said:
    begin = own["begins anew"]
    if not _is(begin):
        return "The program never begins anew.", None
    return f"The program begins anew {speech.when(begin)}.", begin


def _last_stage(own: Values, speech: Speech) -> Said:
    last = own["last stage"]
    if own["foreign stages"] > 0.0:
        return "{record} has the stages of another controller's program.", None
    if not _is(last) or last < 0.0:
        return "{record} shows no stage.", None
    names = speech.own
    stage = f'"{names[int(last)]}"' if int(last) < len(names) else f"number {int(last)}"
    return f"The last stage on record is {stage}.", None


def _supply(own: Values, _: Speech) -> Said:
    load, rest, at = own["supply load"], own["supply on the pad"], own["supply load at"]
    if not _is(rest):
        return "The supply is not on record.", None
    if not _is(load) or load < NO_LOAD:
        return f"The supply stands at {rest:.2f} V on the pad and never gives way.", None
    return f"The supply falls from {rest:.2f} V by {load:.2f} V at the most.", at


_OWN: dict[str, Callable[[Values, Speech], Said]] = {
    "liftoff": _liftoff, "end": _end, "hole": _hole,
    "still pressure": _still("pressure"), "still push": _still("push"),
    "silent": _silent, "absurd": _absurd, "repeats": _repeats, "noise": _noise, "pad": _pad,
    "boost": _boost, "rest": _rest, "top": _top, "sink": _sink, "climb": _climb,
    "push on the pad": _push_pad, "knock": _knock, "push silent": _push_silent,
    "push noise": _push_noise, "canopy push": _canopy_push, "boost push": _boost_push,
    "begins anew": _anew, "last stage": _last_stage, "supply": _supply,
}  # fmt: skip


def _staged(subject: Subject, own: Values, speech: Speech) -> Said:
    number = int(subject.key.split()[-1])
    names = speech.stages.get(subject.of, ())
    stage = f'"{names[number]}"' if number < len(names) else f"stage {number}"
    if subject.key.startswith("load"):
        load, long = own[f"load at stage {number}"], own[f"loaded from stage {number}"]
        if not _is(load):
            return f"The program never enters {stage}.", None
        return f"At {stage} the supply gives way by {load:.2f} V, for {long:.2f} s.", None
    if subject.key.startswith("after"):
        climb, hangs = own[f"climb after stage {number}"], own.get(f"hangs after stage {number}")
        if hangs is not None and _is(hangs):
            return f"Something holds it up {hangs:.2f} s after {stage}.", None
        if hangs is not None:
            return f"Nothing holds it up after {stage}.", None
        speed = speech.show(climb, "speed") if _is(climb) else "not on record"
        return f"1.2 s after {stage} the climb is {speed}.", None
    at, height = own[f"stage {number} from"], own[f"height at stage {number}"]
    if not _is(at):
        return f"The program never enters {stage}.", None
    up = f", at {speech.show(height, 'length')}" if _is(height) else ""
    return f"The program enters {stage} {speech.when(at)}{up}.", at


def _watch(subject: Subject, _own: Values, values: Values, _: Speech) -> str:
    what = subject.features[0].partition(APART)[2] or subject.of
    return f"A watch shows {values[subject.features[0]]:.1f} s for {what}."


def _place(subject: Subject, own: Values, __: Values, speech: Speech) -> str:
    east, north = own["east"], own["north"]
    away = math.hypot(east, north) if _is(north) else east
    return f"The {subject.of} {speech.show(away, 'length')} from the pad."


def _two(subject: Subject, own: Values, __: Values, speech: Speech) -> str:
    one, _, other = subject.of.partition(" less ")
    less = own["apogee"]
    if not _is(less):
        return f"The records of {one} and {other} do not both show the top."
    return f"The tops of {one} and {other} differ by {speech.show(abs(less), 'length')}."


_OTHER: dict[str, Callable[[Subject, Values, Values, Speech], str]] = {
    "watch": _watch,
    "place": _place,
    "two records": _two,
}

"""No input crashes the reader or hangs it: it reads, or every problem has a place and a mend."""

from __future__ import annotations

import random
import time
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from documents.bad_documents import WHOLE
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from loftwright.documents.build import build
from loftwright.documents.campaign import CampaignFile
from loftwright.documents.fields import rules
from loftwright.documents.reading import MODELS, check_source, read_campaign
from loftwright.documents.source import LARGEST, Source, read_content
from loftwright.errors import ProblemError, as_dict, as_line, as_text
from loftwright.errors.catalogue import find

EVERY_MODEL = {"campaign": CampaignFile} | MODELS
STAGED, WIRED = WHOLE.with_name("staged"), WHOLE.with_name("wired")
HOMES = {"boosters": STAGED, "upper": STAGED, "avionics": WIRED}
PROGRAM = WHOLE.parents[1] / "program" / "whole" / "program-main.toml"
TEXTS = {
    name: (HOMES.get(name, WHOLE) / f"{name}.toml").read_text(encoding="utf-8")
    for name in EVERY_MODEL
    if name != "program"
} | {"program": PROGRAM.read_text(encoding="utf-8")}
models = st.sampled_from(sorted(EVERY_MODEL))


def holds(content: bytes, name: str) -> Source:
    """Read ``content`` as the document called ``name``; whatever comes is sound."""
    source = Source(f"{name}.toml")
    read_content(content, source)
    document = check_source(source, EVERY_MODEL[name])
    assert source.broken or isinstance(document, EVERY_MODEL[name])
    for problem in source.problems:
        assert find(problem.code) is not None
        assert problem.mend
        assert all(line.isprintable() for line in as_text(problem).split("\n"))
        assert as_line(problem).isprintable()
        assert as_dict(problem)["where"]["file"] == f"{name}.toml"
    return source


@given(st.binary(max_size=400), models)
def test_any_bytes(content: bytes, name: str) -> None:
    holds(content, name)


@given(st.text(max_size=300), models)
def test_any_text(text: str, name: str) -> None:
    holds(text.encode("utf-8", "surrogatepass"), name)


@given(st.text("[]{}=\"'.,#\n\t \\ab1-_:", max_size=300), models)
def test_texts_that_look_like_toml(text: str, name: str) -> None:
    holds(text.encode(), name)


def words_of(model: type) -> list[str]:
    found: list[str] = []
    for word, each in rules(model).items():
        found += [word, *(words_of(each.rule.model) if each.rule.model else [])]
    return found


WORDS = sorted({word for model in EVERY_MODEL.values() for word in words_of(model)})
words = st.sampled_from(WORDS) | st.text(max_size=4)
scalars = (
    st.integers(-(2**70), 2**70)
    | st.booleans()
    | st.floats()
    | st.sampled_from(["5 m", "60 psi ± 3 %", "1,5 L", "-1 g", "0.5", "site.toml", "glider", ""])
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=6)
    | st.datetimes()
    | st.times()
)
trees: st.SearchStrategy[Any] = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(words, inner, max_size=4),
    max_leaves=15,
)


@given(st.dictionaries(words, trees, max_size=8), models)
def test_any_tree(data: dict[str, Any], name: str) -> None:
    holds(tomlkit.dumps(data).encode(), name)


@st.composite
def shaped(draw: st.DrawFn, model: type) -> dict[str, Any]:
    """Draw a tree in the shape of a document, with anything in its fields."""
    data: dict[str, Any] = {}
    for word, each in rules(model).items():
        if draw(st.integers(0, 9)) == 0:
            continue
        if each.rule.model is None:
            good = int(each.rule.example) if each.rule.kind == "whole" else each.rule.example
            data[word] = draw(st.just(good) | st.just(good) | scalars)
        elif each.rule.kind == "table":
            data[word] = draw(shaped(each.rule.model))
        else:
            data[word] = draw(st.lists(shaped(each.rule.model), max_size=2))
    return data


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.data(), models)
def test_any_document_with_good_and_bad_fields(data: st.DataObject, name: str) -> None:
    tree = data.draw(shaped(EVERY_MODEL[name]))
    holds(tomlkit.dumps(tree).encode(), name)


@given(models, st.randoms(use_true_random=False), st.integers(1, 6))
def test_mutated_documents(name: str, chance: random.Random, times: int) -> None:
    content = bytearray(TEXTS[name].encode())
    for _ in range(times):
        start = chance.randrange(len(content) + 1)
        end = min(len(content), start + chance.choice([0, 1, 1, 3, 20]))
        content[start:end] = chance.choice(
            [b"", b'"', b"\n", b"[", b"]", b"=", b"'", b"#", b".", b"9", b"\xb1", b"\x00", b'"""',
             bytes([chance.randrange(256)]), content[: chance.randrange(60)]]
        )  # fmt: skip
    holds(bytes(content), name)


def test_every_line_left_out_or_doubled() -> None:
    for name, text in TEXTS.items():
        lines = text.split("\n")
        for at in range(len(lines)):
            holds("\n".join(lines[:at] + lines[at + 1 :]).encode(), name)
            holds("\n".join([*lines[:at], lines[at], *lines[at:]]).encode(), name)


def test_every_cut_of_a_document() -> None:
    text = TEXTS["payload"]
    for at in range(len(text)):
        holds(text[:at].encode(), "payload")


HUGE = {
    "nothing but brackets": "[" * LARGEST,
    "a deep list": "a=" + "[" * 1990,
    "many deep lists": "\n".join(f"a{n}=" + "[" * 40 + "]" * 40 for n in range(650)),
    "deep tables": "a=" + "{a=" * 660,
    "a long key": "a" + ".a" * 990 + "=1",
    "many long keys": "\n".join(f"a{n}" + ".a" * 990 + "=1" for n in range(32)),
    "many tables": "\n".join(f"[a.b{n}]" for n in range(6_000)),
    "many elements": "[[vessel]]\n" * 5_000,
    "many slips": "x = 5 m\n" * 8_000,
    "many repeats": "x = 1\n" * 10_000,
    "a long number": "a = " + "9" * 1990,
    "a long text": "\n".join(['a = """', *["x" * 1900] * 30, '"""']),
    "many quotes": '"' * 1999,
    "escapes": 'a = "' + "\\" * 1990 + '"',
    "many unknown fields": "\n".join(f"wall{n} = 1" for n in range(5000)),
}


@pytest.mark.parametrize("name", list(HUGE))
def test_huge_documents_end_soon(name: str) -> None:
    start = time.process_time()
    holds(HUGE[name].encode()[:LARGEST], "vehicle")
    assert time.process_time() - start < 10.0  # generous: a hang is what this catches


def test_a_campaign_of_noise_is_only_problems(tmp_path: Path) -> None:
    chance = random.Random(4)
    for name in EVERY_MODEL:
        (tmp_path / f"{name}.toml").write_bytes(chance.randbytes(2000))
    with pytest.raises(ProblemError):
        read_campaign(tmp_path)


def test_building_never_needs_data() -> None:
    for model in EVERY_MODEL.values():
        source = Source("empty.toml")
        build(model, source)
        needed = [each for each in rules(model).values() if each.required]
        assert source.broken == bool(needed)

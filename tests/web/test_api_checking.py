"""JSON held to schemas as an independent validator (jsonschema) holds it."""

from __future__ import annotations

import json
import math

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.errors import ProblemError
from loftwright.web.api.checking import read_object, slips
from loftwright.web.api.verbs import VERBS, schema_of

LEAF = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-3, 2**60),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["all", "log", "known", "tab", "\x00", "a\n", "-x", "--csv=/etc/x", "0" * 16]),
    st.text(max_size=5),
)
VALUE = st.one_of(LEAF, st.lists(LEAF, max_size=3), st.dictionaries(st.text(max_size=3), LEAF))


@given(verb=st.sampled_from(sorted(VERBS)), data=st.data())
def test_it_takes_and_refuses_what_jsonschema_does(verb, data):
    schema = schema_of(VERBS[verb])
    keys = st.sampled_from([*schema["properties"], "csv", "report", "cluster"])
    value = data.draw(st.one_of(st.dictionaries(keys, VALUE, max_size=4), VALUE))
    is_right = jsonschema.Draft202012Validator(schema).is_valid(value)
    assert (list(slips(value, schema)) == []) == is_right


@pytest.mark.parametrize("verb", sorted(VERBS))
def test_every_schema_is_one_and_opens_no_path(verb):
    schema = schema_of(VERBS[verb])
    jsonschema.Draft202012Validator.check_schema(schema)
    closed = {"csv", "npz", "parquet", "report", "resume", "cluster", "folder", "json", "truth",
              "try", "log", "other", "fit", "to"}  # fmt: skip
    assert not closed & set(schema["properties"])
    assert schema["additionalProperties"] is False


@pytest.mark.parametrize(
    "content",
    [b"{", b"[]", b"1", b"null", b'"a"', b"\xff", b'{"a": NaN}',
     b'{"a": Infinity}', b'{"a": -Infinity}',
     b'{"seed": 1, "seed": 2}', b'{"seed": 1e999}', b'{"seed": 1.5}', b'{"seed": true}',
     b'{"seed": ' + b"9" * 5000 + b"}", b'{"set": ["\\ud800"]}', b"{}{}", b'{"a": 1}',
     b'{"set": "x"}', b'{"set": [""]}', b"\xef\xbb\xbf{}"],
)  # fmt: skip
def test_what_is_not_as_described_is_told_with_its_place(content):
    with pytest.raises(ProblemError) as caught:
        read_object(content, schema_of(VERBS["forecast"]))
    assert all(each.code == "api-body" and each.message for each in caught.value.problems)


def test_every_slip_is_told_at_once():
    body = json.dumps({"flights": 1, "set": ["a", 2], "csv": "/etc/x"}).encode()
    with pytest.raises(ProblemError) as caught:
        read_object(body, schema_of(VERBS["forecast"]))
    assert {each.where.field for each in caught.value.problems} == {"flights", "set[1]", "csv"}


def test_nothing_is_an_empty_object():
    assert read_object(b"", schema_of(VERBS["check"])) == {}
    assert math.isclose(
        read_object(b'{"tolerance": 1e-5}', schema_of(VERBS["forecast"]))["tolerance"], 1e-5
    )

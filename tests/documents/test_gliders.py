"""A described glider reads without a word."""

from __future__ import annotations

from pathlib import Path

from documents.bad_gliders import GLIDER, glider

from loftwright.documents.glider import Balance, Fin, Fuselage, Tailplane, Wing
from loftwright.documents.payload import Payload
from loftwright.documents.reading import read_document


def test_the_glider_that_is_spoilt_reads_without_a_word(tmp_path: Path) -> None:
    assert glider(GLIDER)(tmp_path) == ()


def test_every_table_has_its_place(tmp_path: Path) -> None:
    path = tmp_path / "payload.toml"
    fin = '[fin]\nfrom_nose = "285 mm"\nspan = "60 mm"\nroot_chord = "50 mm"\n'
    fin += 'tip_chord = "40 mm"\nthickness = "3 mm"\n\n[release]'
    path.write_text(GLIDER.replace("[release]", fin), encoding="utf-8")
    payload = read_document(path, Payload)
    kinds = Wing, Tailplane, Fin, Fuselage, Balance
    parts = payload.wing, payload.tailplane, payload.fin, payload.fuselage, payload.balance
    for kind, part in zip(kinds, parts, strict=True):
        assert isinstance(part, kind)
    assert payload.wing is not None
    assert payload.wing.warp.sd > 0.0
    assert payload.wing.curl.sd > 0.0

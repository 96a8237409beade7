"""The fault that the docs show works as it stands there."""

from __future__ import annotations

import re
import types
from pathlib import Path

import numpy as np
from instruments.pair import flattened, pair

from loftwright.instruments.cases import Happening, inputs, scene_of
from loftwright.instruments.fault import Part
from loftwright.instruments.rows import place

PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "add-a-fault.md"


def test_the_fault_of_the_page_can_be_added_as_it_stands():
    (code,) = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    module = types.ModuleType("wire_frays")
    exec(compile(code, "wire_frays.py", "exec"), module.__dict__)
    values, words = flattened(pair(), 8)
    scene = scene_of(pair(), values, words, 1, 0, 8)
    (part, _) = module.FAULT.parts(scene)
    assert part == Part("battery", "main cell")
    case = inputs(scene, Happening(module.FAULT, part, 0.01))
    row = place("RESISTANCE")
    more = case.lanes["main"][row] - scene.lanes["main"][row]
    assert ((more > 0.19) & (more < 2.01)).all()
    np.testing.assert_array_equal(case.lanes["backup"], scene.lanes["backup"])
    assert case.says == 'The wire to the battery "main cell" frays and loses volts.'

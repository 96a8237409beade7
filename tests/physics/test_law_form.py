"""What every law owes its reader, and what hot laws owe the kernel."""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import pkgutil
import re

import pytest

import loftwright.physics

MODULES = sorted(module.name for module in pkgutil.iter_modules(loftwright.physics.__path__))
HOT = {
    "air_jet": ["air_jet", "mist_share"],
    "atmosphere": [
        "air_density_at",
        "air_pressure_at",
        "air_temperature_at",
        "dynamic_viscosity",
        "speed_of_sound",
    ],
    "canopy": ["filled_fraction"],
    "drag": ["base_drag_coefficient", "drag_area", "skin_friction"],
    "inertia": ["tensor_solve", "tensor_times"],
    "gas": ["latent_heat", "moist_expansion_slope", "saturation_vapour_pressure"],
    "retention": ["hold_use"],
    "rotation": [
        "euler_rates",
        "euler_rates_principal",
        "quaternion_rates",
        "rotate_to_body",
        "rotate_to_ground",
        "tensor_rates",
    ],
    "water_jet": ["column_inertia_pressure", "water_jet_speed", "water_thrust_per_speed_squared"],
    "wind": ["log_wind_speed"],
}
ONLY_NUMBERS = (
    ast.Raise,
    ast.Try,
    ast.For,
    ast.While,
    ast.ListComp,
    ast.GeneratorExp,
    ast.Lambda,
    ast.Subscript,
    ast.Attribute,
    ast.Assert,
)


def module_of(name):
    return importlib.import_module(f"loftwright.physics.{name}")


def laws():
    for name in MODULES:
        module = module_of(name)
        for public in module.__all__:
            law = getattr(module, public)
            if inspect.isfunction(law):
                yield pytest.param(law, id=f"{name}.{public}")


def hot_laws():
    for name, publics in HOT.items():
        for public in publics:
            yield pytest.param(getattr(module_of(name), public), id=f"{name}.{public}")


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings_hold(name):
    assert doctest.testmod(module_of(name)).failed == 0


@pytest.mark.parametrize("name", MODULES)
def test_all_is_complete(name):
    module = module_of(name)
    defined = {
        public
        for public, thing in vars(module).items()
        if inspect.isfunction(thing)
        and thing.__module__ == module.__name__
        and not public.startswith("_")
    }
    assert defined <= set(module.__all__)


@pytest.mark.parametrize("law", list(laws()))
def test_a_law_states_equation_units_range_and_source(law):
    text = inspect.getdoc(law)
    sections = [
        text.find(f"\n{head}\n") for head in ("Parameters", "Returns", "Notes", "References")
    ]
    assert all(place > 0 for place in sections), sections
    assert sections == sorted(sections)
    assert ".. math::" in text[: sections[0]]


@pytest.mark.parametrize("law", list(laws()))
def test_every_argument_is_documented_with_its_unit(law):
    parameters = inspect.getdoc(law).split("\nParameters\n")[1].split("\nReturns\n")[0]
    named = re.findall(r"^(\w[\w, ]*) : (?:tuple of )?float", parameters, flags=re.MULTILINE)
    assert [part.strip() for line in named for part in line.split(",")] == list(
        inspect.signature(law).parameters
    )
    assert len(re.findall(r"\[[^\]]+\]|any unit", parameters)) >= len(named)


@pytest.mark.parametrize("law", list(laws()))
def test_a_law_says_what_it_raises(law):
    tree = ast.parse(inspect.getsource(law).lstrip())
    raises = any(isinstance(node, ast.Raise) for node in ast.walk(tree))
    assert not raises or "\nRaises\n" in inspect.getdoc(law)


@pytest.mark.parametrize("law", list(hot_laws()))
def test_hot_laws_keep_to_what_compiles_into_lanes(law):
    signature = inspect.signature(law)
    assert all(p.default is p.empty for p in signature.parameters.values())
    assert all(p.kind is p.POSITIONAL_OR_KEYWORD for p in signature.parameters.values())
    body = ast.parse(inspect.getsource(law).lstrip()).body[0].body[1:]  # without the docstring
    for statement in body:
        for node in ast.walk(statement):
            assert not isinstance(node, ONLY_NUMBERS), ast.dump(node)
            if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Pow):
                assert isinstance(node.right, ast.Constant)
                assert isinstance(node.right.value, int)


def test_physics_imports_only_math_and_itself():
    for name in MODULES:
        tree = ast.parse(inspect.getsource(module_of(name)))
        imported = {n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)}
        imported |= {a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names}
        outside = {m for m in imported if not m.startswith("loftwright.physics")}
        assert outside <= {"__future__", "math", "itertools"}, name

"""Turns plain Python functions into compiled ones, with everything that they call.

Laws and kernel code are ordinary Python: they can be read, tested and stepped through as they
stand. ``compiled`` clones a function: each plain function among its globals is cloned in turn,
and ``math``'s functions are replaced by forms that vectorise. The originals stay as they were.
"""

from __future__ import annotations

import dis
import hashlib
import inspect
import math
import types
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

__all__ = ["cache_folder", "compiled", "is_cached", "source_digest"]

_OWN = "loftwright."
_LAWS = "loftwright.physics."
_clones: dict[types.FunctionType, Any] = {}


def _substitutes() -> dict[Any, Any]:
    from loftwright.flight.kernel import elementary

    return {
        math.exp: elementary.exp,
        math.log: elementary.log,
        math.sin: elementary.sin,
        math.cos: elementary.cos,
    }


def _is_ours(value: object) -> bool:
    return isinstance(value, types.FunctionType) and value.__module__.startswith(_OWN)


def _names(code: types.CodeType) -> set[str]:
    return set(code.co_names)


def reached(entry: Callable[..., Any]) -> list[types.FunctionType]:
    """List every function of ours that ``entry`` can call, itself last, callees first."""
    order: list[types.FunctionType] = []

    def visit(function: types.FunctionType) -> None:
        if function in order:
            return
        for name in sorted(_names(function.__code__)):
            value = function.__globals__.get(name)
            if isinstance(value, types.FunctionType) and _is_ours(value):
                visit(value)
        order.append(function)

    assert isinstance(entry, types.FunctionType)
    visit(entry)
    return order


def source_digest(entry: Callable[..., Any]) -> str:
    """Hash the source files of all that ``entry`` reaches, and of this machinery.

    numba's own cache looks at the entry's file only; a digest in the cache folder's name keeps a
    changed law from being answered by a stale kernel.
    """
    files = {Path(inspect.getfile(f)) for f in reached(entry)}
    # Constants are frozen into the kernel, and may come from modules without functions.
    files |= set(Path(__file__).parent.glob("*.py"))
    digest = hashlib.sha256()
    for file in sorted(files):
        digest.update(file.name.encode())
        digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


def cache_folder(entry: Callable[..., Any]) -> Path:
    """Name the folder that holds compiled kernels of this very source."""
    import platformdirs

    return Path(platformdirs.user_cache_dir("loftwright")) / "kernels" / source_digest(entry)


def is_cached(entry: Callable[..., Any]) -> bool:
    """Tell whether this machine has compiled ``entry`` before."""
    return any(cache_folder(entry).rglob(f"*{entry.__name__}*.nbc"))


def _clone(
    function: types.FunctionType, wrap: Callable[..., Any], places: Counter[types.CodeType]
) -> Any:
    if function in _clones:
        return _clones[function]
    substitutes = _substitutes()
    namespace = dict(function.__globals__)
    for name in _names(function.__code__):
        value = namespace.get(name)
        if isinstance(value, types.FunctionType) and _is_ours(value):
            namespace[name] = _clone(value, lambda twin: _callee(twin, places), places)
        elif isinstance(value, types.BuiltinFunctionType) and value in substitutes:
            namespace[name] = substitutes[value]
    twin = types.FunctionType(
        function.__code__, namespace, function.__name__, function.__defaults__
    )
    twin.__module__ = function.__module__
    twin.__qualname__ = function.__qualname__
    _clones[function] = wrap(twin)
    return _clones[function]


def _calls(entry: Callable[..., Any]) -> Counter[types.CodeType]:
    """Count the places that call each function reached from ``entry``."""
    places: Counter[types.CodeType] = Counter()
    for function in reached(entry):
        for step in dis.get_instructions(function.__code__):
            if step.opname == "LOAD_GLOBAL":
                value = function.__globals__.get(step.argval)
                if isinstance(value, types.FunctionType):
                    places[value.__code__] += 1
    return places


def _callee(twin: types.FunctionType, places: Counter[types.CodeType]) -> Any:
    """Compile a callee so that it goes into its callers whole: what lets loops vectorise.

    What is called from one place, and every law, is merged before compilation, which halves the
    time that takes; the rest is compiled once and inlined by the optimiser.
    """
    from numba import njit

    from loftwright.flight.kernel.elementary import OPTIONS

    # Nobody calls a callee from Python, so it needs no way in from there.
    options = {**OPTIONS, "no_cpython_wrapper": True, "no_cfunc_wrapper": True}
    if places[twin.__code__] == 1 or twin.__module__.startswith(_LAWS):
        return njit(inline="always", **options)(twin)
    standalone = twin.__globals__.get("STANDALONE", False)
    return njit(forceinline=not standalone, **options)(twin)


def _cached(folder: Path) -> Callable[[types.FunctionType], Any]:
    def wrap(twin: types.FunctionType) -> Any:
        import numba

        from loftwright.flight.kernel.elementary import OPTIONS

        before = numba.config.CACHE_DIR
        numba.config.CACHE_DIR = str(folder)
        try:
            return numba.njit(cache=True, **OPTIONS)(twin)
        except RuntimeError:  # no place to write: compile for this process only
            return numba.njit(**OPTIONS)(twin)
        finally:
            numba.config.CACHE_DIR = before

    return wrap


def compiled(entry: Callable[..., Any]) -> Any:
    """Return the compiled twin of ``entry``; cached on disk, compiled at its first call.

    Raises
    ------
    numba.core.errors.TypingError
        At the first call, when a function reached uses what cannot be compiled.
    """
    assert isinstance(entry, types.FunctionType)
    return _clone(entry, _cached(cache_folder(entry)), _calls(entry))

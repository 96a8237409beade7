"""Turns plain Python functions into compiled ones, with everything that they call.

Laws and kernel code are ordinary Python: they can be read, tested and stepped through as they
stand. ``compiled`` clones a function: each plain function among its globals is cloned in turn,
and ``math``'s functions are replaced by forms that vectorise. The originals stay as they were.

An entry whose module says ``EXACT = True`` is compiled, with all that it calls, without fusing a
multiplication with the addition that follows: each operation rounds as IEEE 754 says, as it does in
Python and in C that forbids contraction.
"""

from __future__ import annotations

import hashlib
import math
import types
from collections.abc import Callable
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

__all__ = ["cache_folder", "code_digest", "compiled", "is_cached"]

_OWN = "loftwright."
_SUBSTITUTES = Path(__file__).with_name("elementary.py").read_bytes()


def _substitutes() -> dict[Any, Any]:
    from loftwright.compiling import elementary

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


def _contents(function: types.FunctionType) -> str:
    """Spell what a function does: its code, and the constants that it takes from its module."""
    code = function.__code__
    # Text is what it says of itself; a kernel has no other use for it.
    constants = [each for each in code.co_consts if not isinstance(each, str)]
    parts = [function.__qualname__, code.co_code.hex(), repr(constants), repr(code.co_varnames)]
    for name in code.co_names:
        value = function.__globals__.get(name)
        plain = isinstance(value, int | float | tuple) or hasattr(value, "dtype")
        parts.append(f"{name}={value!r}" if plain else name)
    return "|".join(parts)


def code_digest(entry: Callable[..., Any]) -> str:
    """Hash the code of all that ``entry`` reaches, and of what takes the place of ``math``.

    numba's own cache looks at the entry's file only; a digest in the cache folder's name keeps a
    changed law from being answered by a stale kernel. What counts is the code as it was imported,
    not as it stands on disk by now.
    """
    digest = hashlib.sha256(_SUBSTITUTES)
    # numba keeps kernels of each place on disk apart.
    digest.update(str(Path(entry.__code__.co_filename).resolve().parent).encode())
    digest.update(str(_is_exact(entry)).encode())
    for function in reached(entry):
        digest.update(_contents(function).encode())
    return digest.hexdigest()[:16]


def _is_exact(entry: Callable[..., Any]) -> bool:
    return bool(entry.__globals__.get("EXACT", False))


def _options(entry: Callable[..., Any]) -> dict[str, Any]:
    from loftwright.compiling.elementary import OPTIONS

    return {**OPTIONS, "fastmath": False} if _is_exact(entry) else OPTIONS


def cache_folder(entry: Callable[..., Any]) -> Path:
    """Name the folder that holds compiled kernels of this very source."""
    import platformdirs

    return Path(platformdirs.user_cache_dir("loftwright")) / "kernels" / code_digest(entry)


def is_cached(entry: Callable[..., Any]) -> bool:
    """Tell whether this machine has compiled ``entry`` before."""
    return any(cache_folder(entry).rglob(f"*{entry.__name__}*.nbc"))


@cache
def _part_compiler() -> Any:
    """Return a compiler of functions that go into others and are never run by themselves.

    Theirs is code to be linked. It is neither optimised alone nor turned into instructions: that
    is done once, for the whole.
    """
    from numba.core.codegen import JITCodeLibrary
    from numba.core.compiler import Compiler, DefaultPassBuilder
    from numba.core.compiler_machinery import LoweringPass, register_pass
    from numba.core.typed_passes import NativeLowering

    class Part(JITCodeLibrary):
        def _optimize_final_module(self) -> None:
            pass

        def _finalize_final_module(self) -> None:
            self._finalized = True

    @register_pass(mutates_CFG=False, analysis_only=False)
    class NameOnly(LoweringPass):
        """Let callers know the function by some built-in method, in place of a way into it."""

        _name = "loftwright_name_only"

        def __init__(self) -> None:
            super().__init__()

        def run_pass(self, state: Any) -> bool:
            name: Any = [].append
            lowered = state["cr"]
            state.targetctx.insert_user_function(name, lowered.fndesc, [state.library])
            state["cr"] = lowered._replace(cfunc=name)
            return True

    class PartCompiler(Compiler):
        def define_pipelines(self) -> list[Any]:
            self.state.flags.no_compile = True
            self.state.library = Part(self.state.targetctx.codegen(), "part")
            passes = DefaultPassBuilder.define_nopython_pipeline(self.state)
            passes.add_pass_after(NameOnly, NativeLowering)
            passes.finalize()
            return [passes]

    return PartCompiler


class _Cloner:
    """Makes the compiled twins of all that one entry calls, each once."""

    def __init__(self, options: dict[str, Any]) -> None:
        self._options = options
        self._substitutes = _substitutes()
        self._twins: dict[types.FunctionType, Any] = {}

    def twin(self, function: types.FunctionType) -> types.FunctionType:
        """Rebuild a function, still plain, with compiled ones among its globals."""
        namespace = dict(function.__globals__)
        for name in _names(function.__code__):
            value = namespace.get(name)
            if isinstance(value, types.FunctionType) and _is_ours(value):
                namespace[name] = self._callee(value)
            elif isinstance(value, types.BuiltinFunctionType) and value in self._substitutes:
                namespace[name] = self._substitutes[value]
        twin = types.FunctionType(
            function.__code__, namespace, function.__name__, function.__defaults__
        )
        twin.__module__ = function.__module__
        twin.__qualname__ = function.__qualname__
        return twin

    def _callee(self, function: types.FunctionType) -> Any:
        """Compile a callee so that it goes into its callers whole: what lets loops vectorise.

        What is called from one place, and every law, is merged before compilation, which halves
        the time that takes; the rest is compiled once and inlined by the optimiser.
        """
        from numba import njit

        if function not in self._twins:
            # Nobody calls a callee from Python, so it needs no way in from there.
            options = {
                **self._options,
                "no_cpython_wrapper": True,
                "no_cfunc_wrapper": True,
                "pipeline_class": _part_compiler(),
            }
            options["forceinline"] = not function.__globals__.get("STANDALONE", False)
            self._twins[function] = njit(**options)(self.twin(function))
        return self._twins[function]


_ONE_AT_A_TIME = Lock()  # numba knows one folder for all that is compiled


def compiled(entry: Callable[..., Any]) -> Any:
    """Return the compiled twin of ``entry``; cached on disk, compiled at its first call.

    Raises
    ------
    numba.core.errors.TypingError
        At the first call, when a function reached uses what cannot be compiled.
    """
    import numba

    assert isinstance(entry, types.FunctionType)
    options = _options(entry)
    twin = _Cloner(options).twin(entry)
    with _ONE_AT_A_TIME:
        before = numba.config.CACHE_DIR
        numba.config.CACHE_DIR = str(cache_folder(entry))
        try:
            return numba.njit(cache=True, **options)(twin)
        except RuntimeError:  # no place to write: compile for this process only
            return numba.njit(**options)(twin)
        finally:
            numba.config.CACHE_DIR = before

"""Emitted C before real compilers: without a warning, and deciding as the runner does."""

from __future__ import annotations

import re

import numpy as np
import pytest
from program.agreement import bits, expected_lines, same_nan, streams
from program.builds import GCC, build, feed, load, needs, run, run_library, write
from program.made_up import demo, readings, table
from program.test_emit import large

from loftwright.program.runner import run as run_program

# What is not asked of it: C90's order of declarations; no padding in structs, which is harmless;
# and what newer versions say of every array in C. Older ones do not know the last by name.
CLANG_WORDS = (
    "clang -std=c99 -O1 -ffp-contract=off -Weverything -Wno-declaration-after-statement "
    "-Wno-padded -Wno-unsafe-buffer-usage -Wno-unknown-warning-option -Werror"
)
CLANG = CLANG_WORDS.split()
# It looks into no system header, and need not.
CPPCHECK = "cppcheck --enable=all --std=c99 --error-exitcode=1 -q --suppress=missingIncludeSystem"
# Conditions made up at random say things twice, and then so does the C.
SAID_TWICE = ("redundantCondition", "knownConditionTrueFalse", "duplicateExpression")
SANITIZED = "-std=c99 -g -O1 -ffp-contract=off -fsanitize=address,undefined -fno-sanitize-recover"
FUSING = "vfn?m[as]"  # instructions that round a product and a sum as one


@pytest.mark.parametrize("compiler", [GCC, CLANG], ids=["gcc", "clang"])
@pytest.mark.parametrize("checks", [(), ("-DNDEBUG",)], ids=["checks", "no checks"])
def test_compilers_have_nothing_to_say(compiler, checks, tmp_path):
    needs(compiler[0])
    for number, program in enumerate([demo(), large(), *(table(seed) for seed in range(4))]):
        build(program, tmp_path / str(number), [*compiler, *checks])


def test_a_checker_has_nothing_to_say_of_what_a_person_would_write(tmp_path):
    needs("cppcheck")
    source = write(demo(), tmp_path)
    assert run([*CPPCHECK.split(), source, tmp_path / "harness.c"]) == ""


def test_a_checker_has_nothing_to_say_of_made_up_programs(tmp_path):
    needs("cppcheck")
    accepted = [f"--suppress={each}" for each in (*SAID_TWICE, "unmatchedSuppression")]
    for seed in range(4):
        source = write(table(seed), tmp_path / str(seed))
        run([*CPPCHECK.split(), *accepted, source, source.parent / "harness.c"])


@pytest.mark.parametrize("compiler", ["gcc", "clang"])
def test_nothing_undefined_is_done(compiler, tmp_path):
    needs(compiler)
    command = [compiler, *SANITIZED.split()]
    for seed in (None, 1, 2, 3):
        program = demo() if seed is None else table(seed)
        harness = build(program, tmp_path / str(seed), command)
        shown = readings(seed or 0, 2, 400, program.step_ms)
        decided = run_program(program, streams(shown), every_sample=True)
        want = expected_lines(decided, shown, len(program.outputs))
        got = [line for stream in range(2) for line in feed(harness, shown, stream)]
        assert [same_nan(line).rstrip("-") for line in got] == want


def test_thousands_of_streams_are_decided_as_the_runner_decides_them(tmp_path):
    needs("gcc")
    programs = [demo(), large(), *(table(seed) for seed in range(24))]
    library = load(programs, tmp_path)
    for number, program in enumerate(programs):
        shown = readings(number, 128, 150, program.step_ms)
        want = run_program(program, streams(shown), every_sample=True)
        got = run_library(library, number, shown)
        np.testing.assert_array_equal(got.stage, want.stage)
        np.testing.assert_array_equal(got.levels, want.levels)
        np.testing.assert_array_equal(bits(got.height), bits(want.height))
        np.testing.assert_array_equal(bits(got.climb), bits(want.climb))


@pytest.mark.parametrize("compiler", ["gcc", "arm-none-eabi-gcc"])
def test_products_and_sums_are_not_fused_even_where_the_compiler_would(compiler, tmp_path):
    needs(compiler)
    source = write(demo(), tmp_path)
    target = ["-mcpu=cortex-m4", "-mthumb", "-mfloat-abi=hard", "-mfpu=fpv4-sp-d16"]
    if compiler == "gcc":
        target = ["-march=haswell"]
        if "x86_64" not in run(["gcc", "-dumpmachine"]):
            pytest.skip("this asks for instructions of x86-64")
    command = [compiler, "-std=gnu11", "-O2", *target, "-S", "-o", "-"]
    assert not re.search(FUSING, run([*command, source]))
    free = source.with_name("free.c")
    free.write_text(re.sub(r"#pragma GCC.*", "", source.read_text()))
    assert re.search(FUSING, run([*command, free]))  # it would, so that the line is needed


@pytest.mark.parametrize("flag", ["-ffast-math", "-ffinite-math-only"])
def test_arithmetic_that_decides_otherwise_is_refused(flag, tmp_path):
    needs("gcc")
    source = write(demo(), tmp_path)
    with pytest.raises(AssertionError, match=f"compile this without {flag}"):
        run(["gcc", "-std=c99", flag, "-c", "-o", tmp_path / "program.o", source])


def test_the_example_of_the_page_compiles(tmp_path):
    needs("gcc")
    write(demo(), tmp_path)
    page = (tmp_path / "README.md").read_text()
    example = re.search(r"```c\n(.*?)```", page, re.DOTALL).group(1)
    yours = (
        "uint32_t milliseconds(void); void wait_for_next_sample(uint32_t step_ms);"
        "float read_pressure(void); float read_push(void); bool line_is_open(void);"
        "void set_latch(bool up); void set_canopy(bool up); void set_beeper(bool up);"
    )
    include, _, rest = example.partition("\n")
    (tmp_path / "loop.c").write_text(f"{include}\n{yours}\n{rest}")
    run(["gcc", "-std=c99", "-Wall", "-Wextra", "-Werror", "-c", "-o", tmp_path / "loop.o",
         tmp_path / "loop.c"])  # fmt: skip


def test_the_harness_says_what_is_no_sample(tmp_path):
    needs("gcc")
    harness = build(demo(), tmp_path)
    with pytest.raises(AssertionError, match="this line is no sample"):
        run([harness], "0 101325 9.8 0\nnonsense\n")

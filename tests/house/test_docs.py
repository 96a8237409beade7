"""The docs cannot drift: nothing a person may use is undocumented, nothing is fetched."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import re
import sys
from pathlib import Path

import click
import pytest
from cli.commands import every_command

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"


@pytest.fixture(scope="module")
def generate():
    """The generator of the reference pages, as the docs' build imports it."""
    sys.path.insert(0, str(DOCS))
    yield importlib.import_module("generate")
    sys.path.remove(str(DOCS))


@pytest.fixture(scope="module")
def mathml(generate):
    """The translator of equations."""
    return importlib.import_module("mathml")


@pytest.fixture(scope="module")
def offline(generate):
    """The watch on what pages fetch."""
    return importlib.import_module("offline")


def every_option():
    for name, command in every_command():
        yield from ((name, command, each) for each in command.params if is_option(each))


def is_option(each):
    return isinstance(each, click.Option)


def test_every_command_and_option_says_what_it_does(generate):
    from loftwright.cli.main import COMMANDS

    page = generate.commands_page()
    assert all(f"\n## {name}\n" in page for name in COMMANDS)
    for name, command, option in every_option():
        assert command.help
        assert option.help, f"{name} {option.name}"
        assert all(f"`{name}`" in page for name in option.opts)


def test_every_command_answers_programs():
    with_json = {name for name, _, option in every_option() if "--json" in option.opts}
    assert with_json == {name for name, _ in every_command()}


def every_field(model):
    for field in dataclasses.fields(model):
        rule = field.metadata["rule"]
        yield rule.key or field.name, rule
        if rule.model is not None:
            yield from every_field(rule.model)


def test_every_field_says_what_it_means():
    from loftwright.documents.campaign import CampaignFile
    from loftwright.documents.reading import MODELS
    from loftwright.documents.reference import document_reference

    page = document_reference()
    for model in (CampaignFile, *MODELS.values()):
        for word, rule in every_field(model):
            assert rule.doc
            assert rule.model is not None or rule.doc in page
            assert f"`{word}`" in page or f".{word}]" in page or f"[{word}]" in page


def test_every_code_that_is_raised_has_a_page(generate):
    from loftwright.cli.answers import VERSIONS
    from loftwright.errors import catalogue

    families = "|".join(generate.FAMILIES)
    literal = re.compile(rf'"((?:{families})-[a-z]+(?:-[a-z]+)*)"')
    raised = {
        code
        for path in (ROOT / "src" / "loftwright").rglob("*.py")
        for code in literal.findall(path.read_text(encoding="utf-8"))
    }
    assert len(raised) > 50
    assert sorted(raised - set(catalogue.entries()) - set(VERSIONS)) == []


def test_every_code_is_on_its_page(generate):
    from loftwright.errors import catalogue

    page = generate.codes_page()
    for code, entry in catalogue.entries().items():
        assert f"\n### {code}\n" in page
        assert all((entry.title, entry.meaning, entry.why, entry.mend, entry.example))


def test_every_fault_of_the_library_is_on_its_page(generate):
    from loftwright.instruments.faults import library

    page = generate.faults_page()
    assert all(f"| `{name}` |" in page for name in library())
    assert "{" not in page


def test_every_law_is_documented_with_source_and_units(generate):
    for module in generate.law_modules():
        for name in module.__all__:
            law = getattr(module, name)
            if not inspect.isfunction(law):
                continue
            text = inspect.getdoc(law) or ""
            for part in (
                ".. math::",
                "Parameters\n",
                "Returns\n",
                "Notes\n",
                "References\n",
                ">>>",
            ):
                assert part in text, f"{module.__name__}.{name} lacks {part.strip()}"
            assert re.search(r"\[[^\]]+\]", text), f"{module.__name__}.{name} gives no unit"
        page = generate.law_pages()[module.__name__.rpartition(".")[2]]
        assert f"automodule:: {module.__name__}\n   :members:" in page


def test_every_law_module_is_listed(generate):
    listed = generate.laws_index()
    files = {path.stem for path in (ROOT / "src/loftwright/physics").glob("[a-z]*.py")}
    assert all(f"({name}.md)" in listed for name in files)


@pytest.mark.parametrize(
    ("tex", "meant"),
    [
        (r"\tfrac12 \pi", r"\tfrac{1}{2} \pi"),
        (r"\frac dl", r"\frac{d}{l}"),
        (r"\frac{a}{b}", r"\frac{a}{b}"),
        (r"\tfrac\alpha2", r"\tfrac{\alpha}{2}"),
        (r"\sqrt\gamma", r"\sqrt{\gamma}"),
        (r"\sqrt[3]x", r"\sqrt[3]{x}"),
        (r"\dot m_g", r"{\dot{m}}_g"),
        (r"\dot{\vec v}", r"{\dot{{\vec{v}}}}"),
        (r"\frac{\frac12}{\dot m}", r"\frac{\frac{1}{2}}{{\dot{m}}}"),
    ],
)
def test_braces_that_tex_leaves_out_are_put_in(mathml, tex, meant):
    assert mathml.braced(tex) == meant


def test_every_equation_of_every_law_is_understood(generate, mathml):
    inline = re.compile(r":math:`([^`]+)`")
    display = re.compile(r"\.\. math::(.*?)\n\n", re.DOTALL)
    for module in generate.law_modules():
        for name in module.__all__:
            text = inspect.getdoc(getattr(module, name)) or ""
            for tex in inline.findall(text) + display.findall(text + "\n\n"):
                assert "<math" in mathml.markup(tex.strip(), is_display=True), tex


@pytest.mark.parametrize(
    "text",
    [
        '<script src="https://example.org/a.js"></script>',
        "<script async src='//example.org/a.js'></script>",
        '<link rel="stylesheet" href="https://example.org/a.css">',
        '<img alt="a" src="http://example.org/a.png">',
        '@import url("https://example.org/a.css");',
        "src: url(//example.org/a.woff2)",
    ],
)
def test_what_is_fetched_is_found(offline, text):
    assert offline.fetches(text)


@pytest.mark.parametrize(
    "text",
    [
        '<a href="https://example.org">a page</a>',
        '<link rel="canonical" href="https://example.org/">',
        '<script src="_static/a.js"></script>',
        '<svg xmlns="http://www.w3.org/2000/svg">',
        "src: url(fonts/a.woff2)",
    ],
)
def test_what_is_only_named_is_left_alone(offline, text):
    assert not offline.fetches(text)


def test_files_that_fetch_are_named(offline, tmp_path):
    (tmp_path / "good.html").write_text('<img src="a.png">', encoding="utf-8")
    (tmp_path / "bad.html").write_text('<img src="https://example.org/a.png">', encoding="utf-8")
    assert [each.partition(":")[0] for each in offline.fetching_files(tmp_path)] == ["bad.html"]


def test_pages_of_the_docs_are_all_in_the_index():
    index = (DOCS / "index.md").read_text(encoding="utf-8")
    for path in DOCS.rglob("*.md"):
        name = path.relative_to(DOCS).with_suffix("").as_posix()
        if not name.startswith(("_build", "_generated")) and name != "index":
            assert re.search(rf"^{re.escape(name)}$", index, re.MULTILINE), name


def test_readme_has_exactly_two_commands_on_top_and_the_cautions():
    from loftwright.report.cautions import CAUTIONS

    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    first = re.search(r"```\n(.*?)```", readme, re.DOTALL)
    assert first.group(1).split("\n")[:-1] == ["python3 run.py demo", "python3 run.py test"]
    plain = " ".join(readme.replace("**", "").split())
    for caution in CAUTIONS:
        last = caution.rstrip(".").rpartition(". ")[2]  # of its sentences, or its only one
        assert last[1:].rpartition(",")[2].strip() in plain


def test_the_foot_of_every_page_leads_nowhere_else():
    foot = (DOCS / "templates" / "page.html").read_text(encoding="utf-8")
    assert "block footer" in foot
    assert "://" not in foot

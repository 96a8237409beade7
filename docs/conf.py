"""Sphinx's configuration. `python3 run.py docs` builds with warnings as errors."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "src")]

import generate  # noqa: E402
import mathml  # noqa: E402
import offline  # noqa: E402

from loftwright import __version__  # noqa: E402

project = "Loftwright"
author = "the Loftwright authors"
copyright = "the Loftwright authors, Apache-2.0"
release = version = __version__

extensions = ["myst_parser", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
myst_enable_extensions = ["colon_fence", "deflist", "dollarmath"]
myst_heading_anchors = 4
exclude_patterns = ["_build", "templates", "_generated/snippets"]
nitpicky = True
nitpick_ignore_regex = [("py:class", r".*")]  # the laws take and give plain numbers

autodoc_typehints = "none"  # the docstrings give each number's unit, which a type does not
autodoc_member_order = "bysource"
napoleon_google_docstring = False
napoleon_use_rtype = False

html_theme = "furo"
html_title = f"Loftwright {__version__}"
html_static_path = ["static"]
templates_path = ["templates"]
html_css_files = ["loftwright.css"]
html_copy_source = False
html_show_sphinx = False
html_math_renderer = "mathml"
pygments_style = "friendly"
highlight_language = "none"
html_theme_options = {
    "light_css_variables": {
        "color-brand-primary": "#0B7A75",
        "color-brand-content": "#0B7A75",
        "color-brand-visited": "#7B3F7A",
        "color-background-primary": "#FBFAF6",
        "color-foreground-primary": "#20262B",
    },
    "dark_css_variables": {
        "color-brand-primary": "#4FC1BA",
        "color-brand-content": "#4FC1BA",
        "color-brand-visited": "#C79AC9",
        "color-background-primary": "#14181B",
        "color-foreground-primary": "#E8E6DF",
    },
}


def setup(app):
    """Generate the reference, render equations without scripts, and watch that all is offline."""
    generate.write_all(HERE / "_generated")
    app.add_html_math_renderer("mathml", (mathml.inline, None), (mathml.display, None))
    app.connect("build-finished", offline.check_build)

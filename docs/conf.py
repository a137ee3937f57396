"""How the guide is built: `sphinx-build -W docs docs/build`. The pages are Markdown, and read as they are, too."""

from __future__ import annotations

import re
from typing import Any

import cabdraw

project = "cabdraw"
version = release = cabdraw.__version__
project_copyright = "its authors; MIT licence"
language = "en"

extensions = ["myst_parser", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
exclude_patterns = ["build"]

myst_enable_extensions = ["colon_fence"]
myst_heading_anchors = 4

add_module_names = False
autodoc_member_order = "bysource"
autodoc_typehints = "signature"
autodoc_preserve_defaults = True
napoleon_numpy_docstring = False

html_theme = "furo"
html_title = "cabdraw"
html_static_path = ["static"]
html_css_files = ["guide.css"]
html_show_sourcelink = False
html_copy_source = False
html_show_sphinx = False
pygments_style = "default"


def _quoted(app: Any, what: str, name: str, about: Any, options: Any, lines: list[str]) -> None:
    """Docstrings quote names with one sign, as Markdown does, where this generator wants two."""
    lines[:] = [re.sub(r"(?<!`)`([^`]+)`(?!`)", r"``\1``", line) for line in lines]


def setup(app: Any) -> None:
    """Called by the generator."""
    app.connect("autodoc-process-docstring", _quoted, priority=400)

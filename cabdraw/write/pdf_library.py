"""The library that writes PDF, as the writer of PDF uses it: without a person's own settings for it."""

from __future__ import annotations

from typing import Any

from cabdraw.write.alone import alone

with alone():
    from reportlab import rl_config as _settings
    from reportlab.lib import colors as _colors
    from reportlab.pdfbase import pdfmetrics as _fonts
    from reportlab.pdfbase import ttfonts as _ttfonts
    from reportlab.pdfgen import canvas as _canvas
    from reportlab.pdfgen import pathobject as _paths

#: The library marks no types of its own.
rl_config: Any = _settings
pdfmetrics: Any = _fonts
Color: Any = _colors.Color
TTFont: Any = _ttfonts.TTFont
Canvas: Any = _canvas.Canvas
PDFPathObject: Any = _paths.PDFPathObject

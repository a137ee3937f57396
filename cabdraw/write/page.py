"""A page as one HTML file that works by itself: no network, no other file, and nothing in it runs but its own script.

Every text is escaped where it is written, and the page's policy lets the browser run and style by two hashes only.
"""

from __future__ import annotations

import unicodedata
from base64 import b64encode
from collections.abc import Iterable, Iterator
from hashlib import sha256
from html import escape
from pathlib import Path

from cabdraw.draw.measure import MISSING
from cabdraw.draw.page import Card, Cell, Drawing, Figure, Jump, Mark, Page, PartList, Piece, Place, Step, Table
from cabdraw.write.svg import number, svg_content

_HERE = Path(__file__).parent
#: Categories of characters that could hide or reorder text, or that no file can hold.
_UNSEEN = ("Cc", "Cf", "Cs", "Cn")
#: Characters of a cell from which on it takes a wide column.
_LONG = 30
_STOPS = {"fabrication": "Stops fabrication", "drilling": "Stops drilling", "nothing": "Stops nothing"}


def page_bytes(page: Page) -> bytes:
    """A page as HTML, UTF-8, the same bytes each time."""
    style = (_HERE / "page.css").read_text(encoding="utf-8")
    # What the preview loads as a module is a part of the page's one script.
    pane = (_HERE / "pane.js").read_text(encoding="utf-8").replace("export class", "class")
    script = pane + (_HERE / "page.js").read_text(encoding="utf-8")
    policy = (
        f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; img-src data:;"
        " base-uri 'none'; form-action 'none'"
    )
    lines = (
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{escape(policy)}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="referrer" content="no-referrer">',
        '<meta name="generator" content="cabdraw">',
        # An icon of nothing, so that no browser asks a server for one.
        '<link rel="icon" href="data:,">',
        f"<title>{text(page.title)}: {text(page.subtitle)}</title>",
        f"<style>{style}</style>",
        "</head>",
        "<body>",
        *_body(page),
        f"<script>{script}</script>",
        "</body>",
        "</html>",
        "",
    )
    return "\n".join(lines).encode("utf-8")


def text(value: str) -> str:
    """A text for a page: on one line, without characters that could hide or reorder it, and escaped."""
    spaced = " ".join(value.split())
    return escape("".join(MISSING if unicodedata.category(char) in _UNSEEN else char for char in spaced))


def _hash(content: str) -> str:
    return f"'sha256-{b64encode(sha256(content.encode()).digest()).decode()}'"


def _body(page: Page) -> Iterator[str]:
    yield '<a class="skip" href="#findings">Skip to the findings</a>'
    yield from _header(page)
    yield from _bar(page)
    yield '<div class="wide">'
    yield "<main>"
    yield from _findings(page.findings)
    if page.walls:
        yield '<section id="walls" aria-labelledby="walls-title"><h2 id="walls-title">Walls</h2>'
        for drawing in page.walls:
            yield from _drawing(drawing, f"wall-{drawing.name}")
        yield "</section>"
    if page.plan is not None:
        yield '<section id="plan" aria-labelledby="plan-title"><h2 id="plan-title">Plan</h2>'
        yield from _drawing(page.plan, "drawing-plan")
        yield "</section>"
    if page.steps:
        yield '<section id="steps" aria-labelledby="steps-title"><h2 id="steps-title">Steps</h2><ol>'
        for step in page.steps:
            yield from _step(step)
        yield "</ol></section>"
    yield '<section id="lists" aria-labelledby="lists-title"><h2 id="lists-title">Lists</h2>'
    yield from _parts(page.parts)
    for table in page.tables:
        yield from _table(table)
    yield "</section>"
    yield '<section id="cautions" aria-labelledby="cautions-title"><h2 id="cautions-title">Cautions</h2>'
    yield '<div class="paper"><ol class="cautions">'
    yield from (f"<li>{text(caution)}</li>" for caution in page.cautions)
    yield "</ol></div></section>"
    yield "</main>"
    yield from _panel()
    yield "</div>"
    yield '<p id="said" class="unseen" role="status"></p>'
    yield f"<footer>{''.join(f'<p>{text(note)}</p>' for note in page.notes)}</footer>"


def _header(page: Page) -> Iterator[str]:
    yield f"<header><h1>{text(page.title)}</h1><p>{text(page.subtitle)}</p>"
    yield f'<p class="issue">{text(page.issue)}</p>' if page.issue else ""
    if page.stamps:
        yield '<ul class="stamps">'
        yield from (f"<li><strong>{text(stamp.text)}</strong> {text(stamp.why)}</li>" for stamp in page.stamps)
        yield "</ul>"
    yield '<details id="job" open><summary>The job</summary><dl class="about">'
    yield from (f"<div><dt>{text(name)}</dt><dd>{text(value)}</dd></div>" for name, value in page.about)
    yield "</dl></details></header>"


def _bar(page: Page) -> Iterator[str]:
    links = [("findings", f"Findings ({len(page.findings)})")]
    links += [(f"wall-{drawing.name}", drawing.title) for drawing in page.walls]
    links += [("plan", "Plan")] if page.plan is not None else []
    links += [("steps", "Steps")] if page.steps else []
    links += [("lists", "Lists"), ("cautions", "Cautions")]
    yield '<div class="bar"><div><nav aria-label="Contents"><ul>'
    yield from (f'<li><a href="#{where}">{text(words)}</a></li>' for where, words in links)
    yield "</ul></nav>"
    yield (
        '<form id="find" class="search" role="search" data-script hidden><label for="search">Find a part</label>'
        '<input id="search" type="search" autocomplete="off" autocapitalize="none" spellcheck="false"'
        ' placeholder="mark, e.g. lower-back-1"><span id="count" class="unseen" role="status"></span>'
        '<div id="results" class="results" hidden></div></form></div></div>'
    )


def _findings(cards: tuple[Card, ...]) -> Iterator[str]:
    yield '<section id="findings" aria-labelledby="findings-title" tabindex="-1">'
    yield f'<h2 id="findings-title">Findings</h2><p>{_counted(cards)}</p>'
    if cards:
        yield "<ol>"
        for card in cards:
            yield f'<li class="paper card {card.severity}"><p class="kind">{card.severity}: {_STOPS[card.stops]}</p>'
            yield f"<h3>{text(card.message)}</h3>"
            yield '<dl class="facts">'
            if card.hint:
                yield f"<dt>What to do</dt><dd>{text(card.hint)}</dd>"
            yield f"<dt>In the spec</dt><dd><code>{text(card.where)}</code></dd>"
            if card.wall:
                yield f'<dt>Wall</dt><dd><a href="#wall-{_name(card.wall)}">{text(card.wall)}</a></dd>'
            yield f"<dt>Code</dt><dd><code>{text(card.code)}</code></dd></dl>"
            yield from _about(card.about)
            yield "</li>"
        yield "</ol>"
    yield "</section>"


def _counted(cards: tuple[Card, ...]) -> str:
    if not cards:
        return "None: nothing was found that stops fabrication or drilling."
    counts = [(sum(card.severity == kind for card in cards), kind) for kind in ("error", "warning", "note")]
    return (
        ", ".join(f"{count} {kind}{'' if count == 1 else 's'}" for count, kind in counts if count)
        + ", the worst first."
    )


def _name(words: str) -> str:
    """A name that can stand in an address within the page."""
    return "".join(char if char.isascii() and char.isalnum() else "-" for char in words)


def _part_id(mark: str) -> str:
    return f"part-{_name(mark)}"


def _link(mark: str) -> str:
    return f'<a href="#{_part_id(mark)}" data-part="{text(mark)}">{text(mark)}</a>'


def _about(things: Iterable[Piece]) -> Iterator[str]:
    items = [f"<li>{_piece(thing)}</li>" for thing in things]
    if items:
        yield f'<ul class="marks" aria-label="What it is about">{"".join(items)}</ul>'


def _drawing(drawing: Drawing, where: str) -> Iterator[str]:
    sheet = drawing.sheet
    label = f"{where}-title"
    yield f'<section class="paper drawing" id="{where}" aria-labelledby="{label}">'
    yield f'<h3 id="{label}">{text(drawing.title)}</h3><p>{_stamps(drawing.stamps)}{text(drawing.under)}</p>'
    hint = "Touch a part to see its sizes. " if drawing.places else ""
    yield '<div class="tools" data-script hidden>'
    for how, sign, words in (("in", "+", "Zoom in"), ("out", "−", "Zoom out")):
        yield f'<button type="button" data-zoom="{how}" aria-label="{words}: {text(drawing.title)}">{sign}</button>'
    yield f'<button type="button" data-zoom="all" aria-label="Whole drawing: {text(drawing.title)}">Whole</button>'
    yield f'<span>{hint}Drag to move, <span class="finger">pinch</span><span class="mouse">Ctrl and the wheel</span>'
    yield " to zoom.</span></div>"
    keys = "arrow keys move it, plus and minus zoom, 0 shows all of it"
    yield f'<div class="pane" role="group" aria-label="{text(drawing.title)}, drawing: {keys}">'
    box = f"0 0 {number(sheet.width)} {number(sheet.height)}"
    yield f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="group" aria-label="{text(drawing.title)}">'
    yield f'<g aria-hidden="true">{svg_content(sheet)}</g>'
    if drawing.places:
        yield '<g class="places">'
        yield from (_place(place, sheet.height) for place in drawing.places)
        yield "</g>"
    yield "</svg></div></section>"


def _place(place: Place, height: float) -> str:
    course = "".join("M" + "L".join(f"{number(x)} {number(height - y)}" for x, y in ring) + "Z" for ring in place.rings)
    out = ' class="out"' if place.hidden else ""
    return (
        f'<a href="#{_part_id(place.mark)}" data-part="{text(place.mark)}" aria-label="{text(place.mark)}"{out}>'
        f'<path fill="none" fill-rule="evenodd" d="{course}"/></a>'
    )


def _step(step: Step) -> Iterator[str]:
    where = f"step-{step.number}"
    yield f'<li class="paper step" id="{where}"><span class="number" aria-hidden="true">{step.number}</span><div>'
    yield f'<h3><span class="unseen">Step {step.number}: </span>{text(step.title)}</h3>'
    if step.stamps:
        yield f"<p>{_stamps(step.stamps)}</p>"
    yield from (f'<p class="how">{text(line)}</p>' for line in step.how)
    yield from (f'<p class="caution">{text(caution)}</p>' for caution in step.cautions)
    for table in step.tables:
        yield f"<h4>{text(table.title)}</h4>"
        yield from _grid(table, f"Step {step.number}, {table.title}")
    yield "</div></li>"


def _stamps(stamps: Iterable[str]) -> str:
    return "".join(f'<span class="stamp">{text(stamp)}</span>' for stamp in stamps)


def _parts(parts: PartList) -> Iterator[str]:
    yield '<section class="paper" id="parts" aria-labelledby="parts-title"><h3 id="parts-title">Parts</h3>'
    yield f'<p>{text(parts.note)}</p><p id="list-filter" hidden></p>'
    yield '<div class="scroll" role="region" aria-label="Parts, table" tabindex="0"><table>'
    heads = ("Mark", "Part", *parts.heads)
    yield from _heads((head, "") for head in heads)
    for row in parts.rows:
        mark = text(row.mark)
        cells = "".join(f"<td{_long(cell)}>{_cell(cell)}</td>" for cell in (row.kind, *row.cells))
        yield (
            f'<tr id="{_part_id(row.mark)}" data-part="{mark}" data-wall="{_name(row.wall)}">'
            f'<th scope="row">{_link(row.mark)}</th>{cells}</tr>'
        )
    yield "</tbody></table></div></section>"


def _table(table: Table) -> Iterator[str]:
    label = f"list-{_name(table.name)}"
    yield f'<section class="paper" aria-labelledby="{label}"><h3 id="{label}">{text(table.title)}</h3>'
    yield f"<p>{text(table.note)}</p>" if table.note else ""
    yield from _grid(table, table.title)
    yield "</section>"


def _grid(table: Table, title: str) -> Iterator[str]:
    """The table itself, in a frame that scrolls sideways where it is wider than the page."""
    yield f'<div class="scroll" role="region" aria-label="{text(title)}, table" tabindex="0"><table>'
    right = table.right or (False,) * len(table.heads)
    kinds = [' class="figure"' if figure else "" for figure in right]
    yield from _heads(zip(table.heads, kinds, strict=True))
    for row in table.rows:
        cells = zip(kinds, row, strict=True)
        yield f"<tr>{''.join(f'<td{kind or _long(cell)}>{_cell(cell)}</td>' for kind, cell in cells)}</tr>"
    yield "</tbody></table></div>"


def _heads(heads: Iterable[tuple[str, str]]) -> Iterator[str]:
    yield "<thead><tr>"
    for head, kind in heads:
        # A heading without words, over letters say, is no heading.
        yield f'<th scope="col"{kind}>{text(head)}</th>' if head else f"<td{kind}></td>"
    yield "</tr></thead><tbody>"


def _long(cell: Cell) -> str:
    """What makes room for a cell of many words."""
    return ' class="long"' if isinstance(cell, str) and len(cell) > _LONG else ""


def _cell(cell: Cell) -> str:
    if isinstance(cell, tuple):
        return f'<span class="size">{"".join(map(_piece, cell))}</span>'
    return _piece(cell)


def _piece(piece: Piece) -> str:
    if isinstance(piece, Figure):
        return f'<data value="{_exact(piece.value)}">{text(piece.text)}</data>'
    if isinstance(piece, Mark):
        return _link(piece.mark)
    if isinstance(piece, Jump):
        return f'<a href="#step-{piece.step}">{piece.step}</a>'
    # A separator keeps its spaces.
    return f" {text(piece)} " if piece != piece.strip() else text(piece)


def _exact(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")


def _panel() -> Iterator[str]:
    yield '<aside id="panel" class="panel" aria-label="Chosen part" data-script hidden>'
    yield '<p id="panel-empty">Touch a part on a wall, or find it by its mark: its sizes come up here.</p>'
    yield (
        '<div id="panel-chosen" hidden><div><h2 id="panel-mark"></h2>'
        '<p><a id="panel-show" href="#walls">Show it on the wall</a></p><div id="panel-facts"></div></div>'
        '<button type="button" id="panel-close" aria-label="Close the part">×</button></div></aside>'
    )

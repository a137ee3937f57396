"""What a text that cannot be read at all is told, in a drafter's words: where it breaks off, why, what to do."""

from __future__ import annotations

import re

from cabdraw.units import quoted

#: The reader's complaint (searched for in its words), what is wrong, and what to do; the first that fits is taken.
_SAID: tuple[tuple[str, str, str], ...] = (
    (r"block sequence entries|sequence entries are not", "a list item cannot begin here",
     "begin each item on its own line with a dash, or put the text in quotes"),
    (r"mapping values are not allowed", "a second colon or a deeper indent makes no sense here",
     "put a text that holds a colon in quotes, and give the keys of one section the same indent"),
    (r"mapping keys are not allowed|unexpected ':'", "a key cannot begin here",
     "put a text that begins with ? or : in quotes"),
    (r"could not find expected ':'", "a key: value is wanted, but the colon is missing",
     "write a colon and a space after the key"),
    (r"unexpected end of stream", "a quote is opened here and never closed", "close it with the same quote"),
    (r"unexpected document indicator", "a quote is still open at this line of dashes or dots",
     "close the quote before it"),
    (r"unknown escape character|expected hexdecimal|escape sequence of|escape character code|character escape code",
     "a backslash in double quotes stands before something that it does not go with",
     "write \\\\ for a backslash, or use single quotes"),
    (r"cannot start any token", "a value cannot begin with {sign}", "put it in quotes"),
    (r"indicator equal to 0|comment or line break|chomping|indentation indicator",
     "a value cannot begin like this", "put it in quotes"),
    (r"alphabetic or numeric|expected alpha", "an & or * stands here without a name",
     "put a text that begins with & or * in quotes"),
    (r"',' or ']'", "the [ opened at {opened} is not closed by here, or a comma is missing",
     "close it with a ], or put a text that holds brackets in quotes"),
    (r"',' or '}'", "the { opened at {opened} is not closed by here, or a comma is missing",
     "close it with a }, or put a text that holds brackets in quotes"),
    (r"'-' indicator|block sequence", "this line does not belong to the list above it",
     "begin it with a dash, or indent it like the line that it belongs to"),
    (r"expected key|<block end>", "this line does not belong to the section above it",
     "give the keys of one section the same indent, and close every quote and bracket"),
    (r"node content|expected the node", "a value is wanted here",
     "write one; put a text that begins with , ] } or % in quotes"),
    (r"document start>", "something is left over here after the end of the spec",
     "take it out, or indent it like the section that it belongs to"),
    (r"nesting depth", "brackets or dashes are nested too deep here", "no spec is; look at the brackets"),
    (r"tag|'!'|expected '>'|URI", "a value cannot begin with ! here", "put the text in quotes"),
    (r"directive|incompatible|version number|digit", "a line that begins with % makes no sense here", "take it out"),
)  # fmt: skip


def explain(text: str, problem: str, context: str, marks: list[tuple[int, int]]) -> tuple[int, int, str, str]:
    """Line and column from 1, what is wrong and what to do, from the reader's complaint and its places from 0."""
    line, column = marks[0] if marks else (0, 0)
    lines = re.split(r"\r\n|[\r\n\x85\u2028\u2029]", text)
    earliest = min([mark[0] for mark in marks], default=line)
    for number in range(earliest, min(line + 1, len(lines))):
        indent = re.match(r"[ \t]*", lines[number])
        if indent and "\t" in indent[0]:
            return number + 1, indent[0].index("\t") + 1, "a tab indents this line", "use spaces to indent"
    for complaint, what, hint in _SAID:
        if re.search(complaint, problem):
            begun = marks[-1] if marks else (line, column)
            # Where a quote or a key begins is what must be mended, not where the search for its end gave up.
            if re.search("end of stream|find expected ':'", complaint):
                line, column = begun
            sign = quoted(lines[line][column : column + 1]) if line < len(lines) else ""
            what = what.replace("{opened}", f"{begun[0] + 1}:{begun[1] + 1}").replace("{sign}", sign)
            return line + 1, column + 1, what, hint
    if re.search("directive", context):
        what, hint = _SAID[-1][1:]
        return line + 1, column + 1, what, hint
    return line + 1, column + 1, "the text makes no sense from here", "look at the colons, quotes, brackets and indents"

"""What stands at the foot of each command's help: examples and exit statuses."""

from __future__ import annotations

STATUSES = """\b
Exit status:
  0  drawn, and nothing is wrong
  1  the spec is wrong, or a finding is an error
  2  the command was wrong
  3  a mistake in cabdraw itself; a report is written
  4  compare found a difference
"""

DRAW_EXAMPLES = """\b
Examples:
  cabdraw draw larkspur-car-2.yaml
  cabdraw draw --wall back --out /jobs/204 larkspur-car-2.yaml
  cabdraw draw --print-scale 99.4/100x99.8/100 larkspur-car-2.yaml
  cabdraw draw jobs/*.yaml
  cabdraw draw --since issued/larkspur-car-2.yaml larkspur-car-2.yaml
  cabdraw draw --json jobs/*.yaml > drawn.json
"""

CHECK_EXAMPLES = """\b
Examples:
  cabdraw check larkspur-car-2.yaml
  cabdraw check --quiet jobs/*.yaml
  cabdraw check --json jobs/*.yaml > findings.json
"""

COMPARE_EXAMPLES = """\b
Examples:
  cabdraw compare issued/larkspur-car-2.yaml larkspur-car-2.yaml
  cabdraw compare --json issued/larkspur-car-2.yaml larkspur-car-2.yaml > changes.json

\b
Exit status: 0 the same, 4 different, 1 a spec is wrong, 2 the command was wrong.
"""

SURVEY_EXAMPLES = """\b
Examples:
  cabdraw survey
  cabdraw survey --units mm --walls left,right --out /jobs/204
"""

PREVIEW_EXAMPLES = """\b
Examples:
  cabdraw preview larkspur-car-2.yaml
  cabdraw preview --car car-2 larkspur.yaml
  cabdraw preview --port 8204 --no-browser larkspur-car-2.yaml
"""

EXPLAIN_EXAMPLES = """\b
Examples:
  cabdraw explain larkspur-car-2.yaml lower-back-2.width
  cabdraw explain larkspur-car-2.yaml lower-back-2
  cabdraw explain larkspur-car-2.yaml back.margins clear.width
  cabdraw explain --json larkspur-car-2.yaml rail-back.spacing
  cabdraw explain larkspur-car-2.yaml

\b
Exit status: 0 explained, 1 the spec is wrong, 2 the command was wrong or names what is not there.
"""

SCHEMA_EXAMPLES = """\b
Examples:
  cabdraw schema
  cabdraw schema --out jobs/cabdraw.schema.json
"""

NEW_EXAMPLES = """\b
Examples:
  cabdraw new larkspur-car-2
  cabdraw new larkspur-car-2 --from survey.yaml
  cabdraw new quayside-lift-b --units mm --walls left,right --width left=2103 --width right=2102 --height 2360
"""

SHOW_EXAMPLES = """\b
Examples:
  cabdraw show larkspur-car-2.yaml
  cabdraw show --car car-1 mill-row.yaml > mill-row-car-1-complete.yaml
"""

IMPORT_EXAMPLES = """\b
Examples:
  cabdraw import survey.csv --out larkspur-car-2.yaml
  cabdraw import readings/larkspur-car-2.xlsx
"""

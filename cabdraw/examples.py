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
"""

CHECK_EXAMPLES = """\b
Examples:
  cabdraw check larkspur-car-2.yaml
  cabdraw check --quiet jobs/*.yaml
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

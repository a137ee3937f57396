"""Fifty wrong cabs, each made by changing one thing in a right one."""

from __future__ import annotations

from dataclasses import dataclass

#: The right cab: a car like the first shipped one, with its front, its masses, its fixings and every space verified.
RIGHT = """\
cabdraw: 1
units: inch
job: {project: Larkspur Court, number: LC-205, car: Car 3, date: 2026-03-02, revision: A}
survey:
  uncertainty: 0
  height: [92 3/8, 92 1/4, 92 5/16]
  walls:
    back:
      width: [68 1/8, 68, 68 1/16]
      shell: 0.0781
      behind: {verified: {by: R. Vance, date: 2026-02-20}, depth: 2 1/2}
    left:
      width: [51 3/8, 51 3/8, 51 7/16]
      shell: 0.0781
      behind: {verified: {by: R. Vance, date: 2026-02-20}, depth: 2 1/2}
    right:
      width: [51 5/16, 51 3/8, 51 3/8]
      shell: 0.0781
      behind: {verified: {by: R. Vance, date: 2026-02-20}, depth: 2 1/2}
  front:
    left: {width: 10 1/2, height: 92}
    right: {width: 10 1/2, height: 92}
    transom: {underside: 84, projects: 1/4}
  car: {rated_load: 2500 lb, mass: 4600 lb, removed: 240 lb}
layout:
  panel:
    air_gap: 1/2
    layers:
      - {material: laminate, thickness: 0.028}
      - {material: particleboard, thickness: 0.702}
      - {material: laminate, thickness: 0.020}
    edge: 0.02
    grain: vertical
  joint:
    engagement: 3/8
    groove_depth: 1/2
    clearance: 1/16
    base_tab: 3/8
    spline_lift: 3/4
    groove_width: 3/16
    groove_offset: 1/4
  reveal: 1/2
  corner_gap: 1/2
  front_gap: 1
  stack:
    - gap: 7/8
    - base: 4
    - lower: fill
    - reveal: 1/2
    - backer: {height: 6, centre: 34}
    - reveal: 1/2
    - upper: fill
    - reveal: 1/2
    - crown: 3
    - frieze: 4 1/2
    - gap: 3/4
  walls:
    back:  {panels: 3}
    left:  {panels: 2}
    right: {panels: 2}
  front_trim: {width: 1 1/2, stock: 96}
  corner_trim: {width: 1 3/4}
profiles:
  front_trim: {thickness: 0.0500, radius: 1/16, legs: [face, 3/4], bends: [{angle: 90, direction: up}]}
  corner_trim: {thickness: 0.0500, radius: 1/16, legs: [face, 7/8], bends: [{angle: 90, direction: up}]}
handrail:
  walls: [back, left, right]
  section: {round: 1 1/2}
  standoff: 1 1/2
  end_clearance: 4
  overhang: 6
  max_spacing: 20
  bolt: {insertion: 1 3/4, flange: 1 1/4, lengths: [2, 2 1/4, 2 1/2], standoff_thread: [3/8, 5/8], anchor: 3/8}
fixings: {base_screws: 12, spline_screws: 12, spares: 10%}
rules: [us, us-wa]
"""


@dataclass(frozen=True)
class Wrong:
    """One wrong cab: what was changed, as words and as text, and the finding that comes first."""

    what: str
    old: str
    new: str
    code: str


def changed(wrong: Wrong) -> str:
    """The spec of a wrong cab; the text to change must stand in the right one, and is changed once."""
    assert wrong.old in RIGHT, wrong.what
    return RIGHT.replace(wrong.old, wrong.new, 1)


#: The wrong cabs, by what a reader would call the mistake.
WRONG: tuple[Wrong, ...] = (
    Wrong(
        "corner gap of 3/8 in: outer panels cannot slide on",
        "  corner_gap: 1/2",
        "  corner_gap: 3/8",
        "fit-end-gap",
    ),
    Wrong(
        "front gap of 3/8 in",
        "  front_gap: 1",
        "  front_gap: 3/8",
        "fit-end-gap",
    ),
    Wrong(
        "groove no deeper than the spline enters",
        "groove_depth: 1/2",
        "groove_depth: 3/8",
        "fit-groove-depth",
    ),
    Wrong(
        "base tab longer than the groove",
        "base_tab: 3/8",
        "base_tab: 1/2",
        "fit-groove-depth",
    ),
    Wrong(
        "no room over the frieze to drop its tab in",
        "    - gap: 3/4",
        "    - gap: 1/4",
        "fit-frieze-headroom",
    ),
    Wrong(
        "7 typed for 1 in a width reading",
        "width: [68 1/8, 68, 68 1/16]",
        "width: [68 1/8, 68, 78 1/16]",
        "survey-reading",
    ),
    Wrong(
        "readings 1/2 in apart",
        "width: [68 1/8, 68, 68 1/16]",
        "width: [68 1/2, 68, 68 1/16]",
        "survey-spread",
    ),
    Wrong(
        "a height reading a foot short",
        "height: [92 3/8, 92 1/4, 92 5/16]",
        "height: [92 3/8, 82 1/4, 92 5/16]",
        "survey-reading",
    ),
    Wrong(
        "a floor that falls 1/4 in",
        "      width: [68 1/8, 68, 68 1/16]",
        "      width: [68 1/8, 68, 68 1/16]\n      floor: [0, 1/8, 1/4]",
        "fit-floor-gap",
    ),
    Wrong(
        "floor gap of 1/2 in",
        "    - gap: 7/8",
        "    - gap: 1/2",
        "fit-floor-gap",
    ),
    Wrong(
        "groove almost at the face",
        "groove_offset: 1/4",
        "groove_offset: 1/8",
        "assembly-groove-lip",
    ),
    Wrong(
        "groove almost at the back",
        "groove_offset: 1/4",
        "groove_offset: 1/2",
        "assembly-groove-lip",
    ),
    Wrong(
        "groove behind the panel",
        "groove_offset: 1/4",
        "groove_offset: 5/8",
        "assembly-groove-through",
    ),
    Wrong(
        "space behind the back wall not verified",
        "      shell: 0.0781\n      behind: {verified: {by: R. Vance, date: 2026-02-20}, depth: 2 1/2}",
        "      shell: 0.0781\n      behind: {depth: 2 1/2}",
        "drill-unverified",
    ),
    Wrong(
        "a travelling cable behind a hole",
        "date: 2026-02-20}, depth: 2 1/2}",
        "date: 2026-02-20}, depth: 2 1/2, obstructions: [{what: travelling cable, x: 26, y: 20, width: 2, height: 30}]}",
        "drill-obstruction",
    ),
    Wrong(
        "a wireway 1 in behind a hole",
        "date: 2026-02-20}, depth: 2 1/2}",
        "date: 2026-02-20}, depth: 2 1/2, obstructions: [{what: wireway, x: 40, y: 30, width: 3, height: 8, behind: 1}]}",
        "drill-obstruction",
    ),
    Wrong(
        "too little depth behind the shell for the anchor",
        "date: 2026-02-20}, depth: 2 1/2}",
        "date: 2026-02-20}, depth: 1}",
        "drill-depth",
    ),
    Wrong(
        "an anchor that needs 3 in",
        "insertion: 1 3/4",
        "insertion: 3",
        "drill-depth",
    ),
    Wrong(
        "backer too low for the holes",
        "backer: {height: 6, centre: 34}",
        "backer: {height: 1 5/8, centre: 34}",
        "drill-edge",
    ),
    Wrong(
        "no bolt long enough in stock",
        "lengths: [2, 2 1/4, 2 1/2]",
        "lengths: [1 1/2, 1 3/4, 2]",
        "bolt-none",
    ),
    Wrong(
        "shell thickness not measured",
        "      shell: 0.0781\n",
        "",
        "bolt-no-shell",
    ),
    Wrong(
        "operating panel where a hole is",
        "      width: [51 3/8, 51 3/8, 51 7/16]",
        "      width: [51 3/8, 51 3/8, 51 7/16]\n      fixtures: [{what: operating panel, x: 8, y: 30, width: 9, height: 8}]",
        "fixture-rail",
    ),
    Wrong(
        "rail across the telephone",
        "      width: [51 3/8, 51 3/8, 51 7/16]",
        "      width: [51 3/8, 51 3/8, 51 7/16]\n      fixtures: [{what: telephone, x: 16, y: 33, width: 5, height: 2}]",
        "fixture-rail",
    ),
    Wrong(
        "an operating panel that splits a backer",
        "      width: [51 3/8, 51 3/8, 51 7/16]",
        "      width: [51 3/8, 51 3/8, 51 7/16]\n      fixtures: [{what: operating panel, x: 20, y: 28, width: 9, height: 40}]",
        "fixture-rail",
    ),
    Wrong(
        "a narrow strip left beside a fixture",
        "      width: [51 3/8, 51 3/8, 51 7/16]",
        "      width: [51 3/8, 51 3/8, 51 7/16]\n      fixtures: [{what: phone box, x: 2, y: 45, width: 9, height: 12}]",
        "fixture-strip",
    ),
    Wrong(
        "a fixture over a joint",
        "      width: [51 3/8, 51 3/8, 51 7/16]",
        "      width: [51 3/8, 51 3/8, 51 7/16]\n      fixtures: [{what: phone box, x: 21, y: 45, width: 9, height: 12}]",
        "fixture-crosses",
    ),
    Wrong(
        "a fixture over a whole panel",
        "      width: [51 3/8, 51 3/8, 51 7/16]",
        "      width: [51 3/8, 51 3/8, 51 7/16]\n      fixtures: [{what: glass, x: 0, y: 36, width: 26, height: 50}]",
        "fixture-covers",
    ),
    Wrong(
        "rails that meet in the corner",
        "end_clearance: 4",
        "end_clearance: 1/4",
        "rail-corner",
    ),
    Wrong(
        "rated load not given",
        "rated_load: 2500 lb, ",
        "",
        "mass-data",
    ),
    Wrong(
        "a material nobody knows",
        "material: particleboard",
        "material: unobtainium",
        "mass-material",
    ),
    Wrong(
        "steel panels on a small car",
        "material: particleboard",
        "material: stainless steel",
        "mass-allowance",
    ),
    Wrong(
        "a flange too short to bend",
        "legs: [face, 3/4], bends",
        "legs: [face, 1/8], bends",
        "metal-flange",
    ),
    Wrong(
        "a corner trim too narrow for the leaning shell",
        "corner_trim: {width: 1 3/4}",
        "corner_trim: {width: 3/8}",
        "tolerance-trim-cover",
    ),
    Wrong(
        "a front trim too narrow",
        "front_trim: {width: 1 1/2, stock: 96}",
        "front_trim: {width: 3/4, stock: 96}",
        "tolerance-trim-cover",
    ),
    Wrong(
        "tolerances that eat the end gap",
        "handrail:\n",
        "tolerances: {cutting: 1/16, survey: 1/8}\nhandrail:\n",
        "tolerance-worst-case",
    ),
    Wrong(
        "ADA: a car too small",
        "rules: [us, us-wa]",
        "rules: [us-ada]",
        "rule-car-size",
    ),
    Wrong(
        "California: rail too high",
        "rules: [us, us-wa]",
        "rules: [us-ca]",
        "rule-rail-height",
    ),
    Wrong(
        "Europe: rail too low",
        "rules: [us, us-wa]",
        "rules: [eu]",
        "rule-car-type",
    ),
    Wrong(
        "Washington: linings without evidence",
        "handrail:\n",
        "finishes: {lower: {name: Cherry, colour: cherry, texture: wood}}\nhandrail:\n",
        "rule-finish-evidence",
    ),
    Wrong(
        "a rail thicker than may be gripped",
        "section: {round: 1 1/2}",
        "section: {round: 3}",
        "rail-corner",
    ),
    Wrong(
        "a door too low for the long panels",
        "underside: 84",
        "underside: 40",
        "assembly-entry",
    ),
    Wrong(
        "an old hole where a new one comes",
        "      width: [68 1/8, 68, 68 1/16]",
        "      width: [68 1/8, 68, 68 1/16]\n      holes: [{x: 12, y: 34}]",
        "drill-old-hole",
    ),
    Wrong(
        "a spline that would clash",
        "spline_lift: 3/4",
        "spline_lift: 0",
        "assembly-no-path",
    ),
    Wrong(
        "spline thicker than its groove",
        "groove_width: 3/16",
        "groove_width: 3/32",
        "assembly-groove-width",
    ),
    Wrong(
        "stock bolts all too long",
        "lengths: [2, 2 1/4, 2 1/2]",
        "lengths: [4 3/4, 6]",
        "bolt-none",
    ),
    Wrong(
        "a gap that is seldom within its range",
        "rules: [us, us-wa]",
        "rules: [us, us-wa]\ntolerances: {cutting: 1/64, survey: 0, setting: 0, gap: 1/128}",
        "tolerance-looks",
    ),
    Wrong(
        "rails a hand too near in the corner",
        "end_clearance: 4",
        "end_clearance: 3",
        "rail-corner-near",
    ),
    Wrong(
        "a rated load too small for the floor",
        "rated_load: 2500 lb",
        "rated_load: 1800 lb",
        "rule-rated-load",
    ),
    Wrong(
        "a rail set by its centre as if by its top",
        "backer: {height: 6, centre: 34}",
        "backer: {height: 6, centre: 38}",
        "rule-rail-height",
    ),
    Wrong(
        "a ceiling under 80 in",
        "height: [92 3/8, 92 1/4, 92 5/16]",
        "height: [79 3/8, 79 1/4, 79 5/16]",
        "rule-clear-height",
    ),
)

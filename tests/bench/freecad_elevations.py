"""For `freecadcmd`: draws the outlines, lines, texts and dimensions of three elevations and exports each as DXF.

Reads what to draw from the counts of the elevations, which the variable COUNTS names; prints the seconds of process
time of each round, of which there are as many as TIMES says.
"""

import json
import os
import time

import Draft
import FreeCAD
import Import

with open(os.environ["COUNTS"]) as file:
    counts = json.load(file)
for _ in range(int(os.environ["TIMES"])):
    begun = time.process_time()
    for path, counted in counts.items():
        document = FreeCAD.newDocument("elevation")
        for kind, size, many in counted["layouts"]["Model"]:
            for n in range(many):
                at = FreeCAD.Vector(n * 3.7, 12.5, 0)
                if kind == "LWPOLYLINE":
                    Draft.make_wire([at + FreeCAD.Vector(i * 5, (i % 2) * 7, 0) for i in range(size)], closed=size > 2)
                elif kind == "LINE":
                    Draft.make_line(at, at + FreeCAD.Vector(10, 20, 0))
                elif kind == "CIRCLE":
                    Draft.make_circle(3.5)
                elif kind == "TEXT":
                    Draft.make_text(["x" * size], at)
                elif kind == "DIMENSION":
                    Draft.make_linear_dimension(at, at + FreeCAD.Vector(25, 0, 0), at + FreeCAD.Vector(5, 9, 0))
        document.recompute()
        Import.writeDXFObject(document.Objects, os.path.join(os.environ["FOLDER"], path.replace("/", "-")), 14, True)
        FreeCAD.closeDocument(document.Name)
    print("SECONDS", time.process_time() - begun, flush=True)
os._exit(0)

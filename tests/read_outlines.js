// Prints what the dxf package finds in each drawing: its unit, closed outlines and circles by layer, texts.
const fs = require("fs");
const dxf = require("dxf");
const all = {};
for (const path of process.argv.slice(2)) {
  const found = new dxf.Helper(fs.readFileSync(path, "utf8")).parsed;
  const boxes = [];
  const texts = [];
  let dimensions = 0;
  for (const entity of found.entities) {
    if (entity.type === "LWPOLYLINE" && entity.closed) {
      const xs = entity.vertices.map((v) => v.x);
      const ys = entity.vertices.map((v) => v.y);
      boxes.push([entity.layer, Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)]);
    }
    if (entity.type === "TEXT") texts.push(entity.string);
    if (entity.type === "DIMENSION") dimensions += 1;
  }
  all[path] = { unit: found.header.insUnits, boxes, texts, dimensions };
}
console.log(JSON.stringify(all));

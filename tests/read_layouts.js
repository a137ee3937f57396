// Prints what the dxf package finds in a drawing: layouts, viewports by layout, entities, text styles.
const fs = require("fs");
const dxf = require("dxf");
const found = new dxf.Helper(fs.readFileSync(process.argv[2], "utf8")).parsed;
const count = (entities) => {
  const kinds = {};
  for (const entity of entities) kinds[entity.type] = (kinds[entity.type] || 0) + 1;
  return kinds;
};
const strings = (entities) => entities.filter((e) => e.type === "TEXT").map((e) => e.string);
const ports = (entities) =>
  entities
    .filter((e) => e.type === "VIEWPORT")
    .map((e) => ({ x: e.center.x, y: e.center.y, width: e.width, height: e.height, id: e.id }));
const papers = found.blocks
  .filter((block) => /^\*Paper_Space/i.test(block.name))
  .map((block) => ({ kinds: count(block.entities), texts: strings(block.entities), ports: ports(block.entities) }));
const active = found.entities.filter((entity) => entity.paperSpace);
papers.push({ kinds: count(active), texts: strings(active), ports: ports(active) });
const model = found.entities.filter((entity) => !entity.paperSpace);
console.log(
  JSON.stringify({
    layouts: found.objects.layouts.map((l) => ({ name: l.name, width: l.maxLimitX, height: l.maxLimitY })),
    papers: papers.filter((paper) => paper.texts.length),
    model: count(model),
    styles: Object.values(found.tables.styles).map((s) => [s.name, s.primaryFontFileName]),
  }),
);

// The lists beside the drawings: findings, parts, steps, what is wrong, and the spec line by line.

import { every, lineButton, make, markButton, one, pieces, reveal, words } from "./build.js";

const STOPS = { fabrication: "stops fabrication", drilling: "stops drilling", nothing: "" };
const count = (number, what) => `${number} ${what}${number === 1 ? "" : "s"}`;

/** Keep where a list is scrolled to, and what in it has the focus, while it is made anew. */
const kept = (list, makeAnew) => {
  const key = list.contains(document.activeElement) ? document.activeElement.dataset.key : null;
  const { scrollTop } = list;
  makeAnew();
  list.scrollTop = scrollTop;
  if (key) one(`[data-key="${CSS.escape(key)}"]`, list)?.focus({ preventScroll: true });
};

export const showStamps = (stamps) => {
  one("#stamps").replaceChildren(...stamps.map((stamp) => make("li", {}, make("strong", {}, stamp.text), ` ${stamp.why}`)));
};

export const showFindings = (told) => {
  const list = one("#findings");
  const counts = ["error", "warning", "note"].map((kind) => [told.cards.filter((card) => card.severity === kind).length, kind])
    .filter(([number]) => number).map(([number, kind]) => count(number, kind)).join(", ");
  kept(list, () => list.replaceChildren(
    make("p", { class: "note" }, counts || "None: nothing was found that stops fabrication or drilling."),
    make("ol", {}, told.cards.map((card) => make("li", { class: `card ${card.severity}` },
      make("button", {
        type: "button", class: "finding", "aria-pressed": "false",
        "data-key": `${card.code} ${card.where} ${card.message}`,
        "data-marks": JSON.stringify(card.about.filter((piece) => piece.mark).map((piece) => piece.mark)),
        "data-wall": card.wall, "data-file": card.file, "data-line": card.line,
      },
      make("span", { class: "kind" }, `${card.severity}${STOPS[card.stops] ? `, ${STOPS[card.stops]}` : ""}`),
      make("span", { class: "message" }, card.message),
      card.hint ? make("span", { class: "hint-text" }, card.hint) : null,
      make("span", { class: "where" }, make("code", {}, card.where), ` line ${card.line}`)),
      card.about.length ? make("p", { class: "marks" }, card.about.map((piece) => (piece.mark ? markButton(piece.mark)
        : make("span", { class: "thing" }, piece)))) : null)))));
  one("#tab-findings").replaceChildren("Findings ", make("span", { class: "badge" }, String(told.cards.length)));
  one("#tab-findings").dataset.worst = told.cards.length ? told.cards[0].severity : "none";
};

/** The list of parts, cell by cell: what changed is shown for a moment. */
export const showParts = (told) => {
  const [head, body] = [one("#part-table thead"), one("#part-table tbody")];
  const heads = ["Mark", ...told.heads];
  if (head.textContent !== heads.join("")) {
    head.replaceChildren(make("tr", {}, heads.map((text) => make("th", { scope: "col" }, text))));
  }
  one("#part-note").textContent = told.note;
  one("#tab-parts").replaceChildren("Parts ", make("span", { class: "badge" }, String(told.rows.length)));
  const rows = new Map(every("tr", body).map((row) => [row.dataset.mark, row]));
  const first = !rows.size;
  const wanted = told.rows.map((part) => {
    const row = rows.get(part.mark) || make("tr", { "data-mark": part.mark },
      make("th", { scope: "row" }, markButton(part.mark)), part.cells.map(() => make("td")));
    row.dataset.kind = `${part.kind}, ${part.wall}`;
    part.cells.forEach((cell, index) => {
      const place = row.cells[index + 1];
      const text = words(cell);
      if (place.textContent === text) return;
      place.replaceChildren(...pieces(cell));
      if (first) return;
      place.classList.remove("fresh");
      void place.offsetWidth;
      place.classList.add("fresh");
    });
    return row;
  });
  const same = wanted.length === body.rows.length && wanted.every((row, index) => body.rows[index] === row);
  if (!same) body.replaceChildren(...wanted);
  filter();
};

const filter = () => {
  const terms = one("#find").value.toLowerCase().split(/\s+/).filter(Boolean);
  for (const row of every("#part-table tbody tr")) {
    const text = row.textContent.toLowerCase();
    row.hidden = !terms.every((term) => text.includes(term));
  }
};
one("#find").addEventListener("input", filter);

const table = (told, step) => make("div",
  { class: "scroll", tabindex: "0", role: "region", "aria-label": `Step ${step.number}, ${told.title}` }, make("table", {},
  make("caption", {}, told.title),
  make("thead", {}, make("tr", {}, told.heads.map((head) => (head ? make("th", { scope: "col" }, head) : make("td"))))),
  make("tbody", {}, told.rows.map((row) => make("tr", {},
    row.map((cell, index) => make("td", { class: told.right[index] ? "right" : null }, pieces(cell))))))));

export const showSteps = (steps) => {
  const list = one("#steps");
  const open = new Set(every("details[open]", list).map((found) => found.dataset.title));
  kept(list, () => list.replaceChildren(make("ol", {}, steps.map((step) => make("li", { class: "step", id: `step-${step.number}` },
    make("button", {
      type: "button", class: "step-title", "aria-pressed": "false", "data-key": `step ${step.title}`,
      "data-marks": JSON.stringify(step.marks),
    }, make("span", { class: "number" }, String(step.number)), make("span", {}, step.title)),
    step.stamps.map((stamp) => make("span", { class: "stamp" }, stamp)),
    make("details", { "data-title": step.title, open: open.has(step.title) },
      make("summary", {}, `How${step.marks.length ? `, ${count(step.marks.length, "part")}` : ""}`),
      step.how.map((line) => make("p", {}, line)),
      step.cautions.map((line) => make("p", { class: "warn" }, line)),
      step.tables.map((told) => table(told, step))))))));
  one("#tab-steps").replaceChildren("Steps ", make("span", { class: "badge" }, String(steps.length)));
};

/** What is wrong in the spec, each mistake with its line. */
export const showTrouble = (status) => {
  const trouble = one("#trouble");
  const { errors, mistake, drawn } = status;
  trouble.hidden = !errors.length && !mistake;
  if (trouble.hidden) { one("#trouble-list").replaceChildren(); return; }
  one("#trouble-title").textContent = mistake ? "This is a mistake in cabdraw, not in your spec"
    : errors.length === 1 ? "The spec has an error" : `The spec has ${errors.length} errors`;
  one("#trouble-note").textContent = mistake
    ? `Please send its report to the developers: ${mistake}.`
    : drawn ? "What you see is the last drawing that was right." : "There is nothing to draw until it is mended.";
  one("#trouble-list").replaceChildren(...errors.map((error) => make("li", {}, make("button",
    { type: "button", class: "error-line", "data-file": error.file, "data-line": error.line },
    make("span", { class: "at" }, error.line ? `${error.file}, line ${error.line}` : error.file),
    error.path ? make("code", {}, error.path) : null,
    make("span", { class: "what" }, error.what),
    error.hint ? make("span", { class: "hint-text" }, error.hint) : null))));
};

/** The spec's files, line by line; one is shown at a time. */
export class Spec {
  constructor() {
    this.files = [];
    this.shown = "";
    this.marked = new Map();
    this.wrong = new Map();
    this.text = one("#spec-text");
  }

  show(files) {
    this.files = files;
    if (!files.some((file) => file.name === this.shown)) this.shown = files.length ? files[0].name : "";
    this.draw();
  }

  pick(name) {
    if (name === this.shown || !this.files.some((file) => file.name === name)) return;
    this.shown = name;
    this.draw();
    this.text.scrollTop = 0;
  }

  draw() {
    const file = this.files.find((found) => found.name === this.shown);
    const { scrollTop, scrollLeft } = this.text;
    const old = every("li", this.text);
    const lines = file ? file.lines : [];
    if (old.length === lines.length && this.text.dataset.file === this.shown) {
      lines.forEach((line, index) => { const code = old[index].lastChild; if (code.textContent !== line) code.textContent = line; });
    } else {
      this.text.dataset.file = this.shown;
      this.text.replaceChildren(make("ol", {}, lines.map((line, index) => make("li", {},
        make("span", { class: "number", "aria-hidden": "true" }, String(index + 1)), make("code", {}, line)))));
    }
    one("#spec-title").textContent = this.shown || "Spec";
    one("#spec-files").replaceChildren(...(this.files.length < 2 ? [] : this.files.map((found) => make("button",
      { type: "button", "data-pick": found.name, "aria-pressed": String(found.name === this.shown) }, found.name))));
    this.text.scrollTop = scrollTop;
    this.text.scrollLeft = scrollLeft;
    this.light();
  }

  line(file, number) {
    const found = this.files.find((each) => each.name === file);
    return found ? found.lines[number - 1] ?? "" : "";
  }

  light() {
    const [on, wrong] = [this.marked.get(this.shown), this.wrong.get(this.shown)];
    every("li", this.text).forEach((item, index) => {
      const [lit, bad] = [Boolean(on?.has(index + 1)), Boolean(wrong?.has(index + 1))];
      if (lit !== item.classList.contains("on")) item.classList.toggle("on", lit);
      if (bad !== item.classList.contains("wrong")) item.classList.toggle("wrong", bad);
    });
  }

  /** Mark lines, and bring the first of them into view. */
  mark(places, go = true) {
    this.marked = gathered(places);
    if (places.length && go) this.go(places[0].file, places[0].line);
    else this.light();
  }

  blame(errors) {
    this.wrong = gathered(errors);
    this.light();
  }

  go(file, line) {
    this.pick(file);
    this.light();
    const item = every("li", this.text)[line - 1];
    if (item) this.text.scrollTop = item.offsetTop - this.text.clientHeight / 3;
  }
}

const gathered = (places) => {
  const found = new Map();
  for (const { file, line } of places) found.set(file, (found.get(file) || new Set()).add(line));
  return found;
};

/** What is known of the chosen part, from the list of parts. */
export const showChosen = (mark) => {
  const row = one(`#part-table tr[data-mark="${CSS.escape(mark)}"]`);
  const heads = every("#part-table thead th").map((head) => head.textContent);
  one("#chosen-mark").textContent = mark;
  one("#chosen-kind").textContent = row ? row.dataset.kind : "";
  one("#chosen-facts").replaceChildren(...(row ? [...row.cells].flatMap((cell, index) => {
    if (!index || cell.textContent === "–") return [];
    return [make("div", { class: cell.textContent.length > 24 ? "wide" : null },
      make("dt", {}, heads[index]), make("dd", {}, ...[...cell.childNodes].map((node) => node.cloneNode(true))))];
  }) : []));
  one("#chosen").hidden = false;
  reveal(row);
};

/** Each line of the spec once. */
const once = (places) => [...new Map(places.map((place) => [`${place.file}:${place.line}`, place])).values()];

/** The lines that made the chosen part, and how each of its sizes came about. */
export const showMade = (told, spec) => {
  const places = told.places.filter((place) => place.line);
  const many = new Set(places.map((place) => place.file)).size > 1;
  one("#chosen-lines").replaceChildren(...(places.length ? [make("h3", {}, "Made by these lines"),
    make("div", { class: "lines" }, once(places).map((place) => lineButton(place.file, place.line, spec.line(place.file, place.line).trim(), many)))]
    : []));
  const how = one("#chosen-how");
  const open = new Set(every("details[open]", how).map((found) => found.dataset.size));
  how.replaceChildren(...(told.sizes.length ? [make("h3", {}, "How its sizes came about"),
    ...told.sizes.map((found) => make("details", { "data-size": found.size, open: open.has(found.size) },
      make("summary", {}, make("span", {}, found.size), make("span", { class: "figure" }, found.shown)),
      make("ol", { class: "how" }, found.steps.map((step) => make("li", {},
        make("span", { class: "says" }, step.says),
        make("span", { class: "sum" }, `${step.expression}${step.expression === step.shown ? "" : ` = ${step.shown}`}`),
        once(step.places.filter((place) => !place.default && place.line)).map((place) => make("button",
          { type: "button", class: "mark", "data-file": place.file, "data-line": place.line }, `line ${place.line}`)),
        step.places.some((place) => place.default) ? make("span", { class: "thing" }, "a default") : null)))))] : []));
};

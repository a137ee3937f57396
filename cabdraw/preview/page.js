// The page: takes what the preview tells it, topic by topic, and keeps what is chosen and where one looks.

import { every, make, one, reveal, say } from "./build.js";
import { Drawing } from "./drawings.js";
import { Spec, showChosen, showFindings, showMade, showParts, showStamps, showSteps, showTrouble } from "./lists.js";

const TURN = ["left", "back", "right"];
const NAMES = { left: "Left", back: "Back", right: "Right", plan: "Plan", front: "Front" };
const narrow = matchMedia("(max-width: 60rem)");
const drawings = new Map();
const spec = new Spec();
let status = { drawn: false, errors: [], mistake: "" };
let ended = false;
let alone = "all";
let chosen = "";
let about = null;
let asked = 0;
let walls = {};

// --- what is shown ---

const drawing = (name) => {
  if (!drawings.has(name)) {
    const made = new Drawing(name, (mark) => (mark ? choose(mark, true) : leave()));
    drawings.set(name, made);
    made.light(chosen, new Set(about?.marks || []));
  }
  return drawings.get(name);
};

const arrange = (names) => {
  for (const [name, found] of drawings) if (!names.includes(name)) { found.element.remove(); drawings.delete(name); }
  one("#turn").replaceChildren(...names.filter((name) => TURN.includes(name)).map((name) => drawing(name).element));
  one("#flat").replaceChildren(...names.filter((name) => !TURN.includes(name)).map((name) => drawing(name).element));
  if (alone !== "all" && !names.includes(alone)) alone = "all";
  const button = (name, text) => make("button", { type: "button", "data-sheet": name }, text);
  one("#sheets").replaceChildren(button("all", "All"), ...names.map((name) => button(name, NAMES[name] || name)));
  only(alone);
};

const only = (name) => {
  alone = name;
  document.body.dataset.alone = name;
  for (const [each, found] of drawings) {
    found.element.hidden = name !== "all" && name !== each;
    found.element.classList.toggle("alone", name === each);
  }
  for (const row of [one("#turn"), one("#flat")]) row.hidden = ![...row.children].some((sheet) => !sheet.hidden);
  for (const button of every("#sheets button")) button.setAttribute("aria-pressed", String(button.dataset.sheet === name));
};

const showState = () => {
  const state = one("#state");
  const wrong = status.errors.length;
  const [kind, text] = ended ? ["ended", "Ended: run cabdraw preview again"]
    : status.mistake ? ["wrong", "A mistake in cabdraw"]
      : wrong ? ["wrong", `${wrong} ${wrong === 1 ? "error" : "errors"}`]
        : status.drawn ? ["right", `As saved at ${status.saved}`] : ["wait", "Drawing…"];
  state.className = `state ${kind}`;
  if (state.textContent !== text) state.textContent = text;
  document.body.classList.toggle("stale", Boolean(status.drawn && (wrong || status.mistake)));
};

const topics = {
  status: (told) => {
    status = told;
    showTrouble(told);
    spec.blame(told.errors);
    if (told.errors.length && told.errors[0].line) spec.go(told.errors[0].file, told.errors[0].line);
    showState();
  },
  about: (told) => {
    one("#title").textContent = told.title;
    one("#issue").textContent = told.issue;
    document.title = `${told.title}: cabdraw preview`;
    if (chosen && !told.marks.includes(chosen)) leave();
    else if (chosen) ask(chosen, false);
  },
  files: (told) => spec.show(told),
  drawings: arrange,
  findings: (told) => {
    walls = told.walls;
    showStamps(told.stamps);
    showFindings(told);
    for (const [name, found] of drawings) {
      found.stamps.replaceChildren(...(walls[name] || []).map((stamp) => make("span", { class: "stamp" }, stamp)));
    }
    press();
  },
  parts: (told) => {
    showParts(told);
    if (chosen) showChosen(chosen);
    light();
  },
  steps: (told) => { showSteps(told); press(); },
};

const take = (topic, run, told) => {
  if (topic.startsWith("drawing-")) {
    const found = drawing(topic.slice("drawing-".length));
    found.show(told);
    found.light(chosen, new Set(about?.marks || []));
  } else topics[topic](told);
  // When it is on screen: for whoever measures.
  requestAnimationFrame(() => setTimeout(() => {
    if (performance.getEntriesByType("mark").length > 2000) performance.clearMarks();
    performance.mark(topic, { detail: { run } });
  }));
};

// --- what is chosen ---

const light = () => {
  const marks = new Set(about?.marks || []);
  for (const [name, found] of drawings) {
    found.light(chosen, marks);
    found.element.classList.toggle("hit", Boolean(about) && !marks.size && about.wall === name);
  }
  for (const button of every("button.mark[data-mark]")) {
    button.classList.toggle("on", button.dataset.mark === chosen);
    button.classList.toggle("hit", marks.has(button.dataset.mark));
  }
  for (const row of every("#part-table tbody tr")) {
    row.classList.toggle("on", row.dataset.mark === chosen);
    row.classList.toggle("hit", marks.has(row.dataset.mark));
  }
};

const press = () => {
  for (const button of every("[data-key]")) button.setAttribute("aria-pressed", String(button.dataset.key === about?.key));
};

const bring = (marks) => { for (const found of drawings.values()) found.bring(marks); };

const choose = (mark, touched) => {
  chosen = mark;
  about = null;
  showChosen(mark);
  one("#chosen-lines").replaceChildren();
  one("#chosen-how").replaceChildren();
  light();
  press();
  bring([mark]);
  if (!touched) seek([mark]);
  ask(mark, true);
  say(`${mark} chosen: ${one("#chosen-facts").textContent}`);
};

/** Ask which lines made a part, and how. */
const ask = async (mark, go) => {
  const turn = ++asked;
  try {
    const answer = await fetch(`part?mark=${encodeURIComponent(mark)}`);
    if (turn !== asked || mark !== chosen || !answer.ok) return;
    const told = await answer.json();
    if (turn !== asked || mark !== chosen) return;
    showMade(told, spec);
    spec.mark(told.places.filter((place) => place.line), go);
  } catch (problem) { /* the preview has ended, and that is said */ }
};

/** Show the drawings, and of them one where parts can be seen. */
const seek = (marks) => {
  const found = [...drawings.values()].filter((each) => marks.some((mark) => each.has(mark)));
  if (!found.length) return;
  if (alone !== "all" && !found.some((each) => each.name === alone)) only(found[0].name);
  if (!narrow.matches) reveal(found[0].element);
};

const leave = () => {
  if (!chosen && !about) return;
  chosen = "";
  about = null;
  one("#chosen").hidden = true;
  spec.mark([]);
  light();
  press();
};

/** Show what a finding or a step is about. */
const point = (button) => {
  if (about?.key === button.dataset.key) { leave(); return; }
  chosen = "";
  one("#chosen").hidden = true;
  about = { key: button.dataset.key, marks: JSON.parse(button.dataset.marks), wall: button.dataset.wall };
  const place = button.dataset.line ? [{ file: button.dataset.file, line: Number(button.dataset.line) }] : [];
  spec.mark(place);
  light();
  press();
  const marks = about.marks.length || !button.dataset.wall ? about.marks : [];
  bring(marks);
  if (marks.length) seek(marks);
  else if (button.dataset.wall && drawings.has(button.dataset.wall)) {
    if (alone !== "all") only(button.dataset.wall);
    reveal(drawings.get(button.dataset.wall).element);
  }
  say(`${about.marks.length ? `${about.marks.join(", ")} shown on the drawings` : "shown"}${place.length ? `, line ${place[0].line} of the spec` : ""}`);
};

// --- tabs: on a narrow page they are all that there is room for, one at a time ---

const tab = (name) => {
  document.body.dataset.show = name;
  for (const button of every("[role=tab]")) {
    const on = button.dataset.tab === name;
    button.setAttribute("aria-selected", String(on));
    button.tabIndex = on ? 0 : -1;
  }
};

const tabs = () => every("[role=tab]").filter((button) => button.offsetParent);
one("#tabs").addEventListener("keydown", (event) => {
  const shown = tabs();
  const index = shown.indexOf(event.target);
  const next = { ArrowRight: index + 1, ArrowLeft: index - 1, Home: 0, End: shown.length - 1 }[event.key];
  if (index < 0 || next === undefined) return;
  event.preventDefault();
  const to = shown[(next + shown.length) % shown.length];
  tab(to.dataset.tab);
  to.focus();
});
const settle = () => {
  const wanted = document.body.dataset.show;
  if (narrow.matches) tab(wanted); else tab(["findings", "parts", "steps"].includes(wanted) ? wanted : "findings");
};
narrow.addEventListener("change", settle);

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  const { dataset } = button;
  if (dataset.tab) tab(dataset.tab);
  else if (dataset.sheet) only(dataset.sheet);
  else if (dataset.pick) { spec.pick(dataset.pick); } else if (dataset.mark) choose(dataset.mark, false);
  else if (dataset.step) {
    tab("steps");
    const step = one(`#step-${dataset.step}`);
    reveal(step);
    if (about?.key !== one(".step-title", step).dataset.key) point(one(".step-title", step));
  } else if (dataset.key) {
    if (narrow.matches && about?.key !== dataset.key && JSON.parse(dataset.marks).length) tab("drawings");
    point(button);
  } else if (dataset.line) {
    if (narrow.matches) tab("spec");
    spec.go(dataset.file, Number(dataset.line));
  }
});
one("#chosen-close").addEventListener("click", leave);
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") leave();
});

let before = null;
addEventListener("beforeprint", () => {
  before = { alone, windows: [...drawings.values()].map((found) => [found, found.now]) };
  only("all");
  for (const found of drawings.values()) if (found.whole) found.set(found.whole);
});
addEventListener("afterprint", () => {
  if (!before) return;
  only(before.alone);
  for (const [found, now] of before.windows) if (now) found.set(now);
});

// --- the stream ---

settle();
const stream = new EventSource("events");
for (const name of [...Object.keys(topics), ...["left", "back", "right", "plan", "front"].map((each) => `drawing-${each}`)]) {
  stream.addEventListener(name, (event) => take(name, Number(event.lastEventId), JSON.parse(event.data)));
}
stream.addEventListener("open", () => { ended = false; showState(); });
stream.addEventListener("error", () => { ended = true; showState(); });

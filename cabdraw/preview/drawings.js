// Drawings: each in a pane of its own that can be moved and zoomed, and that keeps its place when it is drawn anew.

import { every, make, one, say } from "./build.js";

const MOST = 40;
const TURN = 1.5;
const SVG = "http://www.w3.org/2000/svg";
// Only drawings come as markup; their texts were escaped by whoever wrote them.
const trusted = window.trustedTypes
  ? trustedTypes.createPolicy("drawing", { createHTML: (markup) => markup })
  : { createHTML: (markup) => markup };

export class Drawing {
  constructor(name, onTouch) {
    this.name = name;
    this.onTouch = onTouch;
    this.whole = null;
    this.now = null;
    this.pointers = new Map();
    this.dragged = false;
    this.svg = document.createElementNS(SVG, "svg");
    this.svg.setAttribute("role", "group");
    this.ink = document.createElementNS(SVG, "g");
    this.ink.setAttribute("class", "ink");
    this.ink.setAttribute("aria-hidden", "true");
    this.places = document.createElementNS(SVG, "g");
    this.places.setAttribute("class", "places");
    this.svg.append(this.ink, this.places);
    this.title = make("h2", { id: `title-${name}` });
    this.under = make("p", { class: "under" });
    this.stamps = make("span", { class: "sheet-stamps" });
    this.tools = make("div", { class: "tools" });
    this.pane = make("div", {
      class: "pane", tabindex: "0", role: "group",
      "aria-keyshortcuts": "ArrowLeft ArrowRight ArrowUp ArrowDown + - 0",
    });
    this.pane.append(this.svg);
    this.element = make("section", { class: "leaf", id: `sheet-${name}`, "aria-labelledby": `title-${name}` },
      make("div", { class: "sheet-head" }, make("div", {}, this.title, this.under), this.stamps, this.tools), this.pane);
    const { pane } = this;
    pane.addEventListener("pointerdown", (event) => this.down(event));
    pane.addEventListener("pointermove", (event) => this.move(event));
    for (const kind of ["pointerup", "pointercancel"]) pane.addEventListener(kind, (event) => this.up(event));
    pane.addEventListener("click", (event) => this.click(event));
    pane.addEventListener("dblclick", () => this.turn("all"));
    pane.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    pane.addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => this.fit()).observe(pane);
  }

  /** Draw what came anew; the part of the model that was seen stays where it was. */
  show(told) {
    const before = this.told;
    const seen = this.zoomed() ? this.inModel(this.now) : null;
    const focused = document.activeElement && this.places.contains(document.activeElement)
      ? document.activeElement.dataset.part : null;
    this.told = told;
    if (!before || before.ink !== told.ink) this.ink.innerHTML = trusted.createHTML(told.ink);
    if (!before || before.places !== told.places) {
      this.places.innerHTML = trusted.createHTML(told.places);
      this.links = every("[data-part]:not(.out)", this.places);
      if (this.links.length) this.links[0].setAttribute("tabindex", "0");
    }
    this.whole = { x: 0, y: 0, width: told.width, height: told.height };
    this.element.style.setProperty("--aspect", String(told.width / told.height));
    if (!before || before.title !== told.title || before.under !== told.under) this.name_(told);
    this.set(seen ? this.onPaper(seen) : this.whole);
    const again = focused && this.links.find((link) => link.dataset.part === focused);
    if (again) { this.stand(again); again.focus({ preventScroll: true }); }
  }

  name_(told) {
    this.title.textContent = told.title;
    this.under.textContent = told.under;
    this.svg.setAttribute("aria-label", told.title);
    this.pane.setAttribute("aria-label",
      `${told.title}, drawing: arrow keys move it, plus and minus zoom, 0 shows all of it, Tab goes to its parts`);
    const tool = (how, sign, says) => make("button",
      { type: "button", "data-zoom": how, "aria-label": `${says}: ${told.title}`, title: says }, sign);
    this.tools.replaceChildren(tool("out", "−", "Zoom out"), tool("in", "+", "Zoom in"), tool("all", "⤢", "Whole drawing"));
    for (const button of every("button", this.tools)) {
      button.addEventListener("click", () => this.turn(button.dataset.zoom));
    }
  }

  zoomed() {
    return Boolean(this.now) && this.now.width < this.whole.width * 0.999;
  }

  /** A window on the paper, as a window on the model in mm: what is kept when the drawing moves on its paper. */
  inModel(now) {
    const { scale, at, height } = this.told;
    return {
      x: (now.x + now.width / 2 - at[0]) / scale,
      y: (height - now.y - now.height / 2 - at[1]) / scale,
      width: now.width / scale,
    };
  }

  onPaper(seen) {
    const { scale, at, height } = this.told;
    const width = seen.width * scale;
    const share = width * this.ratio();
    return { x: seen.x * scale + at[0] - width / 2, y: height - seen.y * scale - at[1] - share / 2, width };
  }

  /** Height over width of what the pane shows. */
  ratio() {
    return this.whole.height / this.whole.width;
  }

  fit() {
    if (this.now) this.set(this.now);
  }

  set(next) {
    const { whole } = this;
    const width = Math.min(whole.width, Math.max(whole.width / MOST, next.width));
    const height = width * this.ratio();
    const within = (at, room) => Math.min(Math.max(at, 0), Math.max(0, room));
    this.now = { x: within(next.x, whole.width - width), y: within(next.y, whole.height - height), width, height };
    this.svg.setAttribute("viewBox", Object.values(this.now).map((value) => Number(value.toFixed(3))).join(" "));
    this.pane.classList.toggle("zoomed", this.zoomed());
  }

  zoom(factor, at) {
    const { x, y, width, height } = this.now;
    const wanted = Math.min(this.whole.width, Math.max(this.whole.width / MOST, width / factor));
    const share = wanted / width;
    const middle = at || { x: x + width / 2, y: y + height / 2 };
    this.set({ x: middle.x - (middle.x - x) * share, y: middle.y - (middle.y - y) * share, width: wanted });
  }

  turn(how) {
    if (!this.now) return;
    if (how === "all") this.set(this.whole);
    else this.zoom(how === "in" ? TURN : 1 / TURN);
    say(how === "all" ? "whole drawing" : `zoom ${Math.round((100 * this.whole.width) / this.now.width)} %`);
  }

  at(clientX, clientY) {
    return new DOMPoint(clientX, clientY).matrixTransform(this.svg.getScreenCTM().inverse());
  }

  down(event) {
    if (event.button || !this.now) return;
    if (!this.pointers.size) this.dragged = false;
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  }

  move(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const after = { x: event.clientX, y: event.clientY };
    if (this.pointers.size === 1) {
      if (!this.dragged && Math.hypot(after.x - before.x, after.y - before.y) < 4) return;
      if (!this.dragged) {
        this.dragged = true;
        if (this.zoomed()) this.pane.setPointerCapture(event.pointerId);
      }
      const [a, b] = [this.at(before.x, before.y), this.at(after.x, after.y)];
      if (this.zoomed()) this.set({ ...this.now, x: this.now.x + a.x - b.x, y: this.now.y + a.y - b.y });
    } else if (this.pointers.size === 2) {
      this.dragged = true;
      const other = [...this.pointers].find(([id]) => id !== event.pointerId)[1];
      const length = (point) => Math.hypot(point.x - other.x, point.y - other.y);
      const old = this.at((before.x + other.x) / 2, (before.y + other.y) / 2);
      if (length(before) > 0) this.zoom(length(after) / length(before), old);
      const now = this.at((after.x + other.x) / 2, (after.y + other.y) / 2);
      this.set({ ...this.now, x: this.now.x + old.x - now.x, y: this.now.y + old.y - now.y });
    }
    this.pointers.set(event.pointerId, after);
  }

  up(event) {
    this.pointers.delete(event.pointerId);
  }

  click(event) {
    if (this.dragged) { this.dragged = false; return; }
    const link = event.target.closest("[data-part]");
    if (link) {
      this.stand(link);
      link.focus({ preventScroll: true });
    }
    this.onTouch(link ? link.dataset.part : null);
  }

  wheel(event) {
    // Over several drawings the wheel scrolls, until one of them was clicked or reached with the keyboard.
    const meant = event.ctrlKey || event.metaKey || this.pane.contains(document.activeElement)
      || this.element.classList.contains("alone");
    if (!this.now || !meant) return;
    const factor = Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.002));
    if (factor < 1 && !this.zoomed()) return;
    event.preventDefault();
    this.zoom(factor, this.at(event.clientX, event.clientY));
  }

  key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey || !this.now) return;
    const { key } = event;
    const link = event.target.closest("[data-part]");
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[key];
    if (key === "+" || key === "=") this.turn("in");
    else if (key === "-") this.turn("out");
    else if (key === "0") this.turn("all");
    else if (link && (key === "Enter" || key === " ")) this.onTouch(link.dataset.part);
    else if (link) { if (!this.walk(link, key)) return; } else if (step && this.zoomed()) {
      const { x, y, width, height } = this.now;
      this.set({ ...this.now, x: x + step[0] * width * 0.15, y: y + step[1] * height * 0.15 });
    } else return;
    event.preventDefault();
  }

  walk(from, key) {
    const index = this.links.indexOf(from);
    const last = this.links.length - 1;
    const next = {
      ArrowRight: Math.min(last, index + 1), ArrowDown: Math.min(last, index + 1),
      ArrowLeft: Math.max(0, index - 1), ArrowUp: Math.max(0, index - 1), Home: 0, End: last,
    }[key];
    if (index < 0 || next === undefined) return false;
    this.stand(this.links[next]);
    this.links[next].focus({ preventScroll: true });
    this.bring([this.links[next].dataset.part]);
    return true;
  }

  stand(link) {
    for (const other of this.links) other.setAttribute("tabindex", other === link ? "0" : "-1");
  }

  /** Light up parts: the chosen one, and those that something else is about. */
  light(chosen, about) {
    for (const link of every("[data-part]", this.places)) {
      link.classList.toggle("on", link.dataset.part === chosen);
      link.classList.toggle("hit", about.has(link.dataset.part));
      if (!link.classList.contains("out")) link.setAttribute("aria-pressed", String(link.dataset.part === chosen));
    }
  }

  /** Move the window so that a part outside it comes into it. */
  bring(marks) {
    if (!this.zoomed()) return;
    const { now } = this;
    const boxes = every("[data-part]", this.places).filter((link) => marks.includes(link.dataset.part))
      .map((link) => link.getBBox());
    const inside = (box) => box.x + box.width > now.x && box.x < now.x + now.width
      && box.y + box.height > now.y && box.y < now.y + now.height;
    if (!boxes.length || boxes.some(inside)) return;
    const [box] = boxes;
    this.set({ ...now, x: box.x + box.width / 2 - now.width / 2, y: box.y + box.height / 2 - now.height / 2 });
  }

  has(mark) {
    return Boolean(one(`[data-part="${CSS.escape(mark)}"]`, this.places));
  }
}

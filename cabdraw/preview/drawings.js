// Drawings: each in a pane of its own that can be moved and zoomed, and that keeps its place when it is drawn anew.

import { every, make, one, say } from "./build.js";
import { Pane } from "./pane.js";

const SVG = "http://www.w3.org/2000/svg";
// Only drawings come as markup; their texts were escaped by whoever wrote them.
const trusted = window.trustedTypes
  ? trustedTypes.createPolicy("drawing", { createHTML: (markup) => markup })
  : { createHTML: (markup) => markup };

export class Drawing extends Pane {
  constructor(name, onTouch) {
    const svg = document.createElementNS(SVG, "svg");
    svg.setAttribute("role", "group");
    super(make("div", { class: "pane", role: "group" }, svg), svg, say);
    this.name = name;
    this.onTouch = onTouch;
    this.ink = document.createElementNS(SVG, "g");
    this.ink.setAttribute("class", "ink");
    this.ink.setAttribute("aria-hidden", "true");
    this.places = document.createElementNS(SVG, "g");
    this.places.setAttribute("class", "places");
    svg.append(this.ink, this.places);
    this.title = make("h2", { id: `title-${name}` });
    this.under = make("p", { class: "under" });
    this.stamps = make("span", { class: "sheet-stamps" });
    this.tools = make("div", { class: "tools" });
    this.element = make("section", { class: "leaf", id: `sheet-${name}`, "aria-labelledby": `title-${name}` },
      make("div", { class: "sheet-head" }, make("div", {}, this.title, this.under), this.stamps, this.tools), this.box);
    this.box.addEventListener("click", (event) => this.touch(event));
    new ResizeObserver(() => this.fit()).observe(this.box);
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
    this.box.setAttribute("aria-label",
      `${told.title}, drawing: arrow keys move it, plus and minus zoom, 0 shows all of it, Tab goes to its parts`);
    const tool = (how, sign, says) => make("button",
      { type: "button", "data-zoom": how, "aria-label": `${says}: ${told.title}`, title: says }, sign);
    this.tools.replaceChildren(tool("out", "−", "Zoom out"), tool("in", "+", "Zoom in"), tool("all", "⤢", "Whole drawing"));
    for (const button of every("button", this.tools)) {
      button.addEventListener("click", () => this.turn(button.dataset.zoom));
    }
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

  fit() {
    if (this.now) this.set(this.now);
  }

  touch(event) {
    const link = event.target.closest("[data-part]");
    if (link) {
      this.stand(link);
      link.focus({ preventScroll: true });
    }
    this.onTouch(link ? link.dataset.part : null);
  }

  meant(event) {
    return super.meant(event) || this.element.classList.contains("alone");
  }

  key(event) {
    const link = event.target.closest("[data-part]");
    const plain = !(event.altKey || event.ctrlKey || event.metaKey);
    if (link && plain && (event.key === "Enter" || event.key === " ")) {
      this.onTouch(link.dataset.part);
      event.preventDefault();
    } else super.key(event);
  }

  /** Light up parts: the chosen one, and those that something else is about. */
  light(chosen, about) {
    for (const link of every("[data-part]", this.places)) {
      link.classList.toggle("on", link.dataset.part === chosen);
      link.classList.toggle("hit", about.has(link.dataset.part));
      if (!link.classList.contains("out")) link.setAttribute("aria-pressed", String(link.dataset.part === chosen));
    }
  }

  bring(marks) {
    super.bring(marks, every("[data-part]", this.places));
  }

  has(mark) {
    return Boolean(one(`[data-part="${CSS.escape(mark)}"]`, this.places));
  }
}

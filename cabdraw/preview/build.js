// Small things that every part of the page is built with. Texts become text nodes, whatever stands in them.

export const one = (selector, from = document) => from.querySelector(selector);
export const every = (selector, from = document) => [...from.querySelectorAll(selector)];

/** An element with attributes and children; what is null or false is left out. */
export const make = (name, attributes = {}, ...children) => {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    element.setAttribute(key, value === true ? "" : value);
  }
  element.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== ""));
  return element;
};

/** A part's mark, to be touched. */
export const markButton = (mark) => make("button", { type: "button", class: "mark", "data-mark": mark }, mark);

/** What stands in a cell of a list: words, figures, marks, the numbers of steps. */
export const pieces = (cell) => cell.map((piece) => {
  if (typeof piece === "string") return piece;
  if ("figure" in piece) return make("data", { value: piece.value }, piece.figure);
  if ("mark" in piece) return markButton(piece.mark);
  return make("button", { type: "button", class: "mark", "data-step": piece.step }, String(piece.step));
});

/** The words of a cell. */
export const words = (cell) => cell.map((piece) => (typeof piece === "string" ? piece
  : piece.figure ?? piece.mark ?? String(piece.step))).join("");

/** Say something to whoever listens. */
export const say = (text) => { one("#said").textContent = text; };

/** A line of the spec, to be touched. */
export const lineButton = (file, line, text, many) => make(
  "button", { type: "button", class: "line", "data-file": file, "data-line": line },
  make("span", { class: "number" }, many ? `${file}:${line}` : String(line)), make("code", {}, text));

/** Bring an element into view within what scrolls it, and only as far as need be. */
export const reveal = (element) => {
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  if (element && element.offsetParent) element.scrollIntoView({ block: "nearest", behavior: calm ? "instant" : "smooth" });
};

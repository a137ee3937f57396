// A drawing in a pane: a window on it that is moved and zoomed with pointer, wheel and keys, and its parts to walk along.
// The preview loads this as a module; the page that works by itself takes it in as text.

const MOST = 40;
const TURN = 1.5;
/** How many pixels a pointer moves before it drags. */
const FAR = 5;

export class Pane {
  /** Of the drawing `whole` is what can be seen at most, `now` what is seen; `links` are its parts in their order. */
  constructor(box, svg, say) {
    this.box = box;
    this.svg = svg;
    this.say = say;
    this.whole = null;
    this.now = null;
    this.links = [];
    this.pointers = new Map();
    this.dragged = false;
    box.tabIndex = 0;
    box.setAttribute("aria-keyshortcuts", "ArrowLeft ArrowRight ArrowUp ArrowDown + - 0");
    box.addEventListener("pointerdown", (event) => this.down(event));
    box.addEventListener("pointermove", (event) => this.move(event));
    for (const kind of ["pointerup", "pointercancel"]) box.addEventListener(kind, (event) => this.up(event));
    box.addEventListener("click", (event) => this.click(event), true);
    box.addEventListener("dblclick", () => this.turn("all"));
    box.addEventListener("dragstart", (event) => event.preventDefault());
    box.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    box.addEventListener("keydown", (event) => this.key(event));
  }

  zoomed() {
    return Boolean(this.now) && this.now.width < this.whole.width * 0.999;
  }

  /** Height over width of what the pane shows. */
  ratio() {
    return this.whole.height / this.whole.width;
  }

  set(next) {
    const { whole } = this;
    const width = Math.min(whole.width, Math.max(whole.width / MOST, next.width));
    const height = width * this.ratio();
    const within = (at, low, room) => Math.min(Math.max(at, low), low + Math.max(0, room));
    this.now = {
      x: within(next.x, whole.x, whole.width - width), y: within(next.y, whole.y, whole.height - height), width, height,
    };
    this.svg.setAttribute("viewBox", Object.values(this.now).map((value) => Number(value.toFixed(4))).join(" "));
    this.box.classList.toggle("zoomed", this.zoomed());
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
    this.say(how === "all" ? "whole drawing" : `zoom ${Math.round((100 * this.whole.width) / this.now.width)} %`);
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
      if (!this.dragged && Math.hypot(after.x - before.x, after.y - before.y) < FAR) return;
      if (!this.dragged) {
        this.dragged = true;
        if (this.zoomed()) this.box.setPointerCapture(event.pointerId);
      }
      this.carry(this.at(before.x, before.y), this.at(after.x, after.y));
    } else if (this.pointers.size === 2) {
      this.dragged = true;
      const other = [...this.pointers].find(([id]) => id !== event.pointerId)[1];
      const length = (point) => Math.hypot(point.x - other.x, point.y - other.y);
      const old = this.at((before.x + other.x) / 2, (before.y + other.y) / 2);
      if (length(before) > 0) this.zoom(length(after) / length(before), old);
      this.carry(old, this.at((after.x + other.x) / 2, (after.y + other.y) / 2));
    }
    this.pointers.set(event.pointerId, after);
  }

  /** Move the window so that what was seen at one place is seen at another. */
  carry(from, to) {
    this.set({ ...this.now, x: this.now.x + from.x - to.x, y: this.now.y + from.y - to.y });
  }

  up(event) {
    this.pointers.delete(event.pointerId);
  }

  /** What ends a drag is no click. */
  click(event) {
    if (!this.dragged) return;
    this.dragged = false;
    event.preventDefault();
    event.stopPropagation();
  }

  /** Whether the wheel is meant for this drawing and not for the page: with a key, or once it was clicked or reached. */
  meant(event) {
    return event.ctrlKey || event.metaKey || this.box.contains(document.activeElement);
  }

  wheel(event) {
    if (!this.now || !this.meant(event)) return;
    const factor = Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.002));
    if (factor < 1 && !this.zoomed()) return;
    event.preventDefault();
    this.zoom(factor, this.at(event.clientX, event.clientY));
  }

  key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey || !this.now) return;
    const { key } = event;
    const link = event.target.closest("[data-part]");
    if (key === "+" || key === "=") this.turn("in");
    else if (key === "-") this.turn("out");
    else if (key === "0") this.turn("all");
    else if (!(link ? this.walk(link, key) : this.pan(key))) return;
    event.preventDefault();
  }

  pan(key) {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[key];
    if (!step || !this.zoomed()) return false;
    const { x, y, width, height } = this.now;
    this.set({ ...this.now, x: x + step[0] * width * 0.15, y: y + step[1] * height * 0.15 });
    return true;
  }

  walk(from, key) {
    const index = this.links.indexOf(from);
    const last = this.links.length - 1;
    const next = {
      ArrowRight: Math.min(last, index + 1), ArrowDown: Math.min(last, index + 1),
      ArrowLeft: Math.max(0, index - 1), ArrowUp: Math.max(0, index - 1), Home: 0, End: last,
    }[key];
    if (index < 0 || next === undefined) return false;
    const link = this.links[next];
    this.stand(link);
    link.focus({ preventScroll: true });
    this.bring([link.dataset.part]);
    return true;
  }

  /** The part that the Tab key comes to. */
  stand(link) {
    for (const other of this.links) other.setAttribute("tabindex", other === link ? "0" : "-1");
  }

  /** Move the window so that one of some parts comes into it, where all of them lie outside. */
  bring(marks, among = this.links) {
    if (!this.zoomed()) return;
    const { now } = this;
    const boxes = among.filter((link) => marks.includes(link.dataset.part)).map((link) => link.getBBox());
    const inside = (box) => box.x + box.width > now.x && box.x < now.x + now.width
      && box.y + box.height > now.y && box.y < now.y + now.height;
    if (!boxes.length || boxes.some(inside)) return;
    const [box] = boxes;
    this.set({ ...now, x: box.x + box.width / 2 - now.width / 2, y: box.y + box.height / 2 - now.height / 2 });
  }
}

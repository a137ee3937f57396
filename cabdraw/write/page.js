(() => {
  "use strict";
  const one = (selector, from = document) => from.querySelector(selector);
  const every = (selector, from = document) => [...from.querySelectorAll(selector)];
  const root = document.documentElement;
  root.classList.add("js");
  every("[data-script]").forEach((element) => { element.hidden = false; });

  // --- parts: their rows hold everything that is said of them ---

  const rows = new Map(every("tr[data-part]").map((row) => [row.dataset.part, row]));
  const order = [...rows.keys()];
  const linked = new Map();
  every("a[data-part]").forEach((link) => {
    const mark = link.dataset.part;
    linked.set(mark, [...(linked.get(mark) || []), link]);
  });
  const panel = one("#panel");
  const said = one("#said");
  const heads = every("#parts thead th").map((head) => head.textContent);
  let chosen = "";

  const say = (text) => { said.textContent = text; };

  const spoken = (mark) => {
    const cells = [...rows.get(mark).cells].map((cell) => cell.textContent);
    const facts = heads.slice(1).map((head, index) => `${head} ${cells[index + 1]}`);
    return `${mark}: ${facts.filter((fact) => !fact.endsWith(" –")).join(", ")}`;
  };

  const choose = (mark, touched) => {
    if (!rows.has(mark)) return;
    for (const link of linked.get(chosen) || []) link.classList.remove("on");
    if (chosen) rows.get(chosen).classList.remove("on");
    chosen = mark;
    for (const link of linked.get(mark) || []) link.classList.add("on");
    const row = rows.get(mark);
    row.classList.add("on");
    root.classList.add("chosen");
    fill(mark, row, touched);
    say(spoken(mark));
    for (const view of views) view.choose(mark);
    try { history.replaceState(null, "", `#${row.id}`); } catch (problem) { /* some viewers allow no address */ }
  };

  const fill = (mark, row, touched) => {
    const facts = document.createElement("dl");
    facts.className = "facts";
    [...row.cells].forEach((cell, index) => {
      if (index === 0 || cell.textContent === "–") return;
      const name = document.createElement("dt");
      const value = document.createElement("dd");
      name.textContent = heads[index];
      value.append(...[...cell.childNodes].map((node) => node.cloneNode(true)));
      facts.append(name, value);
    });
    const empty = one("#panel-empty");
    if (empty) empty.hidden = true;
    one("#panel-mark").textContent = mark;
    one("#panel-facts").replaceChildren(facts);
    const wall = one(`#wall-${row.dataset.wall}`);
    const link = one("#panel-show");
    link.hidden = touched || !wall || !one(`[data-part="${mark}"]`, wall);
    link.href = `#wall-${row.dataset.wall}`;
    one("#panel-chosen").hidden = false;
    panel.hidden = false;
  };

  const leave = () => {
    for (const link of linked.get(chosen) || []) link.classList.remove("on");
    if (chosen) rows.get(chosen).classList.remove("on");
    const last = chosen;
    chosen = "";
    root.classList.remove("chosen");
    one("#panel-chosen").hidden = true;
    one("#panel-empty").hidden = false;
    panel.hidden = !wide.matches;
    say("no part chosen");
    try { history.replaceState(null, "", location.pathname + location.search); } catch (problem) { /* as above */ }
    return last;
  };

  // --- drawings: to pan and zoom ---

  class View extends Pane {
    constructor(box) {
      super(box, one("svg", box), say);
      const { x, y, width, height } = this.svg.viewBox.baseVal;
      this.whole = { x, y, width, height };
      this.now = { ...this.whole };
      this.links = every("a[data-part]", box).sort(
        (a, b) => order.indexOf(a.dataset.part) - order.indexOf(b.dataset.part));
      this.stand(this.links[0]);
      for (const button of every("button[data-zoom]", box.closest(".drawing"))) {
        button.addEventListener("click", () => this.turn(button.dataset.zoom));
      }
    }

    choose(mark) {
      const link = this.links.find((found) => found.dataset.part === mark);
      if (!link) return;
      this.stand(link);
      this.bring([mark]);
    }
  }

  const views = every(".pane").map((box) => new View(box));
  const job = one("#job");
  if (matchMedia("(max-width: 40rem)").matches) job.open = false;
  let kept = [];
  addEventListener("beforeprint", () => {
    job.open = true;
    kept = views.map((view) => view.now);
    views.forEach((view) => view.set(view.whole));
  });
  addEventListener("afterprint", () => views.forEach((view, index) => view.set(kept[index] || view.whole)));

  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-part]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const found = results.contains(link);
    if (link.closest(".pane")) link.focus({ preventScroll: true });
    choose(link.dataset.part, Boolean(link.closest(".pane")));
    if (found) go(link.dataset.part);
  });

  // --- search by mark ---

  const field = one("#search");
  const results = one("#results");
  const count = one("#count");
  const tools = one("#list-filter");

  const matches = () => {
    const terms = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    if (!terms.length) return null;
    return order.filter((mark) => {
      const text = `${mark} ${rows.get(mark).textContent}`.toLowerCase();
      return terms.every((term) => text.includes(term));
    }).sort((a, b) => rank(a, terms) - rank(b, terms));
  };

  const rank = (mark, terms) => terms.reduce(
    (sum, term) => sum + (mark === term ? 0 : mark.startsWith(term) ? 1 : mark.includes(term) ? 2 : 3), 0);

  const search = () => {
    const found = matches();
    for (const [mark, row] of rows) row.hidden = Boolean(found) && !found.includes(mark);
    for (const [mark, links] of linked) {
      for (const link of links) link.classList.toggle("hit", Boolean(found) && found.includes(mark));
    }
    results.hidden = !found;
    tools.hidden = !found;
    if (!found) { count.textContent = ""; results.replaceChildren(); return; }
    const text = found.length ? `${found.length} of ${order.length} parts` : "no part is called that";
    count.textContent = text;
    tools.textContent = `Showing ${text}; clear the search to see all.`;
    const list = document.createElement("ul");
    for (const mark of found.slice(0, 12)) {
      const item = document.createElement("li");
      const link = document.createElement("a");
      const size = document.createElement("span");
      link.href = `#${rows.get(mark).id}`;
      link.dataset.part = mark;
      link.append(mark, size);
      size.textContent = ["Visible", "Overall"].map((head) => rows.get(mark).cells[heads.indexOf(head)].textContent)
        .find((cell) => cell !== "–") || "";
      item.append(link);
      list.append(item);
    }
    const line = document.createElement("p");
    line.textContent = found.length > 12 ? `${text}; the first 12 are here` : text;
    results.replaceChildren(line, list);
  };

  const go = (mark) => {
    const link = one("#panel-show");
    results.hidden = true;
    (link.hidden ? rows.get(mark) : one(link.getAttribute("href"))).scrollIntoView({ block: "start" });
  };

  field.addEventListener("input", search);
  field.addEventListener("focus", () => { if (field.value.trim()) results.hidden = false; });
  one("#find").addEventListener("submit", (event) => {
    event.preventDefault();
    const found = matches();
    if (found && found.length) { choose(found[0], false); go(found[0]); }
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && (field.value || !results.hidden)) {
      field.value = "";
      search();
      if (results.contains(document.activeElement)) field.focus();
    } else if (event.key === "Escape" && chosen) leave();
    else if (event.key === "ArrowDown" && document.activeElement === field) {
      const first = one("a", results);
      if (first) { event.preventDefault(); first.focus(); }
    } else if ((event.key === "ArrowDown" || event.key === "ArrowUp") && results.contains(document.activeElement)) {
      const links = every("a", results);
      const next = links.indexOf(document.activeElement) + (event.key === "ArrowDown" ? 1 : -1);
      event.preventDefault();
      (links[next] || field).focus();
    }
  });
  document.addEventListener("pointerdown", (event) => {
    if (!event.target.closest("#find")) results.hidden = true;
  });

  // --- the panel: beside the page where it is wide, else from below ---

  const wide = matchMedia("(min-width: 62rem)");
  const settle = () => { panel.hidden = !wide.matches && !chosen; };
  wide.addEventListener("change", settle);
  settle();
  one("#panel-close").addEventListener("click", () => {
    const last = leave();
    const link = (linked.get(last) || []).find((found) => found.closest(".pane")) || field;
    link.focus({ preventScroll: true });
  });
  const asked = every("tr[data-part]").find((row) => `#${row.id}` === location.hash);
  if (asked) choose(asked.dataset.part, false);
})();

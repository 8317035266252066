// The site plan: draws piles to scale on a canvas; click, tap, box, lasso and keys choose piles.
// Zoom and highlight stay here; a choice goes to the program as {piles, add}.

const FRESH_VIEW = { scale: 0, x: 0, y: 0 };
const views = new Map();  // zoom by component key; outlives a redraw of the page

export default function (component) {
  const { parentElement, data, key, setTriggerValue } = component;
  const root = parentElement.querySelector(".plan") ?? build(parentElement);
  root.plan ??= new Plan(root, views.get(key) ?? { ...FRESH_VIEW });
  views.set(key, root.plan.view);
  root.plan.notify = (piles, add) => setTriggerValue("chosen", { piles, add });
  root.plan.show(data);
  return () => root.plan?.close();
}

function build(parent) {
  const root = document.createElement("div");
  root.className = "plan";
  root.innerHTML = `
    <div class="bar" role="toolbar" aria-label="Plan tools">
      <button data-mode="move" aria-pressed="true">Move</button>
      <button data-mode="box" aria-pressed="false">Box</button>
      <button data-mode="lasso" aria-pressed="false">Lasso</button>
      <button data-act="in" aria-label="Zoom in">+</button>
      <button data-act="out" aria-label="Zoom out">−</button>
      <button data-act="whole">Whole site</button>
      <button data-act="wanted">Zoom to selection</button>
    </div>
    <div class="sheet">
      <canvas tabindex="0" role="application" aria-label="Site plan. Arrow keys go from pile to pile, Enter chooses, plus and minus zoom."></canvas>
      <div class="tip" hidden></div>
    </div>
    <ul class="legend"></ul>
    <div class="live-region" aria-live="polite"></div>`;
  parent.appendChild(root);
  return root;
}

class Plan extends Hand {
  constructor(root, view) {
    super();
    this.root = root;
    this.view = view;
    this.canvas = root.querySelector("canvas");
    this.brush = this.canvas.getContext("2d");
    this.mode = "move";
    this.pointers = new Map();
    this.chosen = [];
    this.at = -1;              // pile that the keyboard or pointer is on
    this.marks = window.pilewrightMarks ?? { chosen: [], filters: {}, scale: { per_m: 1, symbol: "m" } };
    this.listen();
  }

  listen() {
    this.gone = new AbortController();
    const on = (target, name, act, more = {}) =>
      target.addEventListener(name, act, { signal: this.gone.signal, ...more });
    on(this.canvas, "pointerdown", (e) => this.down(e));
    on(this.canvas, "pointermove", (e) => this.move(e));
    on(this.canvas, "pointerup", (e) => this.up(e));
    on(this.canvas, "pointercancel", (e) => { this.pointers.delete(e.pointerId); this.drag = null; this.draw(); });
    on(this.canvas, "pointerleave", () => this.tip(-1));
    on(this.canvas, "dblclick", () => this.fitAll());
    on(this.canvas, "keydown", (e) => this.keyed(e));
    on(this.canvas, "wheel", (e) => {
      e.preventDefault();
      this.zoom(Math.exp(-e.deltaY * 0.0015), ...this.place(e));
    }, { passive: false });
    on(window, "beforeprint", () => { this.onPaper = true; this.paint(); });
    on(window, "afterprint", () => { this.onPaper = false; this.draw(); });
    on(window, "pilewright-marks", (e) => { this.marks = e.detail; this.mark(); });
    for (const button of this.root.querySelectorAll("button")) {
      on(button, "click", () => this.pressed(button));
    }
    this.watcher = new ResizeObserver(() => this.fit());
    this.watcher.observe(this.canvas);
  }

  close() {
    this.gone.abort();
    this.watcher.disconnect();
    this.root.plan = null;
  }

  // ---- what is shown -------------------------------------------------------------------------
  show(data) {
    if (data !== this.data) {
      this.data = data;
      this.piles = data.piles;
      this.count = data.piles.id.length;
      this.styles = data.styles.map((style) => ({ ...style, outline: new Path2D(style.path) }));
      this.place_of = new Map(data.piles.id.map((id, i) => [id, i]));
      this.all = data.piles.id.map((_, i) => i);
      this.areas = areasOf(data.piles);
      this.legend();
    }
    this.mark();
    this.fit();
  }

  mark() {
    if (!this.piles) return;
    const { area, state, rig, type } = this.marks.filters;
    const words = this.styles.map((style) => style.word);
    const wants = (list, value) => !list?.length || list.includes(value);
    const { piles } = this;
    this.dim = piles.id.map((_, i) => !(wants(area, piles.area[i]) && wants(rig, piles.rig[i])
      && wants(type, piles.type[i]) && wants(state, words[piles.state[i]])));
    this.chosen = this.marks.chosen.map((id) => this.place_of.get(id)).filter((i) => i !== undefined);
    this.root.querySelector("[data-act=wanted]").disabled = !this.selection().length;
    this.draw();
  }

  legend() {
    const counts = new Map();
    for (const rank of this.piles.state) counts.set(rank, (counts.get(rank) ?? 0) + 1);
    const words = (rank) => this.styles[rank].word;
    const list = this.root.querySelector(".legend");
    list.replaceChildren(...[...counts.keys()].sort((a, b) => (words(a) === "replaced") - (words(b) === "replaced") || b - a).map((rank) => {
      const item = document.createElement("li");
      const style = this.styles[rank];
      item.innerHTML = `<svg width="17" height="17" viewBox="-1.3 -1.3 2.6 2.6" aria-hidden="true"><path/></svg>`;
      const path = item.querySelector("path");
      const paint = style.filled
        ? { fill: style.colour, stroke: "currentColor", "stroke-width": ".14" }
        : { fill: "none", stroke: style.colour, "stroke-width": ".42" };
      for (const [name, value] of Object.entries({ d: style.path, ...paint })) path.setAttribute(name, value);
      item.append(`${style.word} ${counts.get(rank).toLocaleString("en")}`);
      return item;
    }));
    if (!this.piles.offset.some((one) => one)) return;
    const note = document.createElement("li");
    note.append(`→ offset as built, drawn × ${OFFSET_TIMES} when zoomed in`);
    list.append(note);
  }
}

// The site plan: draws piles to scale on a canvas; click, tap, box, lasso and keys choose piles.
// Zoom and highlight stay here; a choice goes to the program as {piles, add}.

const REACH_MOUSE = 14;   // a pointer this near a marker means it [px]
const REACH_TOUCH = 30;
const STILL = 6;          // a pointer that moved less than this did not drag [px]
const FRESH_VIEW = { scale: 0, x: 0, y: 0 };
const views = new Map();  // zoom by component key; outlives a redraw of the page

export default function (component) {
  const { parentElement, data, key, setTriggerValue } = component;
  const root = parentElement.querySelector(".plan") ?? build(parentElement);
  root.plan ??= new Plan(root, views.get(key) ?? { ...FRESH_VIEW });
  views.set(key, root.plan.view);
  root.plan.tell = (piles, add) => setTriggerValue("chosen", { piles, add });
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
    </div>
    <div class="sheet">
      <canvas tabindex="0" role="application" aria-label="Site plan. Arrow keys go from pile to pile, Enter chooses, plus and minus zoom."></canvas>
      <div class="tip" hidden></div>
    </div>
    <ul class="legend"></ul>
    <div class="said" aria-live="polite"></div>`;
  parent.appendChild(root);
  return root;
}

class Plan {
  constructor(root, view) {
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
    on(this.canvas, "dblclick", () => this.whole());
    on(this.canvas, "keydown", (e) => this.keyed(e));
    on(this.canvas, "wheel", (e) => {
      e.preventDefault();
      this.zoom(Math.exp(-e.deltaY * 0.0015), ...this.place(e));
    }, { passive: false });
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
      this.box = bounds(data.piles);
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
    this.draw();
  }

  legend() {
    const counts = new Map();
    for (const rank of this.piles.state) counts.set(rank, (counts.get(rank) ?? 0) + 1);
    const list = this.root.querySelector(".legend");
    list.replaceChildren(...[...counts.keys()].sort((a, b) => b - a).map((rank) => {
      const item = document.createElement("li");
      const style = this.styles[rank];
      const paint = style.filled
        ? `fill="${style.colour}" stroke="currentColor" stroke-width=".14"`
        : `fill="none" stroke="${style.colour}" stroke-width=".42"`;
      item.innerHTML = `<svg width="17" height="17" viewBox="-1.3 -1.3 2.6 2.6" aria-hidden="true"><path d="${style.path}" ${paint}/></svg>`;
      item.append(`${style.word} ${counts.get(rank)}`);
      return item;
    }));
  }

  // ---- scale ---------------------------------------------------------------------------------
  fit() {
    const { clientWidth: width, clientHeight: height } = this.canvas;
    if (!width || !height) return;
    const dots = window.devicePixelRatio || 1;
    this.canvas.width = Math.round(width * dots);
    this.canvas.height = Math.round(height * dots);
    this.brush.setTransform(dots, 0, 0, dots, 0, 0);
    this.width = width;
    this.height = height;
    if (!this.view.scale) this.whole();
    else this.draw();
  }

  whole() {
    if (!this.count || !this.width) { this.draw(); return; }
    const { box } = this;
    const room = 46, foot = 34;  // the scale bar stands at the foot
    const wide = Math.max(box.right - box.left, 1), high = Math.max(box.top - box.bottom, 1);
    this.view.scale = Math.min((this.width - 2 * room) / wide, (this.height - 2 * room - foot) / high);
    this.view.x = (box.left + box.right) / 2;
    this.view.y = (box.bottom + box.top) / 2 - foot / 2 / this.view.scale;
    this.least = this.view.scale / 3;
    this.draw();
  }

  px(i) { return this.width / 2 + (this.piles.x[i] - this.view.x) * this.view.scale; }
  py(i) { return this.height / 2 - (this.piles.y[i] - this.view.y) * this.view.scale; }

  zoom(by, px = this.width / 2, py = this.height / 2) {
    const { view } = this;
    const scale = Math.min(Math.max(view.scale * by, this.least ?? 1e-6), 400);
    const shift = 1 / view.scale - 1 / scale;
    view.x += (px - this.width / 2) * shift;
    view.y -= (py - this.height / 2) * shift;
    view.scale = scale;
    this.draw();
  }

  // ---- drawing -------------------------------------------------------------------------------
  draw() {
    if (this.asked) return;
    this.asked = requestAnimationFrame(() => { this.asked = 0; this.paint(); });
  }

  paint() {
    const { brush } = this;
    if (!this.width || !this.piles) return;
    const css = getComputedStyle(this.root);
    this.ink = css.color;
    this.paper = css.getPropertyValue("--st-background-color").trim() || "#fff";
    this.accent = css.getPropertyValue("--st-primary-color").trim() || "#1B5E86";
    brush.clearRect(0, 0, this.width, this.height);
    this.size = Math.min(Math.max(this.view.scale * 0.55, 4.5), 13);
    const seen = [];
    for (let i = 0; i < this.count; i++) {
      const x = this.px(i), y = this.py(i);
      if (x > -20 && x < this.width + 20 && y > -20 && y < this.height + 20) seen.push(i);
    }
    for (const dim of [true, false]) {
      brush.globalAlpha = dim ? 0.16 : 1;
      for (const i of seen) if (this.dim[i] === dim) this.marker(i);
    }
    brush.globalAlpha = 1;
    for (const i of this.chosen) this.marker(i);
    this.numbers(seen);
    this.chosen.forEach((i, order) => this.ringed(i, order === this.chosen.length - 1));
    if (document.activeElement === this.canvas || this.root.getRootNode().activeElement === this.canvas) this.cursor();
    this.dragged();
    this.scaleBar();
    this.north();
    this.canvas.dataset.view = JSON.stringify(this.view);
  }

  marker(i) {
    const { brush, piles } = this;
    const style = this.styles[piles.state[i]];
    const x = this.px(i), y = this.py(i);
    const angle = piles.azimuth[i];
    if (angle !== null) {
      const far = this.size * 2.4, turn = angle * Math.PI / 180;
      brush.beginPath();
      brush.moveTo(x, y);
      brush.lineTo(x + Math.sin(turn) * far, y - Math.cos(turn) * far);
      brush.strokeStyle = this.ink;
      brush.lineWidth = 1.4;
      brush.stroke();
    }
    brush.save();
    brush.translate(x, y);
    brush.scale(this.size, this.size);
    if (style.filled) {
      brush.fillStyle = style.colour;
      brush.fill(style.outline);
      brush.lineWidth = 1 / this.size;
      brush.strokeStyle = this.ink;
    } else {
      brush.fillStyle = this.paper;
      if (style.word === "not started") brush.fill(style.outline);
      brush.lineWidth = 0.4;
      brush.strokeStyle = style.colour;
    }
    brush.stroke(style.outline);
    brush.restore();
  }

  numbers(seen) {
    // Numbers appear where they fit: each takes a cell of a coarse grid, chosen piles first.
    const { brush } = this;
    if (this.size < 6) return;
    const taken = new Set(), chosen = new Set(this.chosen);
    brush.font = "600 13px sans-serif";
    brush.textAlign = "center";
    brush.textBaseline = "top";
    brush.lineWidth = 3;
    brush.strokeStyle = this.paper;
    brush.fillStyle = this.ink;
    const order = [...seen].sort((a, b) => chosen.has(b) - chosen.has(a));
    for (const i of order) {
      if (this.dim[i] && !chosen.has(i)) continue;
      const x = this.px(i), y = this.py(i) + this.size + 3;
      const wide = brush.measureText(this.piles.id[i]).width + 8;
      const cells = [];
      for (let cx = Math.floor((x - wide / 2) / 8); cx <= Math.floor((x + wide / 2) / 8); cx++) {
        cells.push(`${cx},${Math.floor(y / 8)}`, `${cx},${Math.floor(y / 8) + 1}`);
      }
      if (cells.some((cell) => taken.has(cell))) continue;
      cells.forEach((cell) => taken.add(cell));
      brush.strokeText(this.piles.id[i], x, y);
      brush.fillText(this.piles.id[i], x, y);
    }
  }

  ringed(i, last) {
    const { brush } = this;
    for (const [colour, width] of [[this.paper, 6], [this.accent, 3]]) {
      brush.beginPath();
      brush.arc(this.px(i), this.py(i), this.size + (last ? 7 : 4), 0, 2 * Math.PI);
      brush.strokeStyle = colour;
      brush.lineWidth = last ? width : width / 1.5;
      brush.stroke();
    }
    if (!last) return;
    brush.font = "700 16px sans-serif";
    brush.textAlign = "center";
    brush.textBaseline = "bottom";
    brush.lineWidth = 4;
    brush.strokeStyle = this.paper;
    brush.fillStyle = this.ink;
    brush.strokeText(this.piles.id[i], this.px(i), this.py(i) - this.size - 9);
    brush.fillText(this.piles.id[i], this.px(i), this.py(i) - this.size - 9);
  }

  cursor() {
    if (this.at < 0) return;
    const { brush } = this, far = this.size + 11;
    brush.setLineDash([4, 3]);
    brush.strokeStyle = this.ink;
    brush.lineWidth = 1.5;
    brush.strokeRect(this.px(this.at) - far, this.py(this.at) - far, 2 * far, 2 * far);
    brush.setLineDash([]);
  }

  dragged() {
    const { brush, drag } = this;
    if (!drag?.far || drag.mode === "move") return;
    brush.beginPath();
    if (drag.mode === "box") brush.rect(drag.x, drag.y, drag.toX - drag.x, drag.toY - drag.y);
    else drag.path.forEach(([x, y], n) => (n ? brush.lineTo(x, y) : brush.moveTo(x, y)));
    if (drag.mode === "lasso") brush.closePath();
    brush.strokeStyle = this.accent;
    brush.lineWidth = 2;
    brush.stroke();
    brush.globalAlpha = 0.12;
    brush.fillStyle = this.accent;
    brush.fill();
    brush.globalAlpha = 1;
  }

  scaleBar() {
    const { brush } = this;
    const { per_m: perM, symbol } = this.marks.scale;
    const perUnit = this.view.scale / perM;
    const room = 140 / perUnit, power = 10 ** Math.floor(Math.log10(room));
    const length = [5, 2, 1].map((n) => n * power).find((n) => n <= room);
    const wide = length * perUnit, left = 16, base = this.height - 16;
    brush.fillStyle = this.paper;
    brush.globalAlpha = 0.85;
    brush.fillRect(left - 8, base - 30, wide + 44, 40);
    brush.globalAlpha = 1;
    brush.fillStyle = this.ink;
    brush.fillRect(left, base - 5, wide / 2, 5);
    brush.strokeStyle = this.ink;
    brush.lineWidth = 1;
    brush.strokeRect(left + 0.5, base - 4.5, wide, 4);
    brush.font = "13px sans-serif";
    brush.textBaseline = "bottom";
    brush.textAlign = "left";
    brush.fillText("0", left - 3, base - 8);
    brush.textAlign = "center";
    brush.fillText(`${Number(length.toPrecision(3))} ${symbol}`, left + wide, base - 8);
  }

  north() {
    const { brush } = this, x = this.width - 28, y = 20;
    brush.fillStyle = this.ink;
    brush.beginPath();
    brush.moveTo(x, y);
    brush.lineTo(x + 7, y + 24);
    brush.lineTo(x, y + 18);
    brush.lineTo(x - 7, y + 24);
    brush.closePath();
    brush.fill();
    brush.font = "12px sans-serif";
    brush.textAlign = "center";
    brush.textBaseline = "top";
    brush.fillText("grid N", x, y + 28);
  }

  // ---- pointer -------------------------------------------------------------------------------
  place(event) {
    const box = this.canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  nearest(px, py, reach) {
    // The nearest marker within reach; one that the filters dim only when no other is near.
    let found = -1, best = Infinity;
    for (let i = 0; i < this.count; i++) {
      const far = Math.hypot(this.px(i) - px, this.py(i) - py);
      const rank = far + (this.dim[i] ? 1e6 : 0);
      if (far <= reach && rank < best) { best = rank; found = i; }
    }
    return found;
  }

  down(event) {
    const [x, y] = this.place(event);
    this.pointers.set(event.pointerId, [x, y]);
    // A pointer made by a script cannot be captured; drawing goes on without.
    if (event.isTrusted) this.canvas.setPointerCapture(event.pointerId);
    const mode = event.shiftKey && this.mode === "move" ? "box" : this.mode;
    this.drag = this.pointers.size === 1
      ? { mode, x, y, toX: x, toY: y, path: [[x, y]], far: false, view: { ...this.view } }
      : null;
    this.tip(-1);
  }

  move(event) {
    const [x, y] = this.place(event);
    if (!this.pointers.has(event.pointerId)) {
      if (event.pointerType === "mouse") this.tip(this.nearest(x, y, REACH_MOUSE));
      return;
    }
    if (this.pointers.size === 2) { this.pinch(event.pointerId, x, y); return; }
    this.pointers.set(event.pointerId, [x, y]);
    const { drag } = this;
    if (!drag) return;
    const still = event.pointerType === "touch" ? 2 * STILL : STILL;
    drag.far ||= Math.hypot(x - drag.x, y - drag.y) > still;
    if (!drag.far) return;
    [drag.toX, drag.toY] = [x, y];
    drag.path.push([x, y]);
    if (drag.mode === "move") {
      this.view.x = drag.view.x - (x - drag.x) / this.view.scale;
      this.view.y = drag.view.y + (y - drag.y) / this.view.scale;
    }
    this.draw();
  }

  pinch(id, x, y) {
    const other = [...this.pointers].find(([key]) => key !== id)[1];
    const before = this.pointers.get(id);
    const was = Math.hypot(before[0] - other[0], before[1] - other[1]);
    const is = Math.hypot(x - other[0], y - other[1]);
    this.pointers.set(id, [x, y]);
    if (was > 0 && is > 0) this.zoom(is / was, (x + other[0]) / 2, (y + other[1]) / 2);
  }

  up(event) {
    const { drag } = this;
    const alone = this.pointers.size === 1;
    this.pointers.delete(event.pointerId);
    this.drag = null;
    if (!drag || !alone) return;
    const add = event.ctrlKey || event.metaKey;
    if (drag.far) {
      if (drag.mode !== "move") this.choose(this.inside(drag), add);
      else this.draw();
      return;
    }
    const reach = event.pointerType === "touch" ? REACH_TOUCH : REACH_MOUSE;
    const found = this.nearest(...this.place(event), reach);
    if (found >= 0) { this.at = found; this.choose([found], add); }
  }

  inside(drag) {
    const left = Math.min(drag.x, drag.toX), right = Math.max(drag.x, drag.toX);
    const top = Math.min(drag.y, drag.toY), bottom = Math.max(drag.y, drag.toY);
    const outline = new Path2D();
    drag.path.forEach(([x, y], n) => (n ? outline.lineTo(x, y) : outline.moveTo(x, y)));
    outline.closePath();
    const held = [];
    const dots = window.devicePixelRatio || 1;
    for (let i = 0; i < this.count; i++) {
      if (this.dim[i]) continue;
      const x = this.px(i), y = this.py(i);
      const within = drag.mode === "box"
        ? x >= left && x <= right && y >= top && y <= bottom
        : this.brush.isPointInPath(outline, x * dots, y * dots);
      if (within) held.push(i);
    }
    return held;
  }

  choose(places, add) {
    if (!places.length && add) { this.draw(); return; }
    this.chosen = add ? [...this.chosen.filter((i) => !places.includes(i)), ...places] : places;
    this.say(places.length === 1 ? this.words(places[0]) : `${places.length} piles chosen`);
    this.draw();
    this.tell(places.map((i) => this.piles.id[i]), add);
  }

  // ---- words, keys, buttons ------------------------------------------------------------------
  words(i) { return `${this.piles.id[i]}, ${this.styles[this.piles.state[i]].word}`; }

  say(text) { this.root.querySelector(".said").textContent = text; }

  tip(i) {
    const tip = this.root.querySelector(".tip");
    tip.hidden = i < 0;
    if (i < 0) return;
    tip.textContent = this.words(i);
    const right = this.px(i) > this.width * 0.7;
    tip.style.left = right ? "" : `${this.px(i) + 16}px`;
    tip.style.right = right ? `${this.width - this.px(i) + 16}px` : "";
    tip.style.top = `${Math.max(4, this.py(i) - 14)}px`;
  }

  pressed(button) {
    const { mode, act } = button.dataset;
    if (act === "whole") this.whole();
    if (act === "in") this.zoom(1.5);
    if (act === "out") this.zoom(1 / 1.5);
    if (!mode) return;
    this.mode = mode;
    for (const other of this.root.querySelectorAll("[data-mode]")) {
      other.setAttribute("aria-pressed", String(other === button));
    }
  }

  keyed(event) {
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (ways[event.key]) this.step(...ways[event.key]);
    else if (event.key === "Enter" || event.key === " ") {
      if (this.at >= 0) this.choose([this.at], event.ctrlKey || event.metaKey);
    } else if (event.key === "+" || event.key === "=") this.zoom(1.5);
    else if (event.key === "-") this.zoom(1 / 1.5);
    else if (event.key === "0" || event.key === "Home") this.whole();
    else return;
    event.preventDefault();
  }

  step(rightward, downward) {
    if (this.at < 0) this.at = this.chosen.at(-1) ?? this.nearest(this.width / 2, this.height / 2, Infinity);
    else {
      const x = this.px(this.at), y = this.py(this.at);
      let best = Infinity, found = this.at;
      for (let i = 0; i < this.count; i++) {
        const along = (this.px(i) - x) * rightward + (this.py(i) - y) * downward;
        const aside = Math.abs((this.px(i) - x) * downward) + Math.abs((this.py(i) - y) * rightward);
        if (i === this.at || along <= 0.01 || this.dim[i]) continue;
        if (along + 2 * aside < best) { best = along + 2 * aside; found = i; }
      }
      this.at = found;
    }
    if (this.at < 0) return;
    this.bring(this.at);
    this.say(this.words(this.at));
    this.tip(this.at);
    this.draw();
  }

  bring(i) {
    const edge = 40, x = this.px(i), y = this.py(i);
    if (x < edge || x > this.width - edge) this.view.x = this.piles.x[i];
    if (y < edge || y > this.height - edge) this.view.y = this.piles.y[i];
  }
}

function bounds(piles) {
  const box = { left: Infinity, right: -Infinity, bottom: Infinity, top: -Infinity };
  for (let i = 0; i < piles.x.length; i++) {
    box.left = Math.min(box.left, piles.x[i]);
    box.right = Math.max(box.right, piles.x[i]);
    box.bottom = Math.min(box.bottom, piles.y[i]);
    box.top = Math.max(box.top, piles.y[i]);
  }
  return box;
}

// Pointers and keys on the plan: which pile is meant, and which were chosen.

const REACH_MOUSE = 14;   // a pointer this near a marker means it [px]
const REACH_TOUCH = 30;
const STILL = 6;          // a pointer that moved less than this did not drag [px]

class Hand extends Sheet {
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
    this.say(places.length === 1 ? this.words(places[0]) : `${places.length} piles selected`);
    this.draw();
    this.notify(places.map((i) => this.piles.id[i]), add);
  }

  // ---- words, keys, buttons ------------------------------------------------------------------
  words(i) { return `${this.piles.id[i]}, ${this.styles[this.piles.state[i]].word}`; }

  say(text) { this.root.querySelector(".live-region").textContent = text; }

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
    if (act === "whole") this.fitAll();
    if (act === "wanted") this.fitAll(this.selection());
    if (act === "in") this.zoom(1.5);
    if (act === "out") this.zoom(1 / 1.5);
    if (!mode) return;
    this.mode = mode;
    for (const other of this.root.querySelectorAll("[data-mode]")) {
      other.setAttribute("aria-pressed", String(other === button));
    }
  }

  selection() {
    // The piles to look at: those chosen, else those that pass the filters; none while all pass.
    if (this.chosen.length) return this.chosen;
    const held = this.all.filter((i) => !this.dim[i]);
    return held.length < this.count ? held : [];
  }

  keyed(event) {
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (ways[event.key]) this.step(...ways[event.key]);
    else if (event.key === "Enter" || event.key === " ") {
      if (this.at >= 0) this.choose([this.at], event.ctrlKey || event.metaKey);
    } else if (event.key === "+" || event.key === "=") this.zoom(1.5);
    else if (event.key === "-") this.zoom(1 / 1.5);
    else if (event.key === "0" || event.key === "Home") this.fitAll();
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

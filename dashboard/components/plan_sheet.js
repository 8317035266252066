// The plan as a drawing: scale, markers, numbers, highlight, scale bar, north.

class Sheet {
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

  whole(places = this.all) {
    if (!this.count || !this.width) { this.draw(); return; }
    const box = bounds(this.piles, places);
    const room = 46, foot = 34;  // the scale bar stands at the foot
    const least = places === this.all ? 1 : NEAR_M;
    const wide = Math.max(box.right - box.left, least), high = Math.max(box.top - box.bottom, least);
    this.view.scale = Math.min((this.width - 2 * room) / wide, (this.height - 2 * room - foot) / high);
    this.view.x = (box.left + box.right) / 2;
    this.view.y = (box.bottom + box.top) / 2 - foot / 2 / this.view.scale;
    if (places === this.all) this.least = this.view.scale / 3;
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
    this.ink = this.onPaper ? "#111" : css.color;
    this.paper = (!this.onPaper && css.getPropertyValue("--st-background-color").trim()) || "#fff";
    this.accent = css.getPropertyValue("--st-primary-color").trim() || "#1B5E86";
    brush.clearRect(0, 0, this.width, this.height);
    this.size = Math.min(Math.max(this.view.scale * 0.55, this.count > MANY ? 3 : 4.5), 13);
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
    this.names();
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
      brush.lineWidth = (this.size < 4 ? 0.4 : 1) / this.size;
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
      if ((this.dim[i] && !chosen.has(i)) || i === this.chosen.at(-1)) continue;  // it has its own
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

  names() {
    // Each area's name over the middle of its piles while these are too small for numbers.
    const { brush } = this;
    if (this.size >= 6 || this.areas.size < 2) return;
    brush.font = "600 13px sans-serif";
    brush.textAlign = "center";
    brush.textBaseline = "bottom";
    brush.lineWidth = 4;
    brush.strokeStyle = this.paper;
    brush.fillStyle = this.ink;
    for (const [name, { middle, top }] of this.areas) {
      const x = this.width / 2 + (middle - this.view.x) * this.view.scale;
      const y = this.height / 2 - (top - this.view.y) * this.view.scale - this.size * 3 - 4;
      brush.strokeText(name, x, y);
      brush.fillText(name, x, y);
    }
  }

  ringed(i, last) {
    const { brush } = this;
    for (const [colour, width] of [[this.paper, 5], [this.accent, 2.5]]) {
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
}

const MANY = 2000;  // piles of which a whole site shows smaller marks
const NEAR_M = 12;  // piles chosen are shown with at least so much ground around them

function areasOf(piles) {
  // Where the name of each area stands.
  const held = new Map();
  piles.area.forEach((name, i) => { if (name) (held.get(name) ?? held.set(name, []).get(name)).push(i); });
  return new Map([...held].map(([name, places]) => {
    const { left, right } = bounds(piles, places);
    const middle = (left + right) / 2, near = (right - left) / 8;
    const under = places.filter((i) => Math.abs(piles.x[i] - middle) <= near);
    return [name, { middle, top: bounds(piles, under.length ? under : places).top }];
  }));
}

function bounds(piles, places) {
  const box = { left: Infinity, right: -Infinity, bottom: Infinity, top: -Infinity };
  for (const i of places) {
    box.left = Math.min(box.left, piles.x[i]);
    box.right = Math.max(box.right, piles.x[i]);
    box.bottom = Math.min(box.bottom, piles.y[i]);
    box.top = Math.max(box.top, piles.y[i]);
  }
  return box;
}

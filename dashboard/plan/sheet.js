// The plan as a drawing: markers, offsets, numbers, names of areas, highlight.

const MANY = 2000;  // piles of which a whole site shows smaller marks
const OFFSET_TIMES = 20;  // how many times as long an offset is drawn

class Sheet extends Ground {
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
    this.accent = css.getPropertyValue("--st-primary-color").trim() || css.color;
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
    if (this.near) for (const i of seen) if (!this.dim[i]) this.arrow(i);
    for (const i of this.chosen) this.marker(i);
    this.numbers(seen);  // over the arrows: a number must not be misread
    this.names();
    this.chosen.forEach((i, order) => this.ringed(i, order === this.chosen.length - 1));
    if (document.activeElement === this.canvas || this.root.getRootNode().activeElement === this.canvas) this.cursor();
    this.dragged();
    this.scaleBar();
    this.north();
    this.canvas.dataset.view = JSON.stringify(this.view);
  }

  get near() { return this.size >= 6; }  // marks large enough for numbers and offsets

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

  arrow(i) {
    // Which way the pile stands off its place and how far, many times as long, beside its mark.
    const offset = this.piles.offset[i];
    if (!offset) return;
    const { brush } = this, long = OFFSET_TIMES * this.view.scale / 1000;
    const far = Math.hypot(...offset) * long;
    if (far < 2) return;
    const from = this.size + 2, to = from + far, head = Math.min(far, 5);
    brush.save();
    brush.translate(this.px(i), this.py(i));
    brush.rotate(Math.atan2(-offset[1], offset[0]));
    brush.beginPath();
    brush.moveTo(from, 0);
    brush.lineTo(to, 0);
    brush.moveTo(to - head, -head * 0.7);
    brush.lineTo(to, 0);
    brush.lineTo(to - head, head * 0.7);
    for (const [colour, width] of [[this.paper, 4], [this.accent, 1.6]]) {
      brush.strokeStyle = colour;
      brush.lineWidth = width;
      brush.stroke();
    }
    brush.restore();
  }

  // Words with a rim of paper, so that they are read over marks and lines.
  pen(font, baseline, rim) {
    const { brush } = this;
    brush.font = font;
    brush.textAlign = "center";
    brush.textBaseline = baseline;
    brush.lineWidth = rim;
    brush.strokeStyle = this.paper;
    brush.fillStyle = this.ink;
  }

  write(text, x, y) {
    this.brush.strokeText(text, x, y);
    this.brush.fillText(text, x, y);
  }

  numbers(seen) {
    // Numbers appear where they fit: each takes a cell of a coarse grid, chosen piles first.
    const { brush } = this;
    if (!this.near) return;
    const taken = new Set(), chosen = new Set(this.chosen);
    this.pen("600 13px sans-serif", "top", 3);
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
      this.write(this.piles.id[i], x, y);
    }
  }

  names() {
    // Each area's name over the middle of its piles while these are too small for numbers.
    if (this.near || this.areas.size < 2) return;
    this.pen("600 13px sans-serif", "bottom", 4);
    for (const [name, { middle, top }] of this.areas) {
      this.write(name, this.eastPx(middle), this.northPx(top) - this.size * 3 - 4);
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
    this.pen("700 16px sans-serif", "bottom", 4);
    this.write(this.piles.id[i], this.px(i), this.py(i) - this.size - 9);
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
}

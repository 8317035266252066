// The ground of the plan: its scale and place, the scale bar, north, and where areas lie.

const NEAR_M = 12;  // piles chosen are shown with at least so much ground around them

class Ground {
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
    if (!this.view.scale) this.fitAll();
    else this.draw();
  }

  fitAll(places = this.all) {
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

  eastPx(east) { return this.width / 2 + (east - this.view.x) * this.view.scale; }
  northPx(north) { return this.height / 2 - (north - this.view.y) * this.view.scale; }
  px(i) { return this.eastPx(this.piles.x[i]); }
  py(i) { return this.northPx(this.piles.y[i]); }

  zoom(by, px = this.width / 2, py = this.height / 2) {
    const { view } = this;
    const scale = Math.min(Math.max(view.scale * by, this.least ?? 1e-6), 400);
    const shift = 1 / view.scale - 1 / scale;
    view.x += (px - this.width / 2) * shift;
    view.y -= (py - this.height / 2) * shift;
    view.scale = scale;
    this.draw();
  }

  // ---- scale bar and north -------------------------------------------------------------------
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

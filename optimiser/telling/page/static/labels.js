// Places labels where they cover neither each other nor what is drawn: each tries places around its point,
// those that matter first; one that finds none is left out unless it is needed.

const SIZE = 12;
const canvas = document.createElement("canvas").getContext("2d");
const widths = new Map();

function width(words, bold) {
  const key = `${bold}${words}`;
  if (!widths.has(key)) {
    canvas.font = `${bold ? "bold " : ""}${SIZE}px ${getComputedStyle(document.body).fontFamily}`;
    widths.set(key, canvas.measureText(words).width);
  }
  return widths.get(key);
}

const overlap = (a, b) =>
  Math.max(0, Math.min(a[2], b[2]) - Math.max(a[0], b[0])) * Math.max(0, Math.min(a[3], b[3]) - Math.max(a[1], b[1]));

export class Labels {
  constructor(wide, high) {
    this.wide = wide;
    this.high = high;
    this.wanted = [];
    this.taken = [];
    this.points = [];
  }

  // Nothing is to be written on this box.
  keep(x0, y0, x1, y1) {
    this.taken.push([x0, y0, x1, y1]);
  }

  // Nor, if it can be helped, on this line.
  avoid(a, b) {
    const steps = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / 9));
    for (let i = 0; i <= steps; i++) {
      this.points.push([a[0] + ((b[0] - a[0]) * i) / steps, a[1] + ((b[1] - a[1]) * i) / steps]);
    }
  }

  add(words, at, { clear = 5, needed = false, bold = false, kind = "", spots = null } = {}) {
    const lines = words.split("\n").filter(Boolean);
    if (lines.length) this.wanted.push({ lines, at, clear, needed, bold, kind, spots });
  }

  // Calls `draw(line, [x, y], {kind, anchor})` for each line of text that finds room; returns what found none.
  place(draw) {
    const left = [];
    const order = [...this.wanted].sort((a, b) => Number(b.needed) - Number(a.needed));
    for (const label of order) {
      const wide = Math.max(...label.lines.map((l) => width(l, label.bold)));
      const high = label.lines.length * (SIZE + 2);
      let best = null;
      for (const [x, y] of label.spots ?? this.around(label.at, label.clear, wide, high)) {
        const box = [x - wide / 2, y - high / 2, x + wide / 2, y + high / 2];
        const out = box[0] < 2 || box[1] < 2 || box[2] > this.wide - 2 || box[3] > this.high - 2;
        const covered = this.taken.reduce((sum, other) => sum + overlap(box, other), 0);
        const crossed = this.points.filter(([a, b]) => a > box[0] && a < box[2] && b > box[1] && b < box[3]).length;
        const far = Math.hypot(x - label.at[0], y - label.at[1]);
        const cost = (out ? 1e6 : 0) + covered * 40 + crossed * 25 + far * 0.35;
        if (best === null || cost < best.cost) best = { cost, box, covered, out };
      }
      if (!label.needed && (best.covered > 0 || best.out || best.cost > 400)) {
        left.push(label.lines[0]);
        continue;
      }
      this.taken.push(best.box);
      label.lines.forEach((words, i) => {
        draw(words, [(best.box[0] + best.box[2]) / 2, best.box[1] + SIZE - 1 + i * (SIZE + 2)],
          { kind: `${label.kind} ${label.bold ? "bold" : ""}` });
      });
    }
    return left;
  }

  *around([x, y], clear, wide, high) {
    for (const off of [0, 8, 18, 32, 50]) {
      const [dx, dy] = [clear + wide / 2 + 2 + off, clear + high / 2 + off];
      yield [x + dx, y];
      yield [x, y - dy];
      yield [x - dx, y];
      yield [x, y + dy];
      yield [x + dx, y - dy * 0.7];
      yield [x - dx, y - dy * 0.7];
      yield [x + dx, y + dy * 0.7];
      yield [x - dx, y + dy * 0.7];
    }
  }
}

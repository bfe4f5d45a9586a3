// The pull along the path with the first limit above it; also curves of a sweep.

import { Labels } from "./labels.js";
import { element, line, text } from "./svg.js";

const ROOM = { left: 52, right: 12, top: 22, foot: 32 };

function ticks(most, many = 4) {
  const rough = most / many || 1;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].find((s) => s * power >= rough) * power;
  const out = [];
  for (let v = 0; v <= most * 1.0001; v += step) out.push(Number(v.toPrecision(6)));
  return out;
}

export class Frame {
  constructor(svg, { low = 0, far, most, high = 170 }) {
    const wide = svg.clientWidth || 500;
    svg.setAttribute("viewBox", `0 0 ${wide} ${high}`);
    svg.style.height = `${high}px`;
    this.svg = svg;
    this.layer = [];
    this.low = low;
    this.at = (x, y) => [
      ROOM.left + ((x - low) / (far - low || 1)) * (wide - ROOM.left - ROOM.right),
      high - ROOM.foot - (y / (most || 1)) * (high - ROOM.foot - ROOM.top),
    ];
    this.size = [wide, high];
    this.labels = new Labels(wide, high);
    Object.assign(this, { far, most });
  }

  axes(thin, across, up, xs = null) {
    this.layer.push(line([this.at(this.low, this.most), this.at(this.low, 0), this.at(this.far, 0)], thin));
    for (const v of ticks(this.most)) {
      const [x, y] = this.at(this.low, v);
      this.layer.push(line([[x - 4, y], [x, y]], thin), text(String(v), [x - 6, y + 4], { anchor: "end" }));
    }
    for (const v of xs ?? ticks(this.far)) {
      const [x, y] = this.at(v, 0);
      this.layer.push(line([[x, y], [x, y + 4]], thin), text(String(v), [x, y + 16]));
    }
    this.layer.push(text(up, [4, 12], { anchor: "start" }), text(across, [this.size[0] - 4, this.size[1] - 3], { anchor: "end" }));
  }

  curve(points, style, kind = "line") {
    let run = [];
    for (const [x, y] of [...points, [null, null]]) {
      if (y === null || x === null) {
        if (run.length > 1) this.layer.push(line(run, style, kind));
        run = [];
      } else run.push(this.at(x, Math.min(y, this.most)));
    }
  }

  done() {
    this.svg.replaceChildren(element("g", { "aria-hidden": "true" }, ...this.layer));
  }
}

export function drawChart(svg, desk) {
  const rig = desk.rig?.seen;
  if (!rig) return;
  const { lines, ropes } = desk.styles;
  const metric = desk.units !== "imperial";
  const length = metric ? 1 : 1 / 0.3048;
  const force = rig.force.in_one_N;
  const forces = rig.forces.map((v) => (v === null ? null : v * force));
  const limits = rig.limits.map((v) => (v === null ? null : v * force));
  const greatest = Math.max(...forces.filter((v) => v !== null), 0);
  const least = Math.min(...limits.filter((v) => v !== null));
  const most = Math.max(greatest, Number.isFinite(least) ? Math.min(least * 1.25, greatest * 6) : 0) * 1.1 || 1;
  const far = rig.at[rig.at.length - 1] * length;
  const frame = new Frame(svg, { low: rig.at[0] * length, far, most });
  frame.axes(lines.thin, `load at, ${metric ? "m" : "ft"} of the path`, `${rig.force.name}, ${rig.force.unit}`);
  const at = rig.at.map((v) => v * length);
  frame.curve(at.map((x, i) => [x, forces[i]]), ropes[0]);
  frame.curve(at.map((x, i) => [x, limits[i] !== null && limits[i] > most ? null : limits[i]]), lines.limit);
  for (const stop of rig.stops) frame.curve([[stop * length, 0], [stop * length, most]], lines.unknown);
  frame.curve([[at[desk.place], 0], [at[desk.place], most]], lines.outline);
  const top = limits.findIndex((v) => v !== null && v <= most);
  if (top >= 0) frame.layer.push(text(`limit: ${rig.first_to_go}`, [frame.size[0] / 2, Math.max(14, frame.at(0, limits[top])[1] - 6)]));
  frame.done();
  svg.setAttribute("aria-label", `Pull along the path: at most ${rig.force.words[rig.worst]} with the load at ${rig.at_words[rig.worst]}`);
}

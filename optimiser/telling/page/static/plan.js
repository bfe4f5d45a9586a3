// The plan: everything from above, to scale, with the sheet's signs. It is drawn anew at every change, below the
// handles of what can be moved.

import { Handles } from "./handles.js";
import { Labels } from "./labels.js";
import { drawMade, drawRopes, drawSling } from "./rigged.js";
import { drawAnchor, drawDoubt, drawLaid, drawOutline, drawPair, drawPost, drawPuller } from "./standing.js";
import { pullersOf } from "./things.js";
import { MM, circle, element, hatchings, head, line, minus, plus, shape, square, sized, stroke, text, times, unit } from "./svg.js";

const EDGE = 26; // px kept free around what is drawn

export class Plan {
  constructor(svg, acts) {
    Object.assign(this, { svg, edge: EDGE, zoom: 1, off: [0, 0], held: false });
    this.drawing = element("g", { class: "drawing", "aria-hidden": "true" });
    svg.append(hatchings("plan"), this.drawing);
    this.handles = new Handles(this, acts);
  }

  // ---- metres to px and back

  lay(desk) {
    const seen = desk.seen;
    this.wide ||= this.svg.clientWidth || 600;
    const { wide } = this;
    const high = Math.round(Math.max(300, Math.min(wide * 0.95, window.innerHeight * 0.54)));
    sized(this.svg, wide, high);
    const turn = Math.PI / 2 - seen.heading;
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    const turned = ([x, y]) => [x * c - y * s, x * s + y * c];
    const points = this.extent(desk).map(turned);
    const [x, y] = [points.map((p) => p[0]), points.map((p) => p[1])];
    const low = [Math.min(...x), Math.min(...y)];
    const span = [Math.max(...x) - low[0], Math.max(...y) - low[1]].map((v) => Math.max(v, 2));
    if (!(desk.moving || this.held) || !this.fitted) {
      this.fitted = { // what is dragged must not change the scale under the finger
        scale: Math.min((wide - 2 * EDGE) / span[0], (high - 2 * EDGE) / span[1]),
        middle: [low[0] + span[0] / 2, low[1] + span[1] / 2],
      };
    }
    const { scale: fit, middle } = this.fitted;
    this.scale = fit * this.zoom;
    const centre = [wide / 2 + this.off[0], high / 2 + this.off[1]];
    this.size = [wide, high];
    this.at = (point) => {
      const [a, b] = turned(point);
      return [centre[0] + (a - middle[0]) * this.scale, centre[1] - (b - middle[1]) * this.scale];
    };
    this.way = (point) => {
      const [a, b] = turned(point);
      return [a, -b];
    };
    this.back = ([px, py]) => {
      const [a, b] = [(px - centre[0]) / this.scale + middle[0], (centre[1] - py) / this.scale + middle[1]];
      return [a * c + b * s, b * c - a * s];
    };
    this.wayBack = ([px, py]) => [px * c - py * s, -py * c - px * s];
  }

  extent(desk) {
    const { seen, rig } = desk;
    const out = [...seen.point, ...seen.anchors.map((a) => a.at), ...seen.posts.map((p) => p.at)];
    out.push(...outline(seen, seen.begin), ...outline(seen, seen.end));
    for (const who of pullersOf(desk)) {
      out.push(who.at, ...who.ends);
      if (!rig) out.push(...(who.room?.sides ?? []).flat());
    }
    const { picked } = desk; // a track leads far off: with a rig it is in view while it is the chosen one
    const chosen = (key) => picked && picked.table[0] === key[0] && picked.table[1] === key[1];
    for (const { key, points } of seen.outlines) if (!rig || key[0] === "made" || chosen(key)) out.push(...points);
    out.push(...seen.doubts.map((d) => d.at), ...seen.legs.map((l) => l.end));
    if (rig) for (const rope of rig.seen.ropes) if (rope.hand) out.push(rope.hand);
    return out;
  }

  // ---- the drawing

  draw(desk) {
    if (!desk.seen || !desk.styles) return;
    this.lay(desk);
    const { seen } = desk;
    const { lines } = desk.styles;
    this.lines = lines;
    const rig = desk.rig?.seen;
    this.labels = new Labels(...this.size);
    this.layer = [];
    const add = (...what) => this.layer.push(...what);
    if (rig) add(...this.areas(rig));
    add(line(seen.legs.map((l) => l.start).concat([seen.legs[seen.legs.length - 1].end]).map(this.at), lines.travel));
    for (const leg of seen.legs) this.leg(leg);
    for (const anchor of seen.anchors) drawAnchor(this, desk, anchor);
    for (const made of rig?.made ?? []) drawMade(this, rig, made);
    for (const post of seen.posts) drawPost(this, desk, post);
    this.load(desk);
    for (const who of pullersOf(desk)) drawPuller(this, desk, who);
    for (const outline of seen.outlines) drawOutline(this, desk, outline);
    if (!rig) for (const { trees } of desk.state?.raw?.pair ?? []) if (trees) drawPair(this, desk, trees);
    for (const laid of rig?.edges ?? seen.edges) drawLaid(this, laid);
    for (const doubt of seen.doubts) drawDoubt(this, desk, doubt);
    for (const sling of rig?.slings ?? []) drawSling(this, desk, rig, sling);
    if (rig) drawRopes(this, desk, rig);
    for (const met of desk.met ?? []) this.met(met);
    this.scaleBar(desk);
    const left = this.labels.place((words, at, how) => add(text(words, at, how)));
    this.drawing.replaceChildren(...this.layer);
    this.handles.put(desk);
    return left;
  }

  // Those of one kind are filled together: where they overlap it looks the same, and it is drawn much sooner.
  areas(rig) {
    const kinds = new Map();
    for (const { danger, corners } of rig.areas) {
      const around = corners.map((p) => this.at(p));
      const area = around.reduce((sum, [x, y], i) => sum + x * around[(i + 1) % around.length][1] - y * around[(i + 1) % around.length][0], 0);
      if (area < 0) around.reverse(); // all the same way round, or one would cut a hole into another
      const d = `M${around.map((p) => p.map((v) => v.toFixed(1)).join(" ")).join("L")}Z`;
      kinds.set(danger, (kinds.get(danger) ?? "") + d);
    }
    return [...kinds].map(([danger, d]) => element("path", { d, fill: `url(#plan-${danger})`, "fill-rule": "nonzero" }));
  }

  leg(leg) {
    const [a, b] = [this.at(leg.start), this.at(leg.end)];
    const [x, y] = times(unit(minus(b, a)), 1.6 * MM);
    for (const end of [a, b]) {
      this.layer.push(line([[end[0] - y, end[1] + x], [end[0] + y, end[1] - x]], this.lines.thin));
    }
    this.labels.avoid(a, b);
    this.labels.add(leg.ground_words, times(plus(a, b), 0.5), { clear: 6 });
  }

  load(desk) {
    const { seen } = desk;
    const rig = desk.rig?.seen;
    const where = rig ?? seen;
    const corners = (station) => outline(where, station).map((p) => this.at(p));
    const here = rig ? desk.place : seen.begin;
    for (const station of new Set([where.begin, where.end])) {
      if (station !== here) this.layer.push(shape(corners(station), this.lines.moved, "line"));
    }
    for (const at of rig?.stops ?? []) {
      this.layer.push(circle(this.at(where.point[nearest(where.at, at)]), 0.7 * MM, this.lines.thin));
    }
    const now = corners(here);
    this.layer.push(shape(now, this.lines.outline, "grey"));
    for (const hitch of seen.load.hitches) {
      const at = plus3(where.point[here], where.along[here], hitch.ahead, where.across[here], hitch.left);
      this.layer.push(circle(this.at(at), 0.7 * MM, this.lines.outline));
    }
    const middle = times(now.reduce(plus), 0.25);
    const reach = Math.min(...now.map((p) => Math.hypot(...minus(p, middle)))) * 0.7;
    this.labels.keep(middle[0] - reach, middle[1] - reach, middle[0] + reach, middle[1] + reach);
    const letter = rig?.letters["load:"] ? `${rig.letters["load:"]} ` : "";
    this.labels.add(`${letter}${seen.load.name}`, middle, { clear: reach + 4, needed: true, bold: true });
    if (where.end !== here) this.labels.add("end", this.at(where.point[where.end]), { clear: 8 });
    if (where.begin !== here) this.labels.add("start", this.at(where.point[where.begin]), { clear: 8 });
  }

  // What a line meets, in red: the line, and hatching where it does.
  met({ points, spots }) {
    for (const [a, b] of points) {
      this.layer.push(line([this.at(a), this.at(b)], this.lines.limit, "bad"));
      this.labels.avoid(this.at(a), this.at(b));
    }
    for (const spot of spots) {
      const at = this.at(spot.at);
      const radius = Math.max((spot.radius ?? 0) * this.scale, 9);
      this.layer.push(element("circle", { cx: at[0], cy: at[1], r: radius, fill: "url(#plan-bad)", class: "badring", ...stroke(this.lines.outline) }));
      this.labels.add(spot.words, at, { clear: radius + 2, needed: true, bold: true, kind: "badtext" });
    }
  }

  scaleBar(desk) {
    const [, high] = this.size;
    const imperial = desk.units === "imperial";
    const inMetre = imperial ? 1 / 0.3048 : 1;
    const room = (110 / this.scale) * inMetre;
    const power = 10 ** Math.floor(Math.log10(room));
    const length = [5, 2, 1].find((step) => step * power <= room) * power;
    const long = (length / inMetre) * this.scale;
    for (const [i, kind] of [[0, "black"], [1, "blank"]]) {
      const x = 10 + (i * long) / 2;
      this.layer.push(shape([[x, high - 12], [x + long / 2, high - 12], [x + long / 2, high - 7], [x, high - 7]], this.lines.thin, kind));
    }
    this.layer.push(text(`${length} ${imperial ? "ft" : "m"}`, [16 + long, high - 6], { anchor: "start" }));
    this.labels.keep(4, high - 22, 60 + long, high);
    const corner = [this.size[0] - 26, 35];
    const arrow = (way, name, long = 5 * MM) => {
      const tip = plus(corner, times(way, long));
      this.layer.push(line([corner, tip], this.lines.thin), head(tip, way, 2 * MM), text(name, plus(corner, times(way, long + 9)).map((v, i) => v + (i ? 4 : 0))));
    };
    const frame = desk.seen.frame;
    const turned = ([x, y]) => (frame ? [frame.cos * x + frame.sin * y, frame.cos * y - frame.sin * x] : [x, y]);
    arrow(this.way(turned([1, 0])), "x");
    arrow(this.way(turned([0, 1])), "y");
    if (desk.seen.north !== null) arrow(this.way([Math.cos(desk.seen.north), Math.sin(desk.seen.north)]), "N", 7 * MM);
    this.labels.keep(corner[0] - 22, corner[1] - 26, corner[0] + 26, corner[1] + 22);
  }

  // ---- how near it is looked at

  closer(factor) {
    this.zoom = Math.min(20, Math.max(0.3, this.zoom * factor));
    this.off = times(this.off, factor);
    this.again();
  }

  fit() {
    this.zoom = 1;
    this.off = [0, 0];
    this.again();
  }
}

// The load from above, m: the same corners as the sheet's.
export function outline(seen, station) {
  const { load } = seen;
  const ahead = unit(seen.along[station].slice(0, 2));
  const left = times([-ahead[1], ahead[0]], load.width / 2);
  const front = plus(seen.point[station].slice(0, 2), times(ahead, load.overhang));
  const back = minus(front, times(ahead, load.length));
  return [plus(front, left), plus(back, left), minus(back, left), minus(front, left)];
}

function plus3(point, along, ahead, across, left) {
  return point.map((value, i) => value + along[i] * ahead + across[i] * left);
}

export function nearest(row, value) {
  let best = 0;
  row.forEach((each, i) => {
    if (Math.abs(each - value) < Math.abs(row[best] - value)) best = i;
  });
  return best;
}
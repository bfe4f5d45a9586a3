// The side view: the path unrolled, what stands beside it put square onto it, to scale.

import { Heights } from "./heights.js";
import { Labels } from "./labels.js";
import { MM, circle, element, hatchings, head, line, minus, plus, shape, sized, text, times } from "./svg.js";
import { carries, heldAt, pullersOf } from "./things.js";

const EDGE = { side: 18, foot: 62, top: 58 };
const TALL = 2.5; // m up to which a post is drawn, as on the sheet

export class Side {
  constructor(svg, acts) {
    Object.assign(this, { svg, held: false });
    this.drawing = element("g", { class: "drawing", "aria-hidden": "true" });
    svg.append(hatchings("side"), this.drawing);
    this.heights = new Heights(this, acts);
  }

  // How far along the unrolled path a point lies: square to the nearest leg, on beyond the path's ends.
  along(seen, [x, y]) {
    let start = 0;
    let best = Infinity;
    let out = 0;
    const { legs } = seen;
    legs.forEach((leg, i) => {
      const [dx, dy] = [leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]];
      const long = Math.hypot(dx, dy) || 1e-9;
      const share = ((x - leg.start[0]) * dx + (y - leg.start[1]) * dy) / long;
      let kept = i < legs.length - 1 ? Math.min(share, long) : share;
      if (i > 0) kept = Math.max(kept, 0);
      const off = Math.hypot(x - leg.start[0] - (kept * dx) / long, y - leg.start[1] - (kept * dy) / long);
      if (off < best - 1e-9) {
        best = off;
        out = start + kept;
      }
      start += long;
    });
    return out;
  }

  lay(desk) {
    const { seen } = desk;
    this.wide ||= this.svg.clientWidth || 600;
    const { wide } = this;
    if (!(desk.moving || this.held) || !this.fitted || this.fitted.wide !== wide) this.fit(desk, wide);
    const { low, left, high, spare, scale } = this.fitted;
    this.scale = scale;
    sized(this.svg, wide, high);
    this.size = [wide, high];
    this.put = ([along, up]) => [left + (along - low[0]) * scale, high - EDGE.foot - spare - (up - low[1]) * scale];
    this.at = (point) => this.put([this.along(seen, point), point[2]]);
  }

  // How large it is drawn: as long as something is moved it stays, or it would slip from under the finger.
  fit(desk, wide) {
    const points = this.extent(desk);
    const x = points.map((p) => p[0]);
    const y = points.map((p) => p[1]);
    const low = [Math.min(...x), Math.min(...y)];
    const span = [Math.max(...x) - low[0], Math.max(...y) - low[1]].map((v, i) => Math.max(v, i ? 1 : 2));
    const most = Math.max(150, Math.min(260, window.innerHeight * 0.34));
    const scale = Math.min((wide - 2 * EDGE.side) / span[0], (most - EDGE.foot - 30) / span[1]);
    const high = Math.round(Math.max(150, span[1] * scale + EDGE.foot + EDGE.top));
    const spare = (high - EDGE.foot - EDGE.top - span[1] * scale) / 2;
    this.fitted = { wide, low, left: (wide - span[0] * scale) / 2, high, spare, scale };
  }

  extent(desk) {
    const { seen, rig } = desk;
    const at = (p) => [this.along(seen, p), p[2]];
    const out = seen.ground.map(at);
    for (const station of [seen.begin, seen.end]) out.push(...corners(seen, station, at(seen.point[station]), 1));
    for (const anchor of seen.anchors) out.push(at(anchor.at), plus(at(anchor.at), [0, anchor.top]));
    for (const post of seen.posts) out.push(at(post.at), plus(at(post.at), [0, Math.min(post.top, TALL)]));
    for (const who of pullersOf(desk)) out.push(at(who.at), ...who.ends.map(at));
    if (rig) for (const rope of rig.seen.ropes) out.push(...rope.near[0].map(at));
    return out;
  }

  draw(desk) {
    if (!desk.seen || !desk.styles) return;
    this.lay(desk);
    this.lines = desk.styles.lines;
    this.labels = new Labels(...this.size);
    this.layer = [];
    const { seen } = desk;
    const rig = desk.rig?.seen;
    this.ground(seen);
    for (const anchor of seen.anchors) if (!rig || carries(rig, anchor)) this.stem(desk, anchor);
    for (const post of seen.posts) this.post(post);
    const where = rig ?? seen;
    const here = rig ? desk.place : seen.begin;
    for (const [name, station] of [["end", where.end], ["start", where.begin]]) if (station !== here) this.load(where, station, name, this.lines.moved, "line");
    this.load(where, here, here === where.begin ? "start" : "", this.lines.outline, "grey");
    if (!rig) this.hitches(seen);
    for (const who of pullersOf(desk)) if (!rig || rig.pullers.some((p) => p.name === who.name)) this.puller(who);
    for (const laid of (rig ?? seen).edges) this.laid(laid);
    for (const doubt of seen.doubts) if (!doubt.mark) this.doubt(doubt);
    for (const sling of rig?.slings ?? []) this.sling(desk, rig, sling);
    if (rig) this.ropes(desk, rig);
    for (const met of desk.met ?? []) this.met(met);
    this.labels.place((words, at, how) => this.layer.push(text(words, at, how)));
    this.drawing.replaceChildren(...this.layer);
    this.heights.put(desk);
  }

  ground(seen) {
    const points = seen.ground.map((p) => this.at(p));
    this.layer.push(line(points, this.lines.ground));
    let marks = "";
    for (let i = 0; i + 1 < points.length; i++) {
      const [a, b] = [points[i], points[i + 1]];
      const steps = Math.floor(Math.hypot(...minus(b, a)) / 8);
      for (let k = 0; k < steps; k++) {
        const [x, y] = plus(a, times(minus(b, a), (k + 0.5) / steps));
        marks += `M${x.toFixed(1)} ${(y + 1).toFixed(1)} l-5 5 `;
      }
      this.labels.avoid(a, b);
    }
    this.layer.push(element("path", { d: marks, class: "line", "stroke-width": 0.8 }));
    seen.legs.forEach((leg, i) => {
      const [a, b] = [this.at(leg.start), this.at(leg.end)];
      const [x, y] = times(plus(a, b), 0.5);
      this.labels.add(leg.words, [x, y], { needed: true, spots: [16, 24, 34, 46].map((d) => [x, y + d]) });
      if (i) this.layer.push(line([a, plus(a, [0, 11])], this.lines.thin));
      if (leg.step > 0) this.layer.push(line([a, minus(a, [0, leg.step * this.scale])], this.lines.ground));
    });
  }

  stem(desk, anchor) {
    const foot = this.at(anchor.at);
    const half = Math.max(anchor.radius * this.scale, 2);
    const top = foot[1] - anchor.top * this.scale;
    this.layer.push(shape([[foot[0] - half, foot[1]], [foot[0] + half, foot[1]], [foot[0] + half, top], [foot[0] - half, top]], this.lines.thin, "used"));
    const rig = desk.rig?.seen;
    const heights = rig
      ? rig.ropes.flatMap((r) => r.walk).filter((p) => p.anchor && p.name === anchor.name).map((p) => p.height)
      : anchor.heights;
    for (const up of heights) {
      const y = foot[1] - up * this.scale;
      this.layer.push(line([[foot[0] - half - 2.5, y], [foot[0] + half + 2.5, y]], this.lines.ground));
    }
    this.labels.keep(foot[0] - half, top, foot[0] + half, foot[1]);
    const letter = rig?.letters[`anchor:${anchor.name}`];
    this.labels.add(`${letter ? `${letter} ` : ""}${anchor.spot}`, [foot[0], top], { clear: 3, bold: Boolean(letter), needed: Boolean(letter) });
  }

  sling(desk, rig, sling) {
    const at = this.at(heldAt(desk, rig, sling));
    for (const tie of sling.ties) {
      this.layer.push(line([this.at(tie), at], this.lines.outline));
      this.labels.avoid(this.at(tie), at);
    }
    this.layer.push(circle(at, 0.8 * MM, this.lines.thin));
    this.labels.add(`${rig.letters[`anchor:${sling.name}`]} ${sling.name}`, at, { clear: 5, needed: true, bold: true });
  }

  post(post) {
    const foot = this.at(post.at);
    const half = Math.max(post.radius * this.scale, 1.5);
    const top = foot[1] - Math.min(post.top, TALL) * this.scale;
    this.layer.push(shape([[foot[0] - half, foot[1]], [foot[0] + half, foot[1]], [foot[0] + half, top], [foot[0] - half, top]], this.lines.thin, "black"));
    this.labels.add(post.name, [foot[0], top], { clear: 3 });
  }

  load(where, station, name, style, kind) {
    const base = this.at(where.point[station]);
    const shown = corners(where, station, base, this.scale).map(([x, y]) => [x, 2 * base[1] - y]);
    this.layer.push(shape(shown, style, kind));
    this.labels.add(name, times(plus(shown[1], shown[2]), 0.5), { clear: 3, needed: true });
  }

  hitches(seen) {
    const slope = Math.asin(seen.slope_sin[seen.begin]);
    const base = this.at(seen.point[seen.begin]);
    for (const hitch of seen.load.hitches) {
      const at = plus(base, [Math.cos(slope) * hitch.ahead * this.scale, -(Math.sin(slope) * hitch.ahead + hitch.height) * this.scale]);
      this.layer.push(circle(at, 0.7 * MM, this.lines.outline));
      this.labels.add(hitch.name, at, { clear: 4 });
    }
  }

  puller(who) {
    const [near, far] = who.ends.map((p) => this.at(p));
    this.layer.push(line([this.at(who.at), near], this.lines.thin));
    if (!who.anchor && Math.hypot(...minus(far, near)) > 12) this.layer.push(line([near, far], this.lines.thin), head(far, minus(far, near)));
    this.layer.push(circle(near, 0.8 * MM, this.lines.outline, "black"));
    this.labels.add(who.name, near, { clear: 5, bold: true, needed: true });
  }

  laid(laid) {
    const ground = this.at(laid.at);
    const top = ground[1] - laid.clearance * this.scale;
    if (laid.clearance <= 0.6 * laid.bend_radius) {
      const half = Math.max((laid.covers / 2) * this.scale, 7);
      const thick = Math.max(ground[1] - top, 3);
      this.layer.push(shape([[ground[0] - half, ground[1]], [ground[0] + half, ground[1]], [ground[0] + half, ground[1] - thick], [ground[0] - half, ground[1] - thick]], this.lines.outline, "grey"));
    } else {
      const radius = Math.max(laid.bend_radius * this.scale, MM);
      this.layer.push(circle([ground[0], top + radius], radius, this.lines.outline, "grey"));
    }
    this.labels.add(laid.words, [ground[0], top], { clear: 6, bold: true, needed: true });
  }

  doubt(doubt) {
    const at = this.at(doubt.at);
    const most = doubt.height * this.scale;
    if (most < 0.6) return;
    for (const up of [-most, most]) this.layer.push(line([plus(at, [-3, up]), plus(at, [3, up])], this.lines.thin));
    this.layer.push(line([plus(at, [0, -most]), plus(at, [0, most])], this.lines.thin));
  }

  ropes(desk, rig) {
    for (const rope of rig.ropes) {
      const style = desk.styles.ropes[rope.style];
      rope.parts.forEach((part, k) => {
        const kinds = [rope.walk[k].kind, rope.walk[k + 1].kind];
        const main = kinds.includes("load") || kinds.includes("grip");
        const near = rope.near[desk.place];
        const course = [near[k], ...(rope.bent[`${desk.place},${k}`] ?? []), near[k + 1]].map((p) => this.at(p));
        this.layer.push(line(course, main ? { ...style, width: style.width * 0.7 } : this.lines.thin));
        for (let i = 0; i + 1 < course.length; i++) this.labels.avoid(course[i], course[i + 1]);
        if (main) {
          const [a, b] = course;
          const spots = [0.5, 0.35, 0.65, 0.2, 0.8].map((s) => plus(a, times(minus(b, a), s)));
          this.labels.add(String(part.number), spots[0], { bold: true, spots });
        }
      });
    }
  }

  met({ points, spots }) {
    for (const [a, b] of points) this.layer.push(line([this.at(a), this.at(b)], this.lines.limit, "bad"));
    for (const spot of spots) {
      const at = this.at(spot.at);
      this.layer.push(element("circle", { cx: at[0], cy: at[1], r: 8, fill: "url(#side-bad)", class: "badring", "stroke-width": 1.5 }));
      this.labels.add(spot.words, at, { clear: 10, bold: true, kind: "badtext", needed: true });
    }
  }
}

// The load's outline on the ground, as high as its hitches are; y up, scaled about the base.
function corners(where, station, base, scale) {
  const { load } = where;
  const slope = Math.asin(where.slope_sin[station]);
  const ahead = [Math.cos(slope) * scale, Math.sin(slope) * scale];
  const high = Math.max(1.3 * Math.max(...load.hitches.map((h) => h.height)), 0.3);
  const up = [-Math.sin(slope) * scale * high, Math.cos(slope) * scale * high];
  const front = plus(base, times(ahead, load.overhang));
  const back = minus(front, times(ahead, load.length));
  return [front, plus(front, up), plus(back, up), back];
}

// The plan: everything from above, to scale, with the sheet's signs. A layer that is drawn anew at every
// change, and above it one handle for each thing, which stays, so that the keyboard keeps its place.

import { Labels } from "./labels.js";
import { carries, heldAt, pullersOf } from "./things.js";
import { MM, circle, element, hatchings, head, line, minus, plus, shape, square, stroke, text, times, unit } from "./svg.js";

const LEAST = 0.9 * MM; // px of radius that is drawn at least
const APART = 1.5 * MM; // between parts of line that run side by side
const EDGE = 26; // px kept free around what is drawn

export class Plan {
  constructor(svg, { pick, drag, nudge }) {
    Object.assign(this, { svg, pick, drag, nudge });
    this.zoom = 1;
    this.off = [0, 0];
    this.drawing = element("g", { class: "drawing", "aria-hidden": "true" });
    this.handles = element("g");
    this.known = new Map();
    svg.append(hatchings("plan"), this.drawing, this.handles);
    this.panning();
  }

  // ---- metres to px and back

  lay(desk) {
    const seen = desk.seen;
    const wide = this.svg.clientWidth || 600;
    const high = Math.round(Math.max(300, Math.min(wide * 0.95, window.innerHeight * 0.54)));
    this.svg.setAttribute("viewBox", `0 0 ${wide} ${high}`);
    this.svg.style.height = `${high}px`;
    const turn = Math.PI / 2 - seen.heading;
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    const turned = ([x, y]) => [x * c - y * s, x * s + y * c];
    const points = this.extent(desk).map(turned);
    const [x, y] = [points.map((p) => p[0]), points.map((p) => p[1])];
    const low = [Math.min(...x), Math.min(...y)];
    const span = [Math.max(...x) - low[0], Math.max(...y) - low[1]].map((v) => Math.max(v, 2));
    if (!desk.moving || !this.fitted) {
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
    for (const anchor of seen.anchors) this.anchor(desk, anchor);
    for (const made of rig?.made ?? []) this.made(rig, made);
    for (const post of seen.posts) this.post(desk, post);
    this.load(desk);
    for (const who of pullersOf(desk)) this.puller(desk, who);
    for (const laid of rig?.edges ?? seen.edges) this.laid(laid);
    for (const doubt of seen.doubts) this.doubt(desk, doubt);
    for (const sling of rig?.slings ?? []) this.sling(desk, rig, sling);
    if (rig) this.ropes(desk, rig);
    for (const met of desk.met ?? []) this.met(met);
    this.scaleBar(desk);
    const left = this.labels.place((words, at, how) => add(text(words, at, how)));
    this.drawing.replaceChildren(...this.layer);
    this.putHandles(desk);
    return left;
  }

  areas(rig) {
    return rig.areas.map((area) => element("polygon", {
      points: area.corners.map((p) => this.at(p).map((v) => v.toFixed(1)).join(",")).join(" "),
      fill: `url(#plan-${area.danger})`,
    }));
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

  anchor(desk, anchor) {
    const at = this.at(anchor.at);
    const used = desk.rig?.seen.used.includes(anchor.name);
    const pulled = Boolean(desk.rig) && carries(desk.rig.seen, anchor);
    const radius = Math.max(anchor.radius * this.scale, LEAST);
    if (used && anchor.to_make) return; // drawn as what is made there
    if (anchor.to_make) {
      const d = 0.9 * MM;
      this.layer.push(line([plus(at, [-d, -d]), plus(at, [d, d])], this.lines.thin), line([plus(at, [-d, d]), plus(at, [d, -d])], this.lines.thin));
    } else {
      this.layer.push(circle(at, radius, pulled ? this.lines.outline : this.lines.thin, pulled ? "used" : "blank"));
    }
    if (anchor.kind === "tree") {
      this.layer.push(line([plus(at, [-radius, 0]), plus(at, [radius, 0])], this.lines.thin), line([plus(at, [0, -radius]), plus(at, [0, radius])], this.lines.thin));
    }
    if (used) this.layer.push(circle(at, radius + 0.7 * MM, this.lines.ground, "line"));
    this.labels.keep(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius);
    const letter = used ? `${desk.rig.seen.letters[`anchor:${anchor.name}`] ?? ""} ` : "";
    this.labels.add(`${letter}${anchor.spot}\n${anchor.words}${anchor.good_to ? `\n${anchor.good_to}` : ""}`, at, {
      clear: radius + (used ? 4 : 2), needed: pulled || desk.picked?.name === anchor.name, bold: used,
    });
  }

  // The two legs of a sling between trees, and the shackle that runs on it.
  sling(desk, rig, sling) {
    const at = this.at(heldAt(desk, rig, sling));
    for (const tie of sling.ties) {
      this.layer.push(line([this.at(tie), at], this.lines.outline));
      this.labels.avoid(this.at(tie), at);
    }
    this.layer.push(circle(at, 1.3 * MM, this.lines.thin));
    this.labels.add(`${rig.letters[`anchor:${sling.name}`]} ${sling.name}\n${sling.words}`, at, { clear: 9, needed: true, bold: true });
  }

  made(rig, made) {
    const at = this.at(made.at);
    const way = unit(this.way([Math.cos(rig.faces[made.name]), Math.sin(rig.faces[made.name])]));
    const side = [-way[1], way[0]];
    if (made.kind.includes("picket")) {
      for (const back of [0, 1.1, 2.2]) {
        const middle = minus(at, times(way, back * MM));
        this.layer.push(line([plus(middle, times(side, 0.9 * MM)), minus(middle, times(side, 0.9 * MM))], this.lines.outline));
      }
    } else {
      const [long, wide] = (made.kind.includes("log") ? [0.5, 1.8] : [1.8, 0.9]).map((v) => v * MM);
      this.layer.push(shape([[1, 1], [1, -1], [-1, -1], [-1, 1]].map(([a, b]) =>
        plus(at, plus(times(way, a * long), times(side, b * wide)))), this.lines.outline, "used"));
    }
    const letter = rig.letters[`anchor:${made.name}`] ?? "";
    this.labels.add(`${letter} ${made.spot}\n${made.kind}, to make`, at, { clear: 9, needed: true, bold: true });
  }

  post(desk, post) {
    const at = this.at(post.at);
    const radius = Math.max(post.radius * this.scale, LEAST);
    const unfinished = desk.unfinished.includes(post.name);
    this.layer.push(unfinished
      ? element("circle", { cx: at[0], cy: at[1], r: Math.max(radius, 6), fill: "url(#plan-bad)", class: "badring", ...stroke(this.lines.outline) })
      : circle(at, radius, this.lines.outline, "black"));
    this.labels.keep(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius);
    this.labels.add(`${post.name}\n${unfinished ? "unfinished" : post.words}`, at, {
      clear: radius + 2, needed: unfinished || desk.picked?.name === post.name, kind: unfinished ? "badtext" : "",
    });
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

  puller(desk, who) {
    const active = desk.rig?.seen.pullers.some((p) => p.name === who.name);
    if (who.room) this.room(who);
    const [near, far] = who.ends.map((p) => this.at(p));
    const way = unit(this.way(who.heading));
    const side = [-way[1], way[0]];
    const body = (at) => [[0, -1.6], [3.2, -1.6], [5, 0], [3.2, 1.6], [0, 1.6]].map(([a, b]) =>
      plus(at, plus(times(way, a * MM), times(side, b * MM))));
    if (who.anchor) {
      this.layer.push(shape([[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([a, b]) =>
        plus(near, plus(times(way, a * 1.5 * MM), times(side, b * 1.5 * MM)))), this.lines.outline));
    } else {
      if (who.run > 0) {
        this.layer.push(shape(body(far), this.lines.moved, "line"));
        this.layer.push(line([plus(near, times(way, 5.5 * MM)), far], this.lines.thin), head(far, way));
      }
      this.layer.push(shape(body(near), this.lines.outline));
      this.labels.avoid(near, far);
    }
    const middle = who.anchor ? near : plus(near, times(way, 2.5 * MM));
    this.labels.keep(middle[0] - 8, middle[1] - 8, middle[0] + 8, middle[1] + 8);
    const letter = desk.rig?.seen.letters[`puller:${who.name}`];
    const words = who.anchor ? `made fast to ${who.anchor}` : who.room && !active ? "may stand here"
      : who.run > 0 ? `run ${who.run_words}` : "";
    this.labels.add(`${letter ? `${letter} ` : ""}${who.name}\n${words}${who.good_to ? `\n${who.good_to}` : ""}`, middle, {
      clear: 10, needed: true, bold: active,
    });
  }

  // The ground that a puller may stand on, where it has more than one spot: its edges, and a name.
  room({ name, room }) {
    const spots = [];
    for (const side of room.sides.map((points) => points.map((p) => this.at(p)))) {
      this.layer.push(line(side, this.lines.stands));
      for (const [i, a] of side.slice(0, -1).entries()) {
        spots.push(...[0, 0.2, 0.4, 0.6, 0.8, 1].map((share) => plus(a, times(minus(side[i + 1], a), share))));
      }
    }
    const [wide, high] = this.size;
    const inside = spots.filter(([x, y]) => x > 2 * EDGE && y > EDGE && x < wide - 2 * EDGE && y < high - EDGE);
    if (inside.length) this.labels.add(`${room.word} of ${name}`, inside[0], { spots: inside });
  }

  laid(laid) {
    const corners = laid.corners.map((p) => this.at(p));
    this.layer.push(shape(corners, this.lines.outline, "grey"));
    const [a, b, c, d] = corners;
    for (const share of [1 / 3, 2 / 3]) {
      this.layer.push(line([plus(a, times(minus(b, a), share)), plus(d, times(minus(c, d), share))], this.lines.thin));
    }
    this.labels.add(laid.words, times(plus(a, b), 0.5), { clear: 6, bold: true });
  }

  doubt(desk, doubt) {
    const most = Math.max(...doubt.ring.map((p) => Math.hypot(...p)), 1e-6) * this.scale;
    const factor = [50, 20, 10, 5, 2].find((f) => most * f <= 5 * MM) ?? 1; // as the sheet enlarges them
    const at = this.at(doubt.at);
    const ring = doubt.ring.map((p) => plus(at, times(this.way(p), this.scale * factor)));
    if (doubt.farthest > 0) this.layer.push(shape(ring, this.lines.thin, "line"));
    if (doubt.mark) {
      const d = 0.8 * MM;
      this.layer.push(line([plus(at, [-d, -d]), plus(at, [d, d])], this.lines.thin), line([plus(at, [-d, d]), plus(at, [d, -d])], this.lines.thin));
      this.labels.add(`${doubt.name}\n${doubt.words}`, at, { clear: 6 });
    }
  }

  // Every part by itself, beside those on the same line, with its number.
  ropes(desk, rig) {
    const straights = rig.ropes.flatMap((rope) => rope.parts.map((part) => {
      const [a, b] = part.lies.map((end) => end.join(":"));
      return { key: [a, b].sort().join("|"), forward: a <= b };
    }));
    const seenOnes = {};
    const shifts = straights.map(({ key, forward }) => {
      const all = straights.filter((other) => other.key === key).length;
      const shift = APART * ((seenOnes[key] ?? 0) - (all - 1) / 2);
      seenOnes[key] = (seenOnes[key] ?? 0) + 1;
      return forward ? shift : -shift;
    });
    let first = 0;
    for (const rope of rig.ropes) {
      const style = desk.styles.ropes[rope.style];
      const nodes = this.nodes(desk, rope);
      rope.parts.forEach((part, k) => {
        const way = minus(nodes[k + 1], nodes[k]);
        const across = times(unit([-way[1], way[0]]), shifts[first + k]);
        const [a, b] = [plus(nodes[k], across), plus(nodes[k + 1], across)];
        this.layer.push(line([a, b], style));
        this.labels.avoid(a, b);
        if (rope.walk[k + 1].kind === "puller") this.layer.push(head(b, way));
        const spots = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8].map((s) => plus(a, times(minus(b, a), s)));
        this.labels.add(String(part.number), spots[0], { needed: true, bold: true, spots });
      });
      first += rope.parts.length;
      nodes.slice(1, -1).forEach((node) => this.layer.push(circle(node, 1.25 * MM, this.lines.outline)));
      this.layer.push(square(nodes[0], MM, this.lines.outline));
      if (rope.walk[rope.walk.length - 1].kind === "grip") this.grip(nodes[nodes.length - 1], minus(nodes[nodes.length - 1], nodes[nodes.length - 2]));
      if (rig.ropes.length > 1) {
        const long = rope.parts.map((_, k) => Math.hypot(...minus(nodes[k + 1], nodes[k])));
        const k = long.indexOf(Math.max(...long));
        this.labels.add(rope.called, plus(nodes[k], times(minus(nodes[k + 1], nodes[k]), 0.3)), { bold: true, needed: true });
      }
      if (rope.turns) this.turns(desk, rope);
    }
  }

  grip(at, way) {
    const along = unit(way);
    const across = times([-along[1], along[0]], 1.6 * MM);
    for (const step of [-0.9, 0, 0.9]) {
      const middle = plus(at, times(along, step * MM));
      this.layer.push(line([minus(middle, across), plus(middle, across)], this.lines.outline));
    }
  }

  turns(desk, rope) {
    const trunk = desk.seen.anchors.find((a) => a.name === rope.walk[rope.walk.length - 1].name);
    if (!trunk) return;
    const at = this.at(trunk.at);
    const radius = Math.max(trunk.radius * this.scale, LEAST) + 0.7 * MM;
    for (let turn = 1; turn <= rope.turns; turn++) this.layer.push(circle(at, radius + 0.5 * turn * MM, this.lines.outline, "line"));
    const hand = this.at(rope.hand);
    this.layer.push(line([plus(at, times(unit(minus(hand, at)), radius)), hand], this.lines.tail));
    this.layer.push(circle(hand, 1.1 * MM, this.lines.outline));
    this.labels.add("hand", hand, { needed: true, bold: true, clear: 7 });
  }

  // A block hangs off its tree, on the side it is pulled to.
  nodes(desk, rope) {
    const at = rope.near[desk.place].map((p) => this.at(p));
    const last = at.length - 1;
    return at.map((point, k) => {
      const place = rope.walk[k];
      if (!place.anchor) return point;
      const anchor = desk.seen.anchors.find((a) => a.name === place.name);
      const radius = Math.max((anchor?.radius ?? 0) * this.scale, LEAST);
      const ways = [k - 1, k + 1].filter((i) => i >= 0 && i <= last).map((i) => unit(minus(at[i], point)));
      if (k === last) return plus(point, times(ways[0], radius + 0.7 * MM));
      const pull = ways.reduce(plus);
      return Math.hypot(...pull) > 0.05 ? plus(point, times(unit(pull), radius + 2.2 * MM)) : point;
    });
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
    const corner = [this.size[0] - 26, 30];
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

  // ---- what can be picked and moved

  putHandles(desk) {
    const here = new Set();
    for (const thing of desk.things) {
      here.add(thing.id);
      let handle = this.known.get(thing.id);
      if (!handle) {
        handle = element("g", { class: "handle", tabindex: "0", role: "button" }, element("circle", { class: "hit", r: 13 }), element("circle", { class: "ring", r: 10 }));
        this.listen(handle);
        this.known.set(thing.id, handle);
        this.handles.append(handle);
      }
      handle.thing = thing;
      const searched = thing.searched && pullersOf(desk).find((who) => who.name === thing.name);
      const [x, y] = this.at(desk.moving?.id === thing.id ? desk.moving.at : searched ? searched.at : thing.at);
      handle.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
      handle.setAttribute("aria-pressed", String(desk.picked?.id === thing.id));
      const where = Array.isArray(thing.written) ? thing.written.join(", ") : thing.placed;
      handle.setAttribute("aria-label", `${thing.kind} ${thing.name}, ${where}. ${thing.movable ? "Arrow keys move it." : ""}`);
    }
    for (const [id, handle] of this.known) {
      if (!here.has(id)) {
        handle.remove();
        this.known.delete(id);
      }
    }
  }

  point(event) {
    const box = this.svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  listen(handle) {
    let from = null;
    handle.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      event.stopPropagation();
      this.pick(handle.thing);
      if (!handle.thing.movable) return;
      handle.setPointerCapture(event.pointerId);
      from = { pointer: this.point(event), at: [...handle.thing.at], thing: handle.thing, moved: false };
    });
    handle.addEventListener("pointermove", (event) => {
      if (!from) return;
      const off = minus(this.point(event), from.pointer);
      if (!from.moved && Math.hypot(...off) < 4) return;
      from.moved = true;
      const [dx, dy] = this.wayBack(off.map((v) => v / this.scale));
      this.drag(from.thing, [from.at[0] + dx, from.at[1] + dy], false);
    });
    const release = (event) => {
      if (from?.moved) {
        const off = minus(this.point(event), from.pointer);
        const [dx, dy] = this.wayBack(off.map((v) => v / this.scale));
        this.drag(from.thing, [from.at[0] + dx, from.at[1] + dy], true);
      }
      from = null;
    };
    handle.addEventListener("pointerup", release);
    handle.addEventListener("pointercancel", release);
    handle.addEventListener("focus", () => this.pick(handle.thing));
    handle.addEventListener("keydown", (event) => {
      const ways = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
      const way = ways[event.key];
      if (!way || !handle.thing.movable || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      this.nudge(handle.thing, this.wayBack(times(way, event.shiftKey ? 1 : 0.1)));
    });
  }

  panning() {
    let from = null;
    this.svg.addEventListener("pointerdown", (event) => {
      if (event.button || event.target.closest(".handle")) return;
      from = { at: this.point(event), off: this.off };
      this.svg.setPointerCapture(event.pointerId);
    });
    this.svg.addEventListener("pointermove", (event) => {
      if (!from) return;
      this.off = plus(from.off, minus(this.point(event), from.at));
      this.again();
    });
    for (const name of ["pointerup", "pointercancel"]) this.svg.addEventListener(name, () => { from = null; });
  }

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

// Draws what stands on the bank on the plan, with the sheet's signs: trees, posts, pullers and their room.

import { MM, circle, element, head, line, minus, plus, shape, stroke, times, unit } from "./svg.js";
import { carries } from "./things.js";

export const LEAST = 0.9 * MM; // px of radius that is drawn at least

export function drawAnchor(plan, desk, anchor) {
  const at = plan.at(anchor.at);
  const used = desk.rig?.seen.used.includes(anchor.name);
  const pulled = Boolean(desk.rig) && carries(desk.rig.seen, anchor);
  const radius = Math.max(anchor.radius * plan.scale, LEAST);
  if (used && anchor.to_make) return; // drawn as what is made there
  if (anchor.to_make) {
    const d = 0.9 * MM;
    plan.layer.push(line([plus(at, [-d, -d]), plus(at, [d, d])], plan.lines.thin), line([plus(at, [-d, d]), plus(at, [d, -d])], plan.lines.thin));
  } else {
    plan.layer.push(circle(at, radius, pulled ? plan.lines.outline : plan.lines.thin, pulled ? "used" : "blank"));
  }
  if (anchor.kind === "tree") {
    plan.layer.push(line([plus(at, [-radius, 0]), plus(at, [radius, 0])], plan.lines.thin), line([plus(at, [0, -radius]), plus(at, [0, radius])], plan.lines.thin));
  }
  if (used) plan.layer.push(circle(at, radius + 0.7 * MM, plan.lines.ground, "line"));
  plan.labels.keep(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius);
  const letter = used ? `${desk.rig.seen.letters[`anchor:${anchor.name}`] ?? ""} ` : "";
  plan.labels.add(`${letter}${anchor.spot}\n${anchor.words}${anchor.good_to ? `\n${anchor.good_to}` : ""}`, at, {
    clear: radius + (used ? 4 : 2), needed: pulled || desk.picked?.name === anchor.name, bold: used,
  });
}

export function drawPost(plan, desk, post) {
  const at = plan.at(post.at);
  const radius = Math.max(post.radius * plan.scale, LEAST);
  const unfinished = desk.unfinished.includes(post.name);
  plan.layer.push(unfinished
    ? element("circle", { cx: at[0], cy: at[1], r: Math.max(radius, 6), fill: "url(#plan-bad)", class: "badring", ...stroke(plan.lines.outline) })
    : circle(at, radius, plan.lines.outline, "black"));
  plan.labels.keep(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius);
  plan.labels.add(`${post.name}\n${unfinished ? "unfinished" : post.words}`, at, {
    clear: radius + 2, needed: unfinished || desk.picked?.name === post.name, kind: unfinished ? "badtext" : "",
  });
}

export function drawPuller(plan, desk, who) {
  const active = desk.rig?.seen.pullers.some((p) => p.name === who.name);
  if (who.room) drawRoom(plan, who);
  const [near, far] = who.ends.map((p) => plan.at(p));
  const way = unit(plan.way(who.heading));
  const side = [-way[1], way[0]];
  const body = (at) => [[0, -1.6], [3.2, -1.6], [5, 0], [3.2, 1.6], [0, 1.6]].map(([a, b]) =>
    plus(at, plus(times(way, a * MM), times(side, b * MM))));
  if (who.anchor) {
    plan.layer.push(shape([[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([a, b]) =>
      plus(near, plus(times(way, a * 1.5 * MM), times(side, b * 1.5 * MM)))), plan.lines.outline));
  } else {
    if (who.run > 0) {
      plan.layer.push(shape(body(far), plan.lines.moved, "line"));
      plan.layer.push(line([plus(near, times(way, 5.5 * MM)), far], plan.lines.thin), head(far, way));
    }
    plan.layer.push(shape(body(near), plan.lines.outline));
    plan.labels.avoid(near, far);
  }
  const middle = who.anchor ? near : plus(near, times(way, 2.5 * MM));
  plan.labels.keep(middle[0] - 8, middle[1] - 8, middle[0] + 8, middle[1] + 8);
  const letter = desk.rig?.seen.letters[`puller:${who.name}`];
  const words = who.anchor ? `made fast to ${who.anchor}` : who.room && !active ? "may stand here"
    : who.run > 0 ? `run ${who.run_words}` : "";
  plan.labels.add(`${letter ? `${letter} ` : ""}${who.name}\n${words}${who.good_to ? `\n${who.good_to}` : ""}`, middle, {
    clear: 10, needed: true, bold: active,
  });
}

// The ground that a puller may stand on, where it has more than one spot: its edges, and a name.
function drawRoom(plan, { name, room }) {
  const spots = [];
  for (const side of room.sides.map((points) => points.map((p) => plan.at(p)))) {
    plan.layer.push(line(side, plan.lines.stands));
    for (const [i, a] of side.slice(0, -1).entries()) {
      spots.push(...[0, 0.2, 0.4, 0.6, 0.8, 1].map((share) => plus(a, times(minus(side[i + 1], a), share))));
    }
  }
  const [wide, high] = plan.size;
  const inside = spots.filter(([x, y]) => x > 2 * plan.edge && y > plan.edge && x < wide - 2 * plan.edge && y < high - plan.edge);
  if (inside.length) plan.labels.add(`${room.word} of ${name}`, inside[0], { spots: inside });
}

export function drawLaid(plan, laid) {
  const corners = laid.corners.map((p) => plan.at(p));
  plan.layer.push(shape(corners, plan.lines.outline, "grey"));
  const [a, b, c, d] = corners;
  for (const share of [1 / 3, 2 / 3]) {
    plan.layer.push(line([plus(a, times(minus(b, a), share)), plus(d, times(minus(c, d), share))], plan.lines.thin));
  }
  plan.labels.add(laid.words, times(plus(a, b), 0.5), { clear: 6, bold: true });
}

export function drawDoubt(plan, desk, doubt) {
  const most = Math.max(...doubt.ring.map((p) => Math.hypot(...p)), 1e-6) * plan.scale;
  const factor = [50, 20, 10, 5, 2].find((f) => most * f <= 5 * MM) ?? 1; // as the sheet enlarges them
  const at = plan.at(doubt.at);
  const ring = doubt.ring.map((p) => plus(at, times(plan.way(p), plan.scale * factor)));
  if (doubt.farthest > 0) plan.layer.push(shape(ring, plan.lines.thin, "line"));
  if (doubt.mark) {
    const d = 0.8 * MM;
    plan.layer.push(line([plus(at, [-d, -d]), plus(at, [d, d])], plan.lines.thin), line([plus(at, [-d, d]), plus(at, [d, -d])], plan.lines.thin));
    plan.labels.add(`${doubt.name}\n${doubt.words}`, at, { clear: 6 });
  }
}

// Ground that is stated point by point: its points, and the line through them where nothing else draws that.
export function drawOutline(plan, desk, outline) {
  const points = outline.points.map((p) => plan.at(p));
  const picked = desk.picked?.outline?.key.join() === outline.key.join();
  const isMade = outline.key[0] === "made";
  if (outline.joined && (isMade || picked)) {
    plan.layer.push(line(outline.closed ? [...points, points[0]] : points, isMade ? plan.lines.stands : plan.lines.thin));
  }
  for (const at of isMade || picked ? points : []) plan.layer.push(circle(at, 0.5 * MM, plan.lines.thin));
  if (isMade && outline.joined) {
    plan.labels.add(`${outline.name}, ${outline.key[2] === "row" ? "row" : "ground"}`, times(plus(points[0], points[1]), 0.5), { clear: 6, needed: picked });
  }
}

// Two trees between which a sling may be tied.
export function drawPair(plan, desk, trees) {
  const ends = trees.map((name) => desk.seen.anchors.find((anchor) => anchor.name === name));
  if (!ends.every(Boolean)) return;
  const [a, b] = ends.map((anchor) => plan.at(anchor.at));
  plan.layer.push(line([a, b], plan.lines.leader));
  plan.labels.add("a sling may be tied", times(plus(a, b), 0.5), { clear: 6 });
}

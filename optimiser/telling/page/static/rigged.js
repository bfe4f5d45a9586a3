// Draws a rig on the plan, with the sheet's signs: its ropes part by part, slings, anchors that are made.

import { LEAST } from "./standing.js";
import { MM, circle, head, line, minus, plus, shape, square, times, unit } from "./svg.js";
import { heldAt } from "./things.js";

const APART = 1.5 * MM; // between parts of line that run side by side

// The two legs of a sling between trees, and the shackle that runs on it.
export function drawSling(plan, desk, rig, sling) {
  const at = plan.at(heldAt(desk, rig, sling));
  for (const tie of sling.ties) {
    plan.layer.push(line([plan.at(tie), at], plan.lines.outline));
    plan.labels.avoid(plan.at(tie), at);
  }
  plan.layer.push(circle(at, 1.3 * MM, plan.lines.thin));
  plan.labels.add(`${rig.letters[`anchor:${sling.name}`]} ${sling.name}\n${sling.words}`, at, { clear: 9, needed: true, bold: true });
}

export function drawMade(plan, rig, made) {
  const at = plan.at(made.at);
  const way = unit(plan.way([Math.cos(rig.faces[made.name]), Math.sin(rig.faces[made.name])]));
  const side = [-way[1], way[0]];
  if (made.kind.includes("picket")) {
    for (const back of [0, 1.1, 2.2]) {
      const middle = minus(at, times(way, back * MM));
      plan.layer.push(line([plus(middle, times(side, 0.9 * MM)), minus(middle, times(side, 0.9 * MM))], plan.lines.outline));
    }
  } else {
    const [long, wide] = (made.kind.includes("log") ? [0.5, 1.8] : [1.8, 0.9]).map((v) => v * MM);
    plan.layer.push(shape([[1, 1], [1, -1], [-1, -1], [-1, 1]].map(([a, b]) =>
      plus(at, plus(times(way, a * long), times(side, b * wide)))), plan.lines.outline, "used"));
  }
  const letter = rig.letters[`anchor:${made.name}`] ?? "";
  plan.labels.add(`${letter} ${made.spot}\n${made.kind}, to make`, at, { clear: 9, needed: true, bold: true });
}

// Every part by itself, beside those on the same line, with its number.
export function drawRopes(plan, desk, rig) {
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
    const nodes = courseOf(plan, desk, rope);
    rope.parts.forEach((part, k) => {
      const way = minus(nodes[k + 1], nodes[k]);
      const across = times(unit([-way[1], way[0]]), shifts[first + k]);
      const [a, b] = [plus(nodes[k], across), plus(nodes[k + 1], across)];
      plan.layer.push(line([a, b], style));
      plan.labels.avoid(a, b);
      if (rope.walk[k + 1].kind === "puller") plan.layer.push(head(b, way));
      const spots = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8].map((s) => plus(a, times(minus(b, a), s)));
      plan.labels.add(String(part.number), spots[0], { needed: true, bold: true, spots });
    });
    first += rope.parts.length;
    nodes.slice(1, -1).forEach((node) => plan.layer.push(circle(node, 1.25 * MM, plan.lines.outline)));
    plan.layer.push(square(nodes[0], MM, plan.lines.outline));
    if (rope.walk[rope.walk.length - 1].kind === "grip") drawGrip(plan, nodes[nodes.length - 1], minus(nodes[nodes.length - 1], nodes[nodes.length - 2]));
    if (rig.ropes.length > 1) {
      const long = rope.parts.map((_, k) => Math.hypot(...minus(nodes[k + 1], nodes[k])));
      const k = long.indexOf(Math.max(...long));
      plan.labels.add(rope.called, plus(nodes[k], times(minus(nodes[k + 1], nodes[k]), 0.3)), { bold: true, needed: true });
    }
    if (rope.turns) drawTurns(plan, desk, rope);
  }
}

function drawGrip(plan, at, way) {
  const along = unit(way);
  const across = times([-along[1], along[0]], 1.6 * MM);
  for (const step of [-0.9, 0, 0.9]) {
    const middle = plus(at, times(along, step * MM));
    plan.layer.push(line([minus(middle, across), plus(middle, across)], plan.lines.outline));
  }
}

function drawTurns(plan, desk, rope) {
  const trunk = desk.seen.anchors.find((a) => a.name === rope.walk[rope.walk.length - 1].name);
  if (!trunk) return;
  const at = plan.at(trunk.at);
  const radius = Math.max(trunk.radius * plan.scale, LEAST) + 0.7 * MM;
  for (let turn = 1; turn <= rope.turns; turn++) plan.layer.push(circle(at, radius + 0.5 * turn * MM, plan.lines.outline, "line"));
  const hand = plan.at(rope.hand);
  plan.layer.push(line([plus(at, times(unit(minus(hand, at)), radius)), hand], plan.lines.tail));
  plan.layer.push(circle(hand, 1.1 * MM, plan.lines.outline));
  plan.labels.add("hand", hand, { needed: true, bold: true, clear: 7 });
}

// A block hangs off its tree, on the side it is pulled to.
function courseOf(plan, desk, rope) {
  const at = rope.near[desk.place].map((p) => plan.at(p));
  const last = at.length - 1;
  return at.map((point, k) => {
    const place = rope.walk[k];
    if (!place.anchor) return point;
    const anchor = desk.seen.anchors.find((a) => a.name === place.name);
    const radius = Math.max((anchor?.radius ?? 0) * plan.scale, LEAST);
    const ways = [k - 1, k + 1].filter((i) => i >= 0 && i <= last).map((i) => unit(minus(at[i], point)));
    if (k === last) return plus(point, times(ways[0], radius + 0.7 * MM));
    const pull = ways.reduce(plus);
    return Math.hypot(...pull) > 0.05 ? plus(point, times(unit(pull), radius + 2.2 * MM)) : point;
  });
}

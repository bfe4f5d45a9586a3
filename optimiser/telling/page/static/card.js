// The chosen thing, below the plan: its coordinates as the file has them, and what can be done with it.

import { button, byId, make } from "./dom.js";
import { goTo, placeOf } from "./fields.js";
import { LEAST_POINTS, endOfRun, groundAt } from "./things.js";
import { edit } from "./wire.js";

const BESIDE = 2; // m off the run of a puller to which its new track or area reaches

let desk = null;
let unpick = null;

export function setUpCard(now, taken) {
  desk = now;
  unpick = taken;
  showCard();
}

export function showCard() {
  const box = byId("card");
  const thing = desk.picked;
  if (!thing) {
    box.replaceChildren(make("p", { class: "soft" }, "Choose something on the plan: drag it, or move it with the arrow keys (0.1 m; with Shift 1 m)."));
    return;
  }
  if (box.contains(document.activeElement) && ["INPUT", "SELECT"].includes(document.activeElement.tagName) && box.dataset.thing === thing.id) {
    return; // somebody types there
  }
  box.dataset.thing = thing.id;
  const fields = Array.isArray(thing.written)
    ? ["x", "y", "z"].map((axis, i) => make("label", {}, `${axis} `, make("input", {
      value: thing.written[i] ?? "", onchange: (event) => edit([{ put: [...thing.key, i], value: event.target.value.trim() }]),
    })))
    : [make("span", { class: "soft" }, thing.searched || thing.named ? thing.placed : `${thing.placed}: change those to move it`)];
  box.replaceChildren(
    make("div", { class: "row" }, make("b", {}, thing.name), make("span", { class: "soft" }, thing.kind), ...fields,
      button("All about it", () => goTo(placeOf(thing.table)))),
    make("div", { class: "row" }, ...(thing.outline ? ofPoint(thing) : ofThing(thing))),
    thing.movable && thing.key[0] !== "path" ? make("label", { class: "tick" },
      make("input", { type: "checkbox", id: "follows", checked: byId("follows")?.checked ?? true }),
      "its height follows the ground of the path while it is moved; type z where you measured it") : "");
}

const gone = (edits) => () => { unpick(); edit(edits); };

function ofThing(thing) {
  const [list, i] = thing.table;
  const out = [];
  if (thing.ofRun || list === "path") return out;
  if (list === "puller") out.push(...roomOf(thing, i));
  if (list === "tree") out.push(...sharing(thing));
  out.push(button("Remove", gone([{ remove: thing.table }])));
  return out;
}

// A point of a track, an area, a row: one more after it, or one less.
function ofPoint({ outline, number, key, table, name }) {
  const { points } = outline;
  const last = number === points.length - 1;
  const next = outline.closed || !last ? points[(number + 1) % points.length] : null;
  const before = points[number - 1] ?? points[number].map((v, k) => v - (k ? 0 : BESIDE));
  const between = next && outline.joined
    ? points[number].map((v, k) => (v + next[k]) / 2)
    : points[number].map((v, k) => (k === 2 ? v : v + Math.max(-BESIDE, Math.min(BESIDE, v - before[k]))));
  const out = [];
  if (key[2] !== "row") {
    const word = outline.joined ? "One more point after this" : "One more spot";
    out.push(button(word, () => edit([{ insert: [...key.slice(0, 3), number + 1], to: between }])));
  }
  if (points.length > LEAST_POINTS[key[2]]) out.push(button("Take this point out", gone([{ remove: key }]), { "aria-label": `Take out ${name}` }));
  if (table[0] === "made") out.push(button(`Remove ${outline.name}`, gone([{ remove: table }])));
  return out;
}

// One spot, a track or an area: whichever a puller has, the others in its place.
function roomOf(thing, i) {
  const entry = desk.state.raw.puller[i];
  const { at, heading } = thing.from;
  if (!heading) return []; // its faults are mended first
  const end = endOfRun(thing.from);
  const clear = (...names) => names.filter((name) => name in entry).map((name) => ({ remove: ["puller", i, name] }));
  const ground = (x, y) => [x, y, at[2] + groundAt(desk.site, [x, y]) - groundAt(desk.site, at)];
  const beside = (from, side) => ground(from[0] - heading[1] * side * BESIDE, from[1] + heading[0] * side * BESIDE);
  if ("track" in entry || "area" in entry) {
    return [button("Give it one spot", () => edit([
      ...clear("track", "track_width", "area", "spacing", "headings", "body_length", "body_width"),
      { move: ["puller", i, "at"], to: at }, { move: ["puller", i, "towards"], to: end },
    ]))];
  }
  if (!("at" in entry)) return [];
  return [
    button("Let it stand anywhere on a track", () => edit([...clear("at", "towards", "heading"), { outline: ["puller", i, "track"], points: [at, end] }])),
    button("Let it stand anywhere in an area", () => edit([...clear("at", "towards", "heading"), {
      outline: ["puller", i, "area"], points: [beside(at, -1), beside(end, -1), beside(end, 1), beside(at, 1)],
    }])),
  ];
}

// Two trees that share a pull by a sling between them.
function sharing(thing) {
  const { raw } = desk.state;
  const pairs = [...(raw.pair ?? []).entries()].filter(([, pair]) => (pair.trees ?? []).includes(thing.name));
  const others = raw.tree.map((tree) => tree.name)
    .filter((name) => name && name !== thing.name && !pairs.some(([, pair]) => pair.trees.includes(name)));
  const out = pairs.map(([i, pair]) => button(`No sling to ${pair.trees.find((name) => name !== thing.name)}`, () => edit([{ remove: ["pair", i] }])));
  if (others.length) {
    const select = make("select", { onchange: () => { const trees = [thing.name, select.value]; select.blur(); edit([{ add: ["pair"], table: { trees } }]); } },
      make("option", { value: "" }, "no other tree"), ...others.map((name) => make("option", { value: name }, name)));
    out.push(make("label", {}, "Share the pull by a sling with ", select));
  }
  return out;
}

// What stands on the bank, as one list: what it is called, where it is in the drawings, and which key of the
// file says so. What readings lead to is shown, but moved by its readings only.

const LISTS = [
  // list of the file, how one of it is called, where the drawings have it
  ["tree", "tree", (seen) => seen.anchors],
  ["anchor", "anchor", (seen) => seen.anchors],
  ["obstacle", "in the way", (seen) => seen.posts],
  ["puller", "puller", (seen) => seen.pullers],
];

// Of how many points the line or the piece of ground of a key consists at least.
export const LEAST_POINTS = { track: 2, area: 3, row: 2, spots: 1 };
const POINTS = { track: "point", area: "corner", row: "end", spots: "spot" };

export function things(raw, seen) {
  if (!raw || !seen) return [];
  const out = [];
  for (const [list, kind, among] of LISTS) {
    for (const [i, entry] of (raw[list] ?? []).entries()) {
      const called = (each) => each.name === entry.name || each.spot === entry.name;
      const found = among(seen).find(called) ?? seen.posts.find(called); // unfinished things are drawn as posts
      if (!found) continue;
      const written = entry.at;
      out.push({
        id: `${list}.${i}`, key: [list, i, "at"], table: [list, i], kind, name: entry.name ?? kind, at: found.at,
        radius: found.radius ?? 0.3, written, movable: Array.isArray(written), from: found, searched: Boolean(found.room),
        placed: found.room ? `anywhere on its ${found.room.word}, where it stands is searched` : "placed by its readings",
      });
      if (list === "puller" && Array.isArray(entry.towards) && found.run > 0) {
        out.push({
          id: `${list}.${i}.towards`, key: [list, i, "towards"], table: [list, i], kind: "way it goes",
          name: entry.name, at: endOfRun(found), radius: 0.3, written: entry.towards, movable: true, ofRun: true,
        });
      }
    }
  }
  for (const outline of seen.outlines) out.push(...pointsOf(outline, raw));
  const path = raw.path ?? {};
  const legs = seen.legs;
  out.push({
    id: "path.start", key: ["path", "start"], table: ["path"], kind: "path", name: "start of the path", at: legs[0].start,
    radius: 0.3, written: path.start, movable: Array.isArray(path.start),
  });
  for (const [i, leg] of (path.leg ?? []).entries()) {
    if (!legs[i]) break;
    out.push({
      id: `path.leg.${i}`, key: ["path", "leg", i, "to"], table: ["path", "leg", i], kind: "path",
      name: `end of leg ${i + 1}`, at: legs[i].end, radius: 0.3, written: leg.to, movable: Array.isArray(leg.to),
    });
  }
  return out;
}

// Where a puller stands at the end of its run, on the ground as its file has it: the ends that are drawn are those
// of the rope, as high as it leads to hands or hitch.
export function endOfRun(who) {
  return who.at.map((value, i) => value + who.run * who.heading[i]);
}

// The points of a line or a piece of ground, one by one.
function pointsOf(outline, raw) {
  const [list, i, name] = outline.key;
  const stated = raw[list]?.[i]?.[name] ?? [];
  return outline.points.map((at, number) => {
    const written = stated[number];
    const of = name === "spots" ? `of ${outline.name}` : `of the ${name} of ${outline.name}`;
    return {
      id: [...outline.key, number].join("."), key: [...outline.key, number], table: [list, i], kind: "", outline, number,
      name: `${POINTS[name]} ${number + 1} ${of}`, at, radius: 0.3, written, movable: Array.isArray(written),
      named: typeof written === "string", placed: `where ${written} is: move that`,
    };
  });
}

// Where the ground of the path is under a point: the height of the path beside it.
export function groundAt(seen, [x, y]) {
  let best = Infinity;
  let out = 0;
  for (const { start, end } of seen.legs) {
    const [dx, dy] = [end[0] - start[0], end[1] - start[1]];
    const long = dx * dx + dy * dy || 1e-9;
    const share = Math.min(1, Math.max(0, ((x - start[0]) * dx + (y - start[1]) * dy) / long));
    const off = Math.hypot(x - start[0] - share * dx, y - start[1] - share * dy);
    if (off < best) {
      best = off;
      out = start[2] + share * (end[2] - start[2]);
    }
  }
  return out;
}

// The drawings' data with one thing somewhere else: what is seen while it is dragged.
export function movedTo(seen, thing, at) {
  const shift = at.map((value, i) => value - thing.at[i]);
  const put = (each) => {
    if (each.name !== thing.name && each.spot !== thing.name) return each;
    const ends = each.ends?.map((end) => end.map((value, i) => value + shift[i]));
    return { ...each, at: each.at.map((value, i) => value + shift[i]), ...(ends ? { ends } : {}) };
  };
  const [list, , last] = thing.key;
  if (last === "towards") return seen;
  if (list === "path") {
    const number = thing.id === "path.start" ? -1 : Number(thing.key[2]);
    const legs = seen.legs.map((leg, i) => ({
      ...leg,
      ...(i === number ? { end: at } : {}),
      ...(i === number + 1 ? { start: at } : {}),
    }));
    // the ground of the path as it will lie, until the program has it
    return { ...seen, legs, ground: [legs[0].start, ...legs.map((leg) => leg.end)] };
  }
  if (thing.outline) {
    const outlines = seen.outlines.map((each) => (each.key.join() !== thing.outline.key.join() ? each
      : { ...each, points: each.points.map((point, k) => (k === thing.number ? at : point)) }));
    return { ...seen, outlines };
  }
  return {
    ...seen,
    anchors: ["tree", "anchor"].includes(list) ? seen.anchors.map(put) : seen.anchors,
    posts: seen.posts.map(put),
    pullers: list === "puller" ? seen.pullers.map(put) : seen.pullers,
  };
}

// The pullers where they are drawn: one that may choose its spot stands where the rig has it, if a rig has it.
export function pullersOf({ seen, rig }) {
  return seen.pullers.map((who) => (who.room && rig?.seen.pullers.find((each) => each.name === who.name)) || who);
}

// Whether a rig pulls at an anchor: by itself, or as one of two trees that share a sling.
export function carries(rig, anchor) {
  return rig.used.includes(anchor.name) || rig.slings.some((sling) => sling.trees.includes(anchor.name));
}

// Where the shackle that runs on a sling is, m, with the load where it is drawn.
export function heldAt(desk, rig, sling) {
  const spots = rig.ropes.flatMap((rope) => rope.walk.map((place, k) => [place, rope.near[desk.place][k]]));
  return spots.find(([place]) => place.anchor && place.name === sling.name)[1];
}

// A cure as edits of the file.
export function cureEdits(desk, cure) {
  const { raw } = desk.state;
  const numberOf = (list, fits) => (raw[list] ?? []).findIndex(fits);
  if ("remove" in cure) return [{ remove: [cure.remove, numberOf(cure.remove, (each) => each.name === cure.name)] }];
  if ("strap" in cure) {
    const key = ["tree", numberOf("tree", (each) => each.name === cure.strap)];
    const up = desk.units === "imperial" ? `${(cure.up / 0.3048).toFixed(3)} ft` : `${cure.up} m`;
    const heights = raw.tree[key[1]]?.strap_heights;
    return heights ? [{ put: [...key, "strap_heights"], value: [...heights, up] }] : [{ put: [...key, "strap_highest"], value: up }];
  }
  if ("put" in cure || "add" in cure) return [cure];
  const metres = (value) => (desk.units === "imperial" ? `${(Math.ceil(value / 0.003048) / 100).toFixed(2)} ft` : `${value} m`);
  if ("lengthen" in cure) {
    return [{ put: ["gear", numberOf("gear", (each) => (each.name ?? each.id) === cure.lengthen), "length"], value: metres(cure.to) }];
  }
  const owned = numberOf("gear", (each) => (each.name ?? each.id) === cure.name || each.id === cure.own);
  if (owned >= 0) return [{ put: ["gear", owned, "count"], value: (raw.gear[owned].count ?? 1) + cure.more }];
  return [{ add: ["gear"], table: cure.more > 1 ? { id: cure.own, count: cure.more } : { id: cure.own } }];
}

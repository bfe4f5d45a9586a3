// What can be added from the plan: it comes to the middle of the drawing, without a value that nobody stated.

import { byId, make } from "./dom.js";
import { goTo } from "./fields.js";
import { groundAt } from "./things.js";
import { edit } from "./wire.js";

const APART = 2; // m from the middle of the drawing to the ends of what is longer than a point

// Of each: the list of the file, its words, what it is called, the edits that place entry `i` with `spot` m ahead
// and to the left of the middle of the drawing.
const atSpot = (list, table = {}) => (i, name, spot) => [{ add: [list], table: { name, ...table } }, { move: [list, i, "at"], to: spot(0, 0) }];
const outlined = (key, points) => (i, name, spot) => [{ add: ["made"], table: { name } }, { outline: ["made", i, key], points: points.map(([a, b]) => spot(a * APART, b * APART)) }];
const pulls = (kind) => (i, name, spot) => [
  { add: ["puller"], table: { kind, name } },
  { move: ["puller", i, "at"], to: spot(0, 0) },
  { move: ["puller", i, "towards"], to: spot(3 * APART, 0) },
];

const NEW = [
  ["tree", "a tree", "tree", atSpot("tree", { species: "unknown" })],
  ["obstacle", "something in the way", "obstacle", atSpot("obstacle")],
  ["anchor", "another anchor", "anchor", atSpot("anchor")],
  ["made", "a spot where an anchor may be made", "spot", outlined("spots", [[0, 0]])],
  ["made", "a row of such spots", "row", outlined("row", [[0, -1], [0, 1]])],
  ["made", "a piece of ground with such spots", "ground", outlined("area", [[-1, -1], [1, -1], [1, 1], [-1, 1]])],
  ["puller", "people who pull", "people", pulls("people")],
  ["puller", "a vehicle that pulls", "vehicle", pulls("vehicle")],
  ["mark", "a mark", "mark", atSpot("mark")],
  ["leg", "a leg of the path", "leg", null],
];

export function setUpAdding(desk, plan, chosenNext) {
  NEW.forEach(([, words], i) => byId("add").append(make("option", { value: i }, words)));
  byId("add-now").addEventListener("click", () => {
    const raw = desk.state?.raw;
    if (!raw) return;
    const [list, , word, edits] = NEW[Number(byId("add").value)];
    if (list === "leg") {
      const number = (raw.path?.leg ?? []).length;
      edit([{ add: ["path", "leg"], table: {} }]);
      setTimeout(() => goTo(`path.leg[${number + 1}]`), 300);
      return;
    }
    const number = (raw[list] ?? []).length;
    const middle = desk.site ? plan.back(plan.size.map((v) => v / 2)) : [0, 0];
    // coordinates of the file come from the program: it knows the frame
    const spot = (ahead, left) => {
      const at = [middle[0] + ahead, middle[1] + left];
      return [...at, desk.site ? groundAt(desk.site, at) : 0];
    };
    edit(edits(number, freeName(raw, word), spot));
    chosenNext(list === "made" ? `made.${number}.${edits(0, "", spot)[1].outline[2]}.0` : `${list}.${number}`);
    setTimeout(() => goTo(`${list}[${number + 1}]`), 400);
  });
}

function freeName(raw, word) {
  const names = new Set(["tree", "obstacle", "anchor", "made", "mark", "puller"].flatMap((list) => (raw[list] ?? []).map((each) => each.name)));
  let number = 1;
  while (names.has(`${word} ${number}`)) number += 1;
  return `${word} ${number}`;
}

// What takes longer is asked here: stages, the least to buy, the way down, why, what if. The program itself
// answers, as on the command line.

import { Frame } from "./chart.js";
import { button, byId, make } from "./dom.js";
import { prose } from "./prose.js";
import { element } from "./svg.js";
import { post } from "./wire.js";

const PLAIN = [
  ["stages", "In stages"], ["buy", "The least to buy"], ["lower", "How it comes down"], ["why", "Why, or why not"],
  ["show", "In full"], ["check", "What was understood"],
];
const WAYS = [["up", "up the path"], ["down", "down the path"], ["both", "up and down"]];
// What an answer is about where the way makes a difference: a haul alone has stages, a price has all three.
const ABOUT = {
  stages: { up: "In stages", down: "Down, in stages where it takes them", both: "In stages, up" },
  buy: { up: "The least to buy", down: "The least to buy to let it down", both: "The least to buy for both ways" },
  show: { up: "The chosen setup in full", down: "The best way down in full", both: "The chosen setup in full" },
  why: { up: "Why, or why not", down: "Why, or why not, down", both: "Why, or why not, up" },
  sweep: { up: "What if", down: "What if, down", both: "What if, up" },
};
const SHEETS = { stages: { up: "stages", down: "down", both: "stages" }, lower: { up: "down", down: "down", both: "both" }, show: { down: "down", both: "both" } };

let desk = null;
let answered = null; // what the answer that stands there is about

export function setUpQuestions(now) {
  desk = now;
  const reeving = make("input", { id: "reeving", placeholder: "load > oak@0.5 m > load > winch", size: 30 });
  const key = make("input", { id: "sweep", placeholder: "load.weight=400..900 kg", size: 24 });
  byId("questions").replaceChildren(
    make("div", { class: "tools" },
      make("label", {}, "Which way ", make("select", { id: "way" }, ...WAYS.map(([value, words]) => make("option", { value }, words)))),
      make("label", {}, "in at most ", make("input", { id: "most-stages", type: "number", min: 1, max: 12, placeholder: "4", inputmode: "numeric" }), " stages")),
    make("div", { class: "tools" }, ...PLAIN.map(([name, words]) => button(words, () => ask(name)))),
    make("form", { class: "tools", onsubmit: (event) => { event.preventDefault(); ask("why", { reeving: reeving.value.trim() }); } },
      make("label", { for: "reeving" }, "Would this reeving work? "), reeving, make("button", { type: "submit" }, "Ask")),
    make("form", { class: "tools", onsubmit: (event) => { event.preventDefault(); ask("sweep", { key: key.value.trim() }); } },
      make("label", { for: "sweep" }, "What if "), key, make("button", { type: "submit" }, "Draw the curve")),
  );
}

export async function ask(name, more = {}) {
  const box = byId("answer");
  answered = null;
  markOldAnswer();
  const way = byId("way").value;
  const stages = byId("most-stages").valueAsNumber;
  const words = ABOUT[name]?.[way] ?? PLAIN.find(([each]) => each === name)?.[1] ?? name;
  const stop = button("Answer so far", () => post("enough"));
  box.replaceChildren(make("p", {}, `${words}: working it out. `, stop));
  box.scrollIntoView({ block: "nearest" });
  const { hold } = desk.state;
  const found = await post("question", { ask: name, hold, setup: desk.rig?.setup ?? 1, way, ...(stages ? { stages } : {}), ...more });
  if (!found) {
    box.replaceChildren(make("p", { class: "wrong" }, "No answer."));
    return;
  }
  if (found.code < 0) return; // a newer question ended it
  const out = [make("h3", {}, words)];
  out.push(make("p", { class: "stop", id: "answer-old", hidden: true }, "The site has changed since this was asked: it answers what was there before."));
  if (found.code === 0 || found.code === 3) {
    if (name === "sweep") out.push(...sweep(found));
    else out.push(...sheetsOf(name, way, found), prose(found.out));
  } else {
    out.push(make("p", { class: "wrong" }, found.err.trim() || "No answer."));
  }
  out.push(make("p", { class: "soft" }, (desk.list?.always ?? []).slice(-2).join(" ")));
  box.replaceChildren(...out);
  answered = { version: found.version, hold };
  markOldAnswer();
  drawSweep?.();
}

// An answer that stands there is about the site as it was when it was asked for.
export function markOldAnswer() {
  const old = answered !== null && desk.isOld(answered);
  byId("answer").classList.toggle("old", old);
  if (answered) byId("answer-old").hidden = !old;
}

// The sheet that belongs to an answer, of the site as it is now.
function sheetsOf(name, way, found) {
  const sheet = SHEETS[name]?.[way];
  if (!sheet || found.code !== 0 || found.version !== desk.state.version) return [];
  return [make("p", { class: "tools" },
    make("a", { class: "button", href: `sheet/${sheet}.html`, target: "_blank", rel: "noopener" }, "Its sheet"),
    make("a", { class: "button", href: `sheet/${sheet}.pdf`, download: `${sheet}.pdf` }, "Sheet as PDF"))];
}

let drawSweep = null;

// The best margin over one value that is varied.
function sweep(found) {
  drawSweep = null;
  const data = JSON.parse(found.out);
  const cells = data.cells ?? [];
  const [axis] = data.varied ?? [];
  const single = (data.varied ?? []).length === 1;
  const numbers = cells.map((cell) => (single ? cell.values[0] : NaN));
  const margins = cells.map((cell) => cell.margin ?? null);
  const svg = element("svg", { role: "img", "aria-label": "Best margin over the value that is varied" });
  const rows = cells.map((cell, i) => make("tr", {},
    make("td", {}, cell.values.map((value, k) => `${Number(value.toPrecision(5))} ${data.varied[k].unit}`).join(", ")),
    make("td", { class: "n" }, `${margins[i] === null ? (cell.proven ? "none works" : "none found") : margins[i].toFixed(2)}${cell.proven ? "" : ", NOT proven"}`),
    make("td", { class: "wide" }, cell.reeving ?? cell.nearest ?? "")));
  if (cells.length > 1 && numbers.every(Number.isFinite) && margins.some((m) => m !== null)) {
    drawSweep = () => {
      const { lines, ropes } = desk.styles;
      const frame = new Frame(svg, { low: Math.min(...numbers), far: Math.max(...numbers), most: Math.max(...margins.filter(Boolean)) * 1.1 });
      frame.axes(lines.thin, `${axis.name}, ${axis.unit}`, "best margin", numbers.filter((_, i) => i % Math.ceil(numbers.length / 6) === 0).map((v) => Number(v.toPrecision(4))));
      frame.curve(numbers.map((x, i) => [x, margins[i]]), ropes[0]);
      frame.curve([[Math.min(...numbers), 1], [Math.max(...numbers), 1]], lines.limit);
      frame.done();
    };
  }
  return [svg, make("div", { class: "scroll", tabindex: "0" }, make("table", {},
    make("thead", {}, make("tr", {}, ...["value", "margin", "reeving"].map((head) => make("th", { scope: "col" }, head)))),
    make("tbody", {}, ...rows))),
  ...(data.of_one_piece ? [make("p", {}, "Where ropes of one piece do, only those are compared: ropes that are joined, or lengthened by a strap or chain, may bring more margin.")] : [])];
}

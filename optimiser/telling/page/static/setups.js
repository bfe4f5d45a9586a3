// The list of setups, or what comes nearest where none works; cautions; the chosen setup spelt out.

import { button, byId, make } from "./dom.js";
import { prose } from "./prose.js";

// Figures of a setup that stand in its first line; all others stand below it.
const FIRST = ["margin", "parts", "pull", "resets", "rope_needed"];

const cell = (row, key) => row.find((each) => each.key === key);

function figure(row, key) {
  const found = cell(row, key);
  return found ? make("span", {}, `${found.heading} `, make("b", {}, found.text)) : null;
}

// Drawn anew only where something changed, and the keyboard stays where it was.
export function showSetups(desk, { choose, chooseMiss, cure, run, hold }) {
  const status = statusWords(desk);
  if (byId("status").textContent !== status) byId("status").textContent = status;
  const { list } = desk;
  const box = byId("list");
  if (!list) {
    if (desk.withheld) box.replaceChildren(make("p", { class: "stop wrong", role: "alert" }, desk.withheld));
    else if (desk.faults.length) box.replaceChildren(faultList(desk));
    else box.replaceChildren();
    return;
  }
  const focused = document.activeElement?.closest("#list")?.querySelector(":focus")?.dataset.number;
  const rows = desk.measured?.rows ?? list.rows;
  const parts = [];
  for (const note of desk.unlikely) parts.push(make("p", { class: "stop" }, make("b", {}, "MEANT SO? "), note));
  parts.push(make("ol", {}, ...rows.map((row, i) => make("li", {}, setup(desk, row, i, choose)))));
  if (!rows.length) {
    parts.push(...list.misses.map((miss, i) => missed(desk, miss, i, { chooseMiss, cure, hold })));
    const next = /^bankhaul (\w+)/.exec(list.next);
    if (list.next) {
      parts.push(make("p", {}, "Next: ", make("code", {}, list.next), " ",
        next && ["stages", "buy", "lower"].includes(next[1]) ? button("Ask that here", () => run(next[1])) : ""));
    }
  }
  parts.push(...list.notes.map((note) => make("p", { class: "soft" }, note)));
  box.replaceChildren(...parts);
  if (focused) box.querySelector(`[data-number="${focused}"]`)?.focus();
}

function setup(desk, row, i, choose) {
  const chosen = desk.rig?.setup === i + 1;
  const more = row.filter((each) => !["rank", "run", "look_out", ...FIRST].includes(each.key));
  const out = button("", () => choose(i + 1), { class: "setup", "aria-pressed": String(chosen), "data-number": i + 1 });
  const certain = desk.measured?.certain?.[i];
  out.append(
    make("b", {}, String(i + 1)),
    make("span", { class: "figures" }, ...FIRST.map((key) => figure(row, key))),
    certain === false ? make("span", { class: "run wrong" }, `NOT CERTAIN. ${chosen ? "" : cell(row, "readings")?.text ?? ""}`) : "",
    chosen ? make("span", { class: "run" }, cell(row, "run")?.text ?? "") : "",
    chosen ? make("span", { class: "more" }, ...more.flatMap((each) => [make("b", {}, `${each.heading}: `), `${each.text.replace(/\.$/, "")}. `])) : "",
    make("span", { class: "more" }, desk.list.look_out[i] ?? ""),
  );
  return out;
}

function missed(desk, miss, i, { chooseMiss, cure, hold }) {
  const text = (key) => cell(miss.cells, key)?.text;
  const current = desk.miss === i;
  return make("div", { class: "miss", "aria-current": String(current) },
    make("dl", {}, ...miss.cells.flatMap((each) => [make("dt", {}, each.heading), make("dd", {}, each.text)])),
    make("div", { class: "tools" },
      miss.points.length ? button(current ? "Drawn in red" : "Draw it", () => chooseMiss(i), { "aria-pressed": String(current), "data-number": `m${i}` }) : "",
      ...miss.cures.flatMap((each) => cureOf(desk, each, cure, hold))));
}

function cureOf(desk, each, cure, hold) {
  if (each.hold) return desk.state.hold ? [] : [button("Look for setups with a steering line", hold)];
  if (!each.edits) return [make("span", { class: "soft" }, "This cure is no change of the file: it is done on the bank, or bought.")];
  return [
    button("Put this cure into the file", () => cure(each.edits), { "aria-label": `Put this cure into the file, ${each.first}: ${each.words}` }),
    make("span", { class: "soft" }, each.first),
  ];
}

function faultList(desk) {
  return make("div", {},
    make("p", {}, "Nothing is worked out until this is mended:"),
    make("ul", {}, ...desk.faults.map((fault) => make("li", { class: "wrong" },
      fault.place ? make("a", { href: "#site", "data-goes": fault.place }, fault.place) : fault.line ? `line ${fault.line}` : "", `: ${fault.message}`))));
}

function statusWords(desk) {
  if (desk.lost) return "The program does not answer.";
  if (desk.withheld) return "Answer withheld.";
  if (desk.failed) return "The program failed at this; the next change is tried again.";
  if (desk.faults.length) return `${desk.faults.length} ${desk.faults.length === 1 ? "fault" : "faults"} in the site file.`;
  if (!desk.list) return "Working it out.";
  const { ranking, rows } = desk.list;
  const many = rows.length === 1 ? "1 setup" : `${rows.length} setups`;
  const first = rows.length === 1 ? "the best setup" : `the first ${rows.length} setups`;
  const shown = desk.list.top < 10 && rows.length ? `${first}, while you move` : many;
  const proven = ranking.proven ? "proven" : "NOT proven";
  const words = rows.length ? `${shown}, ${proven}.` : `${desk.list.heading} ${ranking.proven ? "Proven." : "NOT proven."}`;
  if (desk.isOld(desk.list)) return "Working out the change. What stands here, pale, is the answer to what was there before.";
  return desk.list.readings && !desk.measured ? `${words} Working out what the readings leave open.` : words;
}

export function showCautions(desk) {
  const { rig, list } = desk;
  const out = [];
  if (rig && list) {
    const part = (title, texts, kind = "") => (texts.length
      ? [make("h3", {}, title), make("ul", { class: kind }, ...texts.map((text) => make("li", {}, text)))] : []);
    out.push(...part("Where nobody stands", rig.keep_out));
    out.push(...(rig.stops.length ? [make("div", { class: "stop" }, ...part("STOP WHEN", rig.stops))] : []));
    out.push(...part(`Of setup ${rig.setup}`, rig.cautions));
  }
  const always = list?.always?.length ? list.always : [
    "These figures are estimates, no certificate; local codes decide, and licensed people where they ask for them.",
  ];
  byId("always").textContent = (list?.always_short ?? []).join(" ") || always[0];
  out.push(make("h3", {}, "Always"), make("ul", {}, ...always.map((text) => make("li", {}, text))));
  byId("caution-list").replaceChildren(...out);
}

export function showDetail(desk) {
  const box = byId("detail");
  const { detail } = desk;
  byId("spelt-title").textContent = detail ? `Setup ${detail.setup}, spelt out` : "Spelt out";
  if (!detail) {
    box.replaceChildren(make("p", { class: "soft" }, "Nothing to spell out yet."));
    return;
  }
  box.replaceChildren(
    make("p", { class: "tools" },
      make("a", { class: "button", href: `sheet/${detail.setup}.html`, target: "_blank", rel: "noopener" }, "Its sheet"),
      make("a", { class: "button", href: `sheet/${detail.setup}.pdf`, download: `setup-${detail.setup}.pdf` }, "Sheet as PDF")),
    prose(detail.markdown));
}

// Puts the page together: takes what the program sends, keeps what is chosen, draws what changed.

import { drawChart } from "./chart.js";
import { button, byId, make } from "./dom.js";
import { goTo, placeOf, showFaults, showSite } from "./fields.js";
import { Plan, nearest } from "./plan.js";
import { ask, setUpQuestions } from "./questions.js";
import { showCautions, showDetail, showSetups } from "./setups.js";
import { Side } from "./side.js";
import { showSigns } from "./signs.js";
import { cureEdits, groundAt, movedTo, things } from "./things.js";
import { edit, knowVersion, listen, onProblem, post, problem } from "./wire.js";

const desk = {
  state: null, site: null, seen: null, styles: null, units: "metric", unlikely: [], unfinished: [], things: [],
  list: null, rig: null, detail: null, measured: null, faults: [], withheld: "", failed: false, lost: false,
  schema: null, catalogue: null, picked: null, moving: null, place: 0, miss: null, met: null,
  replaceText: (text, base) => post("text", { text, base }),
  // whether the list, or what is drawn of it, answers another text or another question than stands here now
  get stale() {
    return [this.list, this.rig].some((part) => part && (part.version !== this.state.version || part.hold !== this.state.hold));
  },
};

let wantedNext = null; // a thing that was just added is the chosen one

const plan = new Plan(byId("plan"), { pick, drag, nudge });
plan.again = () => plan.draw(desk);
const side = new Side(byId("side"), { pick });

// ---- what the program sends -------------------------------------------------------------------------------

const takes = {
  state(message) {
    const isNew = message.version !== desk.state?.version;
    desk.state = message;
    knowVersion(message.version);
    if (isNew) {
      desk.things = things(message.raw, desk.site);
    }
    showFile();
    if (isNew) showSite(desk);
    showSetups(desk, acts);
  },
  site(message) {
    desk.site = message.seen;
    Object.assign(desk, { styles: message.styles, units: message.units, unlikely: message.unlikely, unfinished: message.unfinished, met: null, miss: null });
    if (!desk.faultsVersion || desk.faultsVersion !== message.version) desk.faults = [];
    if (!desk.dragging) desk.moving = null;
    desk.things = things(desk.state?.raw, desk.site);
    desk.picked = desk.things.find((thing) => thing.id === (wantedNext ?? desk.picked?.id)) ?? null;
    if (desk.picked?.id === wantedNext) wantedNext = null;
    if (desk.faults.length) clearAnswer();
    draw();
    showFaults();
    showSigns(desk);
    showCard();
  },
  faults(message) {
    desk.faults = message.faults;
    desk.faultsVersion = message.version;
    clearAnswer();
    draw();
    showFaults();
  },
  list(message) {
    desk.list = message;
    Object.assign(desk, { withheld: "", failed: false, measured: null });
    if (!message.rows.length) {
      Object.assign(desk, { rig: null, detail: null });
      const first = message.misses.findIndex((miss) => miss.points.length);
      acts.chooseMiss(first < 0 ? null : first); // the nearest is drawn at once
    }
    drawAnswer();
  },
  drawing(message) {
    const at = desk.rig ? desk.rig.seen.at[desk.place] : null;
    desk.rig = message;
    desk.place = at === null ? message.seen.begin : nearest(message.seen.at, at);
    draw();
    drawAnswer();
  },
  detail(message) {
    desk.detail = message;
    showDetail(desk);
  },
  measured(message) {
    desk.measured = message;
    showSetups(desk, acts);
  },
  withheld(message) {
    clearAnswer();
    desk.withheld = message.text;
    draw();
    drawAnswer();
  },
  failed() {
    clearAnswer();
    desk.failed = true;
    draw();
    drawAnswer();
  },
  schema(message) {
    desk.schema = message.data;
    showSite(desk);
  },
  catalogue(message) {
    desk.catalogue = message.data;
    showSite(desk);
  },
};

function clearAnswer() {
  Object.assign(desk, { list: null, rig: null, detail: null, measured: null, withheld: "", failed: false });
  showSetups(desk, acts);
  showCautions(desk);
  showDetail(desk);
}

listen((message) => {
  takes[message.part]?.(message);
  byId("desk").classList.toggle("stale", desk.stale);
}, (lost) => {
  if (lost === desk.lost) return;
  desk.lost = lost;
  showFile();
  if (desk.state) showSetups(desk, acts);
});

// ---- drawing ----------------------------------------------------------------------------------------------

function draw() {
  if (!desk.site) return;
  desk.seen = desk.moving ? movedTo(desk.site, desk.moving.thing, desk.moving.at) : desk.site;
  plan.draw(desk);
  side.draw(desk);
  drawPlace();
}

function drawPlace() {
  const rig = desk.rig?.seen;
  byId("along").hidden = !rig;
  byId("chart-figure").hidden = !rig;
  if (!rig) return;
  const slider = byId("place");
  slider.max = rig.at.length - 1;
  slider.value = desk.place;
  slider.setAttribute("aria-valuetext", `${rig.at_words[desk.place]}, ${rig.force.words[desk.place]}`);
  byId("place-at").textContent = rig.at_words[desk.place];
  byId("place-pull").textContent = `${rig.force.words[desk.place]}${desk.place === rig.worst ? ", the worst" : ""}`;
  drawChart(byId("chart"), desk);
}

function drawAnswer() {
  showSetups(desk, acts);
  showCautions(desk);
  showDetail(desk);
}

byId("place").addEventListener("input", (event) => {
  desk.place = Number(event.target.value);
  draw();
});
byId("closer").addEventListener("click", () => plan.closer(1.4));
byId("wider").addEventListener("click", () => plan.closer(1 / 1.4));
byId("fit").addEventListener("click", () => plan.fit());
new ResizeObserver(() => draw()).observe(byId("bank"));

// ---- choosing and moving ----------------------------------------------------------------------------------

const acts = {
  choose: (number) => post("choose", { chosen: number }),
  chooseMiss: (number) => {
    desk.miss = number;
    desk.met = number === null ? null : [desk.list.misses[number]];
    draw();
    showSetups(desk, acts);
  },
  cure: (edits) => edit(edits.flatMap((each) => cureEdits(desk, each))),
  run: (name) => ask(name),
};

function pick(thing) {
  if (desk.picked?.id === thing.id) return;
  desk.picked = thing;
  showCard();
  draw();
}

function place(thing, [x, y]) {
  const rounded = [x, y];
  const follows = byId("follows")?.checked ?? true;
  const z = follows && thing.key[0] !== "path" ? thing.at[2] + groundAt(desk.site, rounded) - groundAt(desk.site, thing.at) : thing.at[2];
  return [...rounded, z];
}

function drag(thing, to, ends) {
  desk.dragging = !ends;
  const at = place(thing, to);
  desk.moving = { id: thing.id, thing, at };
  draw();
  gesture ??= `drag ${thing.id} ${Date.now()}`;
  edit([{ move: thing.key, to: at }], { gesture, ends });
  if (ends) gesture = null;
}

let gesture = null;
let resting = null;

// A key that moves something: steps in quick succession are one change, which ends when the keys rest.
function nudge(thing, off) {
  const from = desk.moving?.id === thing.id ? desk.moving.at : thing.at;
  const start = desk.moving?.id === thing.id ? desk.moving.thing : thing;
  const at = place(start, [from[0] + off[0], from[1] + off[1]]);
  desk.moving = { id: thing.id, thing: start, at };
  desk.dragging = true;
  draw();
  gesture ??= `keys ${thing.id} ${Date.now()}`;
  edit([{ move: thing.key, to: at }], { gesture, ends: false });
  clearTimeout(resting);
  resting = setTimeout(() => {
    desk.dragging = false;
    edit([{ move: thing.key, to: at }], { gesture, ends: true });
    gesture = null;
  }, 700);
}

// The chosen thing, below the plan: its coordinates as the file has them.
function showCard() {
  const box = byId("card");
  const thing = desk.picked;
  if (!thing) {
    box.replaceChildren(make("p", { class: "soft" }, "Choose something on the plan: drag it, or move it with the arrow keys (0.1 m; with Shift 1 m)."));
    return;
  }
  if (box.contains(document.activeElement) && document.activeElement.tagName === "INPUT" && box.dataset.thing === thing.id) {
    return; // somebody types there
  }
  box.dataset.thing = thing.id;
  const fields = Array.isArray(thing.written)
    ? ["x", "y", "z"].map((axis, i) => make("label", {}, `${axis} `, make("input", {
      value: thing.written[i] ?? "", onchange: (event) => edit([{ put: [...thing.key, i], value: event.target.value.trim() }]),
    })))
    : [make("span", { class: "soft" }, thing.searched ? thing.placed : `${thing.placed}: change those to move it`)];
  const removable = typeof thing.table[thing.table.length - 1] === "number" && !thing.id.endsWith("towards");
  box.replaceChildren(make("div", { class: "row" },
    make("b", {}, thing.name), make("span", { class: "soft" }, thing.kind), ...fields,
    button("All about it", () => goTo(placeOf(thing.table))),
    removable ? button("Remove", () => { desk.picked = null; edit([{ remove: thing.table }]); showCard(); }) : ""),
  thing.movable && thing.key[0] !== "path" ? make("label", { class: "tick" },
    make("input", { type: "checkbox", id: "follows", checked: byId("follows")?.checked ?? true }),
    "its height follows the ground of the path while it is moved; type z where you measured it") : "");
}

// ---- adding -----------------------------------------------------------------------------------------------

const NEW = {
  tree: ["a tree", (at, name) => ({ name, at, species: "unknown" })],
  obstacle: ["something in the way", (at, name) => ({ name, at })],
  anchor: ["another anchor", (at, name) => ({ name, at })],
  made: ["a spot where an anchor may be made", (at, name) => ({ name, at })],
  mark: ["a mark", (at, name) => ({ name, at })],
  leg: ["a leg of the path", null],
};

for (const [name, [words]] of Object.entries(NEW)) byId("add").append(make("option", { value: name }, words));

byId("add-now").addEventListener("click", () => {
  const name = byId("add").value;
  const raw = desk.state?.raw;
  if (!raw) return;
  if (name === "leg") {
    const number = (raw.path?.leg ?? []).length;
    edit([{ add: ["path", "leg"], table: {} }]);
    setTimeout(() => goTo(`path.leg[${number + 1}]`), 300);
    return;
  }
  const number = (raw[name] ?? []).length;
  const names = new Set(["tree", "obstacle", "anchor", "made", "mark", "puller"].flatMap((list) => (raw[list] ?? []).map((each) => each.name)));
  let called = 1;
  while (names.has(`${name} ${called}`)) called += 1;
  const middle = desk.site ? plan.back(plan.size.map((v) => v / 2)) : [0, 0];
  const up = desk.site ? groundAt(desk.site, middle) : 0;
  // the middle of the drawing, in the file's own coordinates, comes from the program: it knows the frame
  edit([{ add: [name], table: NEW[name][1](["0 m", "0 m", "0 m"], `${name} ${called}`) }, { move: [name, number, "at"], to: [...middle, up] }]);
  wantedNext = `${name}.${number}`;
  setTimeout(() => goTo(`${name}[${number + 1}]`), 400);
});

// ---- the file ---------------------------------------------------------------------------------------------

function showFile() {
  const { state } = desk;
  if (!state) return;
  byId("title").textContent = state.raw?.title || "A site without a title";
  document.title = `${state.dirty ? "* " : ""}${state.name} – bankhaul`;
  const where = state.file ?? "the demonstration site";
  const how = state.new && state.dirty ? "new, not saved yet" : state.new ? "new, begun from the starter" : state.dirty ? "changed, not saved" : "as saved";
  byId("file").textContent = desk.lost ? "The program was ended or does not answer." : `${where}: ${how}`;
  byId("save").disabled = !state.file || (!state.dirty && !state.new);
  byId("undo").disabled = !state.undo;
  byId("redo").disabled = !state.redo;
  byId("hold").checked = state.hold;
  byId("copy").hidden = Boolean(state.file);
  showNotices();
}

let lastProblem = "";
onProblem((text) => {
  lastProblem = text;
  showNotices();
});

function showNotices() {
  const { state } = desk;
  const out = [];
  const notice = (words, ...buttons) => out.push(make("div", { class: "notice", role: "alert" }, words, ...buttons));
  if (lastProblem) notice(lastProblem, button("Close", () => { lastProblem = ""; showNotices(); }));
  if (state?.draft) {
    notice(`A draft from ${state.draft} was never saved.`, button("Take it up", () => post("draft", { take: true })), button("Drop it", () => post("draft", { take: false })));
  }
  if (state?.outside) {
    notice("Another program has changed the file.", button("Take what it has", () => post("reload")), button("Keep mine, and save it", () => post("save", { mine: true })));
  }
  if (state?.draft_trouble) notice(state.draft_trouble);
  const box = byId("notices");
  if (box.textContent !== out.map((each) => each.textContent).join("")) box.replaceChildren(...out);
}

byId("save").addEventListener("click", () => post("save"));
byId("undo").addEventListener("click", () => post("undo"));
byId("redo").addEventListener("click", () => post("redo"));
byId("hold").addEventListener("change", (event) => post("choose", { hold: event.target.checked }));
byId("copy").addEventListener("click", async (event) => {
  if (event.target.href) return;
  event.preventDefault();
  const found = await (await fetch("text")).json();
  const link = make("a", { href: URL.createObjectURL(new Blob([found.text], { type: "application/toml" })), download: desk.state.name });
  link.click();
});
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, textarea")) return;
  const act = { s: "save", z: event.shiftKey ? "redo" : "undo", y: "redo" }[event.key.toLowerCase()];
  if (!act || byId(act).disabled) return;
  event.preventDefault();
  void post(act);
});
document.addEventListener("click", (event) => {
  const place_ = event.target.closest?.("[data-goes]")?.dataset.goes;
  if (!place_) return;
  event.preventDefault();
  goTo(place_);
});

setUpQuestions(desk);
showCard();
if (!window.EventSource) problem("This browser is too old for the page.");

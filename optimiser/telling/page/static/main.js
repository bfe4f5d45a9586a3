// Puts the page together: takes what the program sends, keeps what is chosen, draws what changed.

import { setUpAdding } from "./adding.js";
import { setUpCard, showCard } from "./card.js";
import { drawChart } from "./chart.js";
import { byId } from "./dom.js";
import { goTo, showFaults, showSite } from "./fields.js";
import { setUpFile, showFile } from "./file.js";
import { Plan, nearest } from "./plan.js";
import { ask, markOldAnswer, setUpQuestions } from "./questions.js";
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
  // whether a part answers another text or another question than stands here now
  isOld(part) {
    return Boolean(part) && (part.version !== this.state.version || part.hold !== this.state.hold);
  },
};

let wantedNext = null; // a thing that was just added is the chosen one

const plan = new Plan(byId("plan"), { pick, drag, nudge });
plan.again = () => plan.draw(desk);
const side = new Side(byId("side"), { pick, raise });

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
    markOldAnswer();
    if (isNew && !desk.dragging) showSite(desk); // the form waits until the hand rests
    showSetups(desk, acts);
  },
  site(message) {
    desk.site = message.seen;
    Object.assign(desk, { styles: message.styles, units: message.units, unlikely: message.unlikely, unfinished: message.unfinished, met: null, miss: null });
    if (!desk.faultsVersion || desk.faultsVersion !== message.version) desk.faults = [];
    if (!desk.dragging && message.version === desk.state?.version) desk.moving = null;
    desk.things = things(desk.state?.raw, desk.site);
    desk.picked = desk.things.find((thing) => thing.id === (wantedNext ?? desk.picked?.id)) ?? null;
    if (desk.picked?.id === wantedNext) wantedNext = null;
    if (desk.faults.length) clearAnswer();
    if (!desk.dragging || desk.faults.length) draw(); // else what follows at once is drawn with it
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
      drawAnswer();
    } else showSetups(desk, acts); // its drawing follows
  },
  drawing(message) {
    const at = desk.rig ? desk.rig.seen.at[desk.place] : null;
    desk.rig = message;
    desk.place = at === null ? message.seen.begin : nearest(message.seen.at, at);
    if (desk.detail?.version !== message.version) desk.detail = null;
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
  markOld();
}, (lost) => {
  if (lost === desk.lost) return;
  desk.lost = lost;
  markOld();
  showFile();
  if (desk.state) showSetups(desk, acts);
});

// Pale is what answers something else than what stands here now, and all of it once nobody answers any more.
function markOld() {
  byId("desk").classList.toggle("stale", desk.lost || desk.isOld(desk.list));
  byId("desk").classList.toggle("undrawn", desk.lost || desk.isOld(desk.rig));
}

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
new ResizeObserver(() => {
  plan.wide = side.wide = 0;
  draw();
}).observe(byId("bank"));

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
  hold: () => post("choose", { hold: true }),
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
  moved(thing, place(thing, to), ends);
}

function moved(thing, at, ends) {
  desk.dragging = !ends;
  desk.moving = { id: thing.id, thing, at };
  gesture ??= `drag ${thing.id} ${Date.now()}`;
  edit([{ move: thing.key, to: at }], { gesture, ends });
  if (ends) gesture = null;
  draw();
}

let gesture = null;
let resting = null;

// A key that moves something: steps in quick succession are one change, which ends when the keys rest.
function nudge(thing, off) {
  const from = desk.moving?.id === thing.id ? desk.moving.at : thing.at;
  const start = desk.moving?.id === thing.id ? desk.moving.thing : thing;
  step(start, place(start, [from[0] + off[0], from[1] + off[1]]));
}

function step(thing, at) {
  desk.moving = { id: thing.id, thing, at };
  desk.dragging = true;
  gesture ??= `keys ${thing.id} ${Date.now()}`;
  edit([{ move: thing.key, to: at }], { gesture, ends: false });
  draw();
  clearTimeout(resting);
  resting = setTimeout(() => {
    desk.dragging = false;
    edit([{ move: thing.key, to: at }], { gesture, ends: true });
    gesture = null;
  }, 700);
}

// A point of the path goes so many m up in the side view, by keys from where it is, dragged from where it was.
function raise(thing, up, { keys = false, ends = false }) {
  const moving = keys && desk.moving?.id === thing.id ? desk.moving : { thing, at: thing.at };
  const at = [moving.at[0], moving.at[1], moving.at[2] + up];
  if (keys) step(moving.thing, at);
  else moved(thing, at, ends);
}

document.addEventListener("click", (event) => {
  const place_ = event.target.closest?.("[data-goes]")?.dataset.goes;
  if (!place_) return;
  event.preventDefault();
  goTo(place_);
});

onProblem(() => { // what was refused goes back to where it was
  desk.moving = null;
  draw();
});
setUpFile(desk);
setUpCard(desk, () => { desk.picked = null; showCard(); });
setUpAdding(desk, plan, (id) => { wantedNext = id; });
setUpQuestions(desk);
if (!window.EventSource) problem("This browser is too old for the page.");

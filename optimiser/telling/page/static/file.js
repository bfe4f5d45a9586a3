// The file: its name and state, saving, undo, what has to be decided about it.

import { button, byId, make } from "./dom.js";
import { onProblem, post } from "./wire.js";

let desk = null;
let lastProblem = "";

export function setUpFile(now) {
  desk = now;
  for (const name of ["save", "undo", "redo"]) byId(name).addEventListener("click", () => post(name));
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
  onProblem((text) => {
    lastProblem = text;
    showNotices();
  });
}

export function showFile() {
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

function showNotices() {
  const { state } = desk;
  const out = [];
  const notice = (words, ...buttons) => out.push(make("div", { class: "notice", role: "alert" }, words, ...buttons));
  if (lastProblem) notice(lastProblem, button("Close", () => { lastProblem = ""; showNotices(); }));
  if (state?.draft) {
    notice(`A draft from ${state.draft} was never saved. If this file is open on another page too, it is that page's.`, button("Take it up", () => post("draft", { take: true })), button("Drop it", () => post("draft", { take: false })));
  }
  if (state?.outside) {
    notice("Another program has changed the file.", button("Take what it has", () => post("reload")), button("Keep mine, and save it", () => post("save", { mine: true })));
  }
  if (state?.draft_trouble) notice(state.draft_trouble);
  const box = byId("notices");
  if (box.textContent !== out.map((each) => each.textContent).join("")) box.replaceChildren(...out);
}

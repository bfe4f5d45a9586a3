// The site file as a form, made from its schema: every key with its meaning, its unit, what is wrong with it.
// Lists open item by item; a part is only built while it is open.

import { button, byId, make } from "./dom.js";
import { edit } from "./wire.js";
import { gearSearch } from "./gear.js";

const ORDER = ["load", "path", "tree", "puller", "gear", "anchor", "made", "pair", "obstacle", "mark", "reading", "accuracy", "pulled", "lever", "preferences"];
const HEADS = {
  load: "Load", path: "Path", tree: "Trees", puller: "Pullers", gear: "Gear owned", anchor: "Other anchors",
  made: "Anchors that may be made", pair: "Two trees that share a pull", obstacle: "In the way", mark: "Marks", reading: "Readings", accuracy: "How exact readings are",
  pulled: "Pulls that were read", lever: "Raising it", preferences: "Preferences",
};
const LONG_CHOICE = 14;
// Keys that most people state, though readings or another key may stand in for them: never folded away.
const USUAL = new Set(["name", "at", "start", "to", "towards", "diameter", "strap_lowest", "strap_highest", "run", "length", "ends", "count", "surface", "condition"]);

let desk = null;
const opened = new Set(["load"]);
const begunOpen = new Set(); // what is needed is open until somebody closes it

export const placeOf = (key) => key.map((step, i) => (typeof step === "number" ? `[${step + 1}]` : `${i ? "." : ""}${step}`)).join("");
const words = (name) => name.replaceAll("_", " ");
const at = (raw, key) => key.reduce((here, step) => here?.[step], raw);

function resolved(schema) {
  let out = schema ?? {};
  while (out.$ref) out = { ...desk.schema.$defs[out.$ref.split("/").pop()], ...without(out, "$ref") };
  return out;
}
const without = (object, key) => Object.fromEntries(Object.entries(object).filter(([name]) => name !== key));

// The alternatives of a value but "nothing".
function choices(schema) {
  const here = resolved(schema);
  const some = here.anyOf ?? here.oneOf;
  return some ? some.flatMap(choices).filter((each) => each.type !== "null") : [here];
}

// Of tables that come in kinds the one that the values are of.
function kindOf(options, value) {
  const fits = (option) => {
    const kinds = option.properties?.kind;
    const names = kinds ? [kinds.const, ...(kinds.enum ?? [])] : [];
    return kinds ? names.includes(value?.kind) : !("kind" in (value ?? {}));
  };
  return options.find(fits) ?? options[0];
}

export function showSite(now) {
  desk = now;
  if (!desk.schema || !desk.state) return;
  const box = byId("parts");
  const { raw } = desk.state;
  const kept = keepTyping();
  const out = [textEditor()];
  if (raw === null) {
    out.unshift(make("p", { class: "wrong" }, "The text is no TOML as it stands; mend it here."));
  } else {
    out.unshift(part(["title"], desk.schema.properties.title, raw.title), ...ORDER.map((name) => section(name, raw)));
  }
  box.replaceChildren(...out);
  showFaults();
  restoreTyping(kept);
}

// What is typed and not yet taken stays, and so does the place of the keyboard.
function keepTyping() {
  const here = document.activeElement;
  if (!here?.closest("#parts")) return null;
  const name = here.dataset.at;
  if (!name) return null;
  const selection = typeof here.selectionStart === "number" ? [here.selectionStart, here.selectionEnd] : null;
  return { name, value: here.value, typed: here.value !== here.dataset.was, selection };
}

function restoreTyping(kept) {
  if (!kept) return;
  const there = byId("parts").querySelector(`[data-at="${CSS.escape(kept.name)}"]`);
  if (!there) return;
  if (kept.typed) there.value = kept.value;
  there.focus({ preventScroll: true });
  if (kept.selection) there.setSelectionRange?.(...kept.selection);
}

function details(name, head, build, kind = "") {
  const out = make("details", { "data-part": name, class: kind, open: opened.has(name) }, make("summary", { "data-at": `open ${name}` }, head));
  const fill = () => { if (out.childElementCount === 1) out.append(...build()); };
  if (opened.has(name)) fill();
  // noted at once: the form may be made anew before the browser tells of the toggle
  out.firstElementChild.addEventListener("click", () => { if (out.open) opened.delete(name); else opened.add(name); });
  out.addEventListener("toggle", () => {
    if (out.open) { fill(); showFaults(); }
  });
  return out;
}

function section(name, raw) {
  const schema = desk.schema.properties[name];
  const value = raw[name];
  const rows = Array.isArray(value) ? ` (${value.length})` : "";
  return details(name, `${HEADS[name]}${rows}`, () => [
    make("p", { class: "soft" }, schema.description ?? ""),
    ...inside([name], schema, value, name === "gear"),
  ]);
}

function inside(key, schema, value, isGear = false) {
  const options = choices(schema);
  const [first] = options;
  if (first.type === "array") return list(key, first.items, value ?? [], isGear);
  if (value === undefined) {
    return [button(`State ${words(key[key.length - 1])}`, () => edit([{ put: key, value: {} }]))];
  }
  return table(key, kindOf(options, value), value);
}

function list(key, items, rows, isGear) {
  const out = rows.map((row, i) => {
    const here = [...key, i];
    const name = row?.name ?? row?.id ?? "";
    const more = isGear ? [row?.count > 1 ? `${row.count} of it` : "", row?.length ?? ""].filter(Boolean).join(", ") : "";
    return details(placeOf(here), `${i + 1}. ${name}${more ? `, ${more}` : ""}`, () => [
      ...table(here, kindOf(choices(items), row), row),
      make("p", { class: "tools" }, button(`Remove ${name || "it"}`, () => edit([{ remove: here }]))),
    ], "item");
  });
  if (isGear) out.push(gearSearch(desk, (table_) => edit([{ add: ["gear"], table: table_ }])));
  out.push(make("p", { class: "tools" }, ...adders(key, items)));
  return out;
}

function adders(key, items) {
  const options = choices(items);
  const add = (option) => () => {
    const table_ = {};
    const kind = option.properties?.kind?.const ?? option.properties?.kind?.enum?.[0];
    if (kind) table_.kind = kind;
    opened.add(placeOf([...key, (at(desk.state.raw, key) ?? []).length]));
    edit([{ add: key, table: table_ }]);
  };
  const name = words(key[key.length - 1]);
  if (options.length === 1) return [button(`One more ${name}`, add(options[0]))];
  return options.filter((option) => option.properties.kind).map((option) =>
    button(`One more ${option.properties.kind.const ?? option.properties.kind.enum[0]}`, add(option)));
}

// The keys of a table: those that are needed or stated, then the others folded away.
function table(key, schema, value) {
  const needed = new Set(schema.required ?? []);
  const first = [];
  const others = [];
  for (const [name, field] of Object.entries(schema.properties ?? {})) {
    const here = [...key, name];
    const [option] = choices(field);
    const isTable = option.type === "object" || (option.type === "array" && choices(option.items)[0].type === "object");
    const stated = value?.[name] !== undefined;
    if (isTable && needed.has(name) && !begunOpen.has(placeOf(here))) {
      begunOpen.add(placeOf(here));
      opened.add(placeOf(here));
    }
    const out = isTable
      ? details(placeOf(here), words(name), () => [make("p", { class: "soft" }, field.description ?? ""), ...inside(here, field, value?.[name])], "item")
      : part(here, field, value?.[name], needed.has(name));
    (needed.has(name) || stated || USUAL.has(name) ? first : others).push(out);
  }
  const unknown = Object.keys(value ?? {}).filter((name) => !(name in (schema.properties ?? {})));
  for (const name of unknown) first.push(part([...key, name], { type: "string", description: "Not a key of this table." }, value[name]));
  if (others.length) first.push(details(`${placeOf(key)} more`, `What else can be stated (${others.length})`, () => others));
  return first;
}

// ---- one field --------------------------------------------------------------------------------------------

let count = 0;

function part(key, schema, value, needed = false) {
  const place = placeOf(key);
  const name = words(key[key.length - 1]);
  const id = `f${(count += 1)}`;
  const options = choices(schema);
  const isPoint = options.some((o) => o.type === "array" && o.minItems === 3 && o.maxItems === 3) && typeof value !== "string";
  const isPoints = options.some((o) => o.type === "array" && o.items && choices(o.items).some((each) => each.type === "array"));
  const rows = isPoints ? points(key, value, id, name) : [isPoint ? point(key, value, id, name) : [single(key, schema, options, value, id)]];
  const controls = rows.flat();
  const meaning = make("div", { class: "meaning", id: `${id}m` }, schema.description ?? resolved(schema).description ?? "");
  const fault = make("div", { class: "fault wrong", id: `${id}f` });
  for (const control of controls) control.setAttribute("aria-describedby", `${id}m ${id}f`);
  const label = isPoint || isPoints ? make("span", { class: "label" }, name) : make("label", { for: id }, name);
  if (needed) label.append(make("span", { class: "soft" }, " needed"));
  return make("div", { class: "field", "data-place": place }, label,
    make("div", {}, ...rows.map((row) => make("div", { class: "controls" }, ...row))), meaning, fault);
}

function single(key, schema, options, value, id) {
  const place = placeOf(key);
  const [option] = options;
  const words_ = options.flatMap((o) => o.enum ?? (o.const !== undefined ? [o.const] : []));
  const flag = options.some((o) => o.type === "boolean");
  const rest = schema.default ?? resolved(schema).default;
  const shown = value === undefined ? "" : Array.isArray(value) ? value.join(", ") : String(value);
  const example = options.flatMap((o) => o.examples ?? [])[0];
  const hint = rest !== undefined && rest !== null && typeof rest !== "object" && String(rest) ? `${rest} if left out` : example ? `such as ${example}` : "";
  if ((flag && !words_.length) || (words_.length && words_.length <= LONG_CHOICE && !flag)) {
    const named = flag ? ["true", "false"] : words_;
    const all = named.includes(shown) || !shown ? named : [shown, ...named];
    const out = make("select", { id, "data-at": place, "data-was": shown, onchange: () => commit(key, options, out.value) },
      make("option", { value: "" }, hint || "not stated"), ...all.map((word) => make("option", { value: word }, { true: "yes", false: "no" }[word] ?? word)));
    out.value = shown;
    return out;
  }
  const out = make("input", {
    id, "data-at": place, "data-was": shown, placeholder: hint, autocomplete: "off", spellcheck: "false",
    list: words_.length ? choiceList(option, words_) : null, value: shown, onchange: () => commit(key, options, out.value),
  });
  return out;
}

// Three coordinates. They go into the file together: none is made up.
function point(key, value, id, name) {
  const place = placeOf(key);
  const inputs = ["x", "y", "z"].map((axis, i) => make("input", {
    id: `${id}${axis}`, "aria-label": `${name}, ${axis}`, placeholder: axis, "data-at": `${place}[${i + 1}]`,
    "data-was": value?.[i] ?? "", value: value?.[i] ?? "", autocomplete: "off",
  }));
  for (const [i, input] of inputs.entries()) {
    input.addEventListener("change", () => {
      const all = inputs.map((each) => each.value.trim());
      if (all.every((each) => !each)) { if (value !== undefined) edit([{ remove: key }]); }
      else if (Array.isArray(value)) edit([{ put: [...key, i], value: all[i] }]);
      else if (all.every(Boolean)) edit([{ put: key, value: all }]);
    });
  }
  return inputs;
}

// A line or a piece of ground, point by point: three coordinates each, or the name of a mark; below them room for
// one more. A point whose fields are emptied goes.
function points(key, value, id, name) {
  const stated = Array.isArray(value) ? value : [];
  const named = (i) => make("input", {
    id: `${id}n${i}`, "aria-label": `${name} ${i + 1}, a mark`, "data-at": placeOf([...key, i]), "data-was": stated[i], value: stated[i], autocomplete: "off",
    onchange: (event) => edit([event.target.value.trim() ? { put: [...key, i], value: event.target.value.trim() } : { remove: [...key, i] }]),
  });
  const out = stated.map((each, i) => (Array.isArray(each) ? point([...key, i], each, `${id}p${i}`, `${name} ${i + 1}`) : [named(i)]));
  const next = ["x", "y", "z"].map((axis, k) => make("input", {
    "aria-label": `one more of ${name}, ${axis}`, placeholder: axis, "data-at": `${placeOf([...key, stated.length])}[${k + 1}]`, "data-was": "", autocomplete: "off",
    onchange: () => {
      const all = next.map((each) => each.value.trim());
      if (all.every(Boolean)) edit([{ put: key, value: [...stated, all] }]);
    },
  }));
  return [...out, next];
}

const lists = new Map();

function choiceList(option, all) {
  const name = all.join("|");
  if (!lists.has(name)) {
    const id = `choices${lists.size}`;
    document.body.append(make("datalist", { id }, ...all.map((word) => make("option", { value: word }))));
    lists.set(name, id);
  }
  return lists.get(name);
}

function commit(key, options, typed) {
  const text = typed.trim();
  const before = at(desk.state.raw, key);
  if (!text) {
    if (before !== undefined) edit([{ remove: key }]);
    return;
  }
  const kinds = new Set(options.map((o) => o.type));
  let value = text;
  if (kinds.has("array")) value = text.split(",").map((each) => each.trim()).filter(Boolean);
  else if (kinds.has("boolean") && ["true", "false"].includes(text)) value = text === "true";
  else if ((kinds.has("number") || kinds.has("integer")) && /^[-+]?(\d+\.?\d*|\.\d+)$/.test(text)) value = Number(text);
  edit([{ put: key, value }]);
}

// ---- what is wrong, beside the field ----------------------------------------------------------------------

export function showFaults() {
  const box = byId("parts");
  for (const field of box.querySelectorAll(".field")) {
    field.removeAttribute("data-faulty");
    field.querySelector(".fault").textContent = "";
    for (const control of field.querySelectorAll("[aria-invalid]")) control.removeAttribute("aria-invalid");
  }
  for (const each of box.querySelectorAll("details")) each.firstElementChild.querySelector(".wrong")?.remove();
  for (const fault of desk?.faults ?? []) {
    const field = nearestTo(fault.place, ".field", "place");
    if (field) {
      field.dataset.faulty = "";
      const words_ = field.querySelector(".fault");
      words_.textContent = [words_.textContent, fault.message].filter(Boolean).join("; ");
      for (const control of field.querySelectorAll("input, select")) control.setAttribute("aria-invalid", "true");
    }
    for (const each of box.querySelectorAll("details")) {
      const name = each.dataset.part;
      const within = fault.place === name || fault.place.startsWith(`${name}.`) || fault.place.startsWith(`${name}[`);
      if (within && !each.firstElementChild.querySelector(".wrong")) {
        each.firstElementChild.append(make("span", { class: "wrong" }, fault.place === name ? `: ${fault.message}` : ": fault inside"));
      }
    }
  }
}

// The field at a place, or around it.
function nearestTo(place, selector, name) {
  for (let here = place; here; here = here.replace(/(\.\w+|\[\d+\])$|^\w+$/, "")) {
    const found = byId("parts").querySelector(`${selector}[data-${name}="${CSS.escape(here)}"]`);
    if (found) return found;
  }
  return null;
}

// Opens what a place of the file stands in, and goes there.
export function goTo(place) {
  const steps = place.split(/(?=\.|\[)/);
  let here = "";
  for (const step of steps) {
    here += step;
    opened.add(here);
    opened.add(`${here} more`);
  }
  showSite(desk);
  const field = nearestTo(place, ".field", "place") ?? nearestTo(place, "details", "part");
  field?.scrollIntoView({ block: "center" });
  (field?.querySelector("input, select, summary") ?? field)?.focus({ preventScroll: true });
}

// ---- the text of the file ---------------------------------------------------------------------------------

function textEditor() {
  return details("text", "The text of the file", () => {
    const area = make("textarea", { rows: 24, spellcheck: "false", "aria-label": "Text of the site file", "data-at": "the text" });
    let base = null;
    void fetch("text").then((reply) => reply.json()).then((found) => {
      area.value = found.text;
      base = found.version;
    });
    return [area, make("p", { class: "tools" }, button("Take this text", () => desk.replaceText(area.value, base)))];
  });
}

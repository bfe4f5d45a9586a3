// Looks a piece up in the catalogue and adds it to the gear owned.

import { button, make } from "./dom.js";

const MOST = 40;
const GEAR = new Set(["rope", "block", "strap", "shackle", "chain", "hook", "edge protector"]);
let looked = "";

export function gearSearch(desk, add) {
  const found = make("ul", { class: "found", "aria-label": "Found in the catalogue" });
  const many = make("p", { class: "soft", "aria-live": "polite" });
  const input = make("input", { type: "search", "aria-label": "Search the catalogue", placeholder: "such as polyester 12, or shackle 13", "data-at": "gear search", "data-was": "", value: looked });
  const count = make("input", { "aria-label": "How many", value: "1", inputmode: "numeric", size: 3 });
  const length = make("input", { "aria-label": "Length of a rope, strap or chain", placeholder: "length, such as 60 m", size: 16 });

  const search = () => {
    looked = input.value;
    const wanted = looked.toLowerCase().split(/\s+/).filter(Boolean);
    const all = (desk.catalogue ?? []).filter((each) => GEAR.has(each.kind));
    const fits = wanted.length ? all.filter((each) => {
      const words = `${each.id} ${each.kind} ${each.name} ${each.inches ?? ""}`.toLowerCase();
      const apart = words.split(/[\s,]+/);
      // 1/2 is no part of 1-1/2.
      return wanted.every((word) => (word.includes("/") ? apart.includes(word) : words.includes(word)));
    }) : [];
    many.textContent = wanted.length ? `${fits.length} found${fits.length > MOST ? `, the first ${MOST} shown` : ""}` : "";
    found.replaceChildren(...fits.slice(0, MOST).map((each) => make("li", {},
      make("span", {}, `${each.name}${each.nominal ? `, nominally ${each.inches}` : ""} (${each.id})`),
      button("Own it", () => {
        const table = { id: each.id };
        if (length.value.trim()) table.length = length.value.trim();
        if (/^\d+$/.test(count.value.trim()) && count.value.trim() !== "1") table.count = Number(count.value.trim());
        add(table);
      }, { "aria-label": `Own ${each.name}` }))));
    found.hidden = !fits.length;
  };
  input.addEventListener("input", search);
  search();
  return make("div", { class: "item" }, make("b", {}, "From the catalogue"),
    make("div", { class: "tools" }, input, count, length), many, found);
}

// Elements of the page. Texts are only ever set as text: a name in a site file can do nothing.

export function make(name, attributes = {}, ...children) {
  const out = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) out.addEventListener(key.slice(2), value);
    else if (key === "value") out.value = value;
    else out.setAttribute(key, value === true ? "" : value);
  }
  out.append(...children.filter((child) => child !== null && child !== undefined && child !== ""));
  return out;
}

export const byId = (id) => document.getElementById(id);

export function button(words, act, attributes = {}) {
  return make("button", { type: "button", onclick: act, ...attributes }, words);
}

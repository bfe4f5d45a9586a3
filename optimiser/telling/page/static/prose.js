// Shows the Markdown that the program prints: headings, tables, lists, paragraphs, and nothing else.

import { make } from "./dom.js";

const WIDE = 48; // characters from which a column is wide

const plain = (words) => words.replaceAll("&lt;", "<").replaceAll("\\|", "|");

function withCode(words) {
  return plain(words).split(/(`[^`]+`)/).filter(Boolean).map((piece) =>
    piece.startsWith("`") ? make("code", {}, piece.slice(1, -1)) : piece);
}

const cells = (row) => row.replace(/^\|/, "").replace(/\|\s*$/, "").split(/(?<!\\)\|/).map((cell) => cell.trim());

function table(lines) {
  const heads = cells(lines[0]);
  const right = cells(lines[1]).map((mark) => mark.endsWith(":"));
  const rows = lines.slice(2).map(cells);
  const wide = heads.map((_, i) => rows.some((row) => (row[i] ?? "").length > WIDE));
  const kind = (i) => (right[i] ? "n" : wide[i] ? "wide" : null);
  return make("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": "Table" }, make("table", {},
    make("thead", {}, make("tr", {}, ...heads.map((head, i) => make("th", { scope: "col", class: kind(i) }, ...withCode(head))))),
    make("tbody", {}, ...rows.map((row) => make("tr", {}, ...row.map((cell, i) => make("td", { class: kind(i) }, ...withCode(cell))))))));
}

export function prose(markdown) {
  const out = make("div", { class: "prose" });
  const lines = markdown.split("\n");
  for (let i = 0; i < lines.length; i++) {
    const here = lines[i];
    if (!here.trim()) continue;
    const heading = /^(#+) (.*)/.exec(here);
    if (heading) {
      out.append(make("h3", {}, ...withCode(heading[2])));
    } else if (here.startsWith("|")) {
      const rows = [];
      while (lines[i]?.startsWith("|")) rows.push(lines[i++]);
      i--;
      out.append(table(rows));
    } else if (/^\s*(- |\d+\. )/.test(here)) {
      const items = [];
      while (/^\s*(- |\d+\. )/.test(lines[i] ?? "")) items.push(lines[i++].replace(/^\s*(- |\d+\. )/, ""));
      i--;
      out.append(make(/^\s*\d/.test(here) ? "ol" : "ul", {}, ...items.map((item) => make("li", {}, ...withCode(item)))));
    } else {
      out.append(make("p", {}, ...withCode(here)));
    }
  }
  return out;
}

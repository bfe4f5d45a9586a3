// Elements of drawings. Lengths of signs are in mm as on the sheet; MM turns them into px.

export const MM = 96 / 25.4;
const SPACE = "http://www.w3.org/2000/svg";

export function element(name, attributes = {}, ...children) {
  const out = document.createElementNS(SPACE, name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined) out.setAttribute(key, value);
  }
  out.append(...children);
  return out;
}

// Its size in px; nothing is touched where it has that already, for the page is laid out anew each time.
export function sized(svg, wide, high) {
  const box = `0 0 ${wide} ${high}`;
  if (svg.getAttribute("viewBox") === box) return;
  svg.setAttribute("viewBox", box);
  svg.style.height = `${high}px`;
}

// The widths and dashes of a line of the sheet.
export function stroke(style, factor = 1) {
  return {
    "stroke-width": (style.width * MM * factor).toFixed(2),
    "stroke-dasharray": style.dashes.length ? style.dashes.map((d) => (d * MM).toFixed(2)).join(" ") : null,
  };
}

const shown = (points) => points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");

export function line(points, style, kind = "line", factor = 1) {
  return element("polyline", { points: shown(points), class: kind, ...stroke(style, factor) });
}

export function shape(points, style, kind = "blank") {
  return element("polygon", { points: shown(points), class: kind, ...stroke(style) });
}

export function circle([x, y], radius, style, kind = "blank") {
  return element("circle", {
    cx: x.toFixed(1), cy: y.toFixed(1), r: radius.toFixed(2), class: kind, ...stroke(style),
  });
}

export function square([x, y], half, style, kind = "black") {
  return shape([[x - half, y - half], [x + half, y - half], [x + half, y + half], [x - half, y + half]], style, kind);
}

export function head(tip, way, size = 3 * MM) {
  const long = Math.hypot(...way) || 1;
  const [x, y] = [way[0] / long, way[1] / long];
  const back = [tip[0] - x * size, tip[1] - y * size];
  const wide = size * 0.32;
  return element("polygon", {
    class: "black",
    points: shown([tip, [back[0] - y * wide, back[1] + x * wide], [back[0] + y * wide, back[1] - x * wide]]),
  });
}

export function text(words, [x, y], { kind = "", anchor = "middle" } = {}) {
  const out = element("text", { x: x.toFixed(1), y: y.toFixed(1), class: `halo ${kind}`, "text-anchor": anchor });
  out.textContent = words;
  return out;
}

// Hatchings as the sheet fills areas where nobody stands, and one in red for what is in a line's way.
export function hatchings(mark) {
  const pattern = (name, size, ...inside) => element(
    "pattern", { id: `${mark}-${name}`, width: size, height: size, patternUnits: "userSpaceOnUse" }, ...inside);
  const stripe = (d, kind = "hatch") => element("path", { d, class: kind, "stroke-width": 1 });
  return element("defs", {},
    pattern("bight", 9, stripe("M0 0 L9 9 M9 0 L0 9")),
    pattern("recoil", 9, stripe("M-2 2 L2 -2 M0 9 L9 0 M7 11 L11 7")),
    pattern("below", 8, element("circle", { cx: 2, cy: 2, r: 1, class: "dot" }), element("circle", { cx: 6, cy: 6, r: 1, class: "dot" })),
    pattern("bad", 6, stripe("M-1 1 L1 -1 M0 6 L6 0 M5 7 L7 5", "hatch-bad")),
  );
}

export const minus = (a, b) => [a[0] - b[0], a[1] - b[1]];
export const plus = (a, b) => [a[0] + b[0], a[1] + b[1]];
export const times = (a, s) => [a[0] * s, a[1] * s];
export const unit = (a) => times(a, 1 / (Math.hypot(...a) || 1));

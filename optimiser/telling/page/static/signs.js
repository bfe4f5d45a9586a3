// What the lines and signs of the drawings mean.

import { byId, make } from "./dom.js";
import { MM, circle, element, hatchings, line, shape, square } from "./svg.js";

export function showSigns({ styles }) {
  const box = byId("signs");
  if (box.childElementCount || !styles) return;
  const { lines, ropes } = styles;
  const row = (words, ...signs) => box.append(make("li", {}, element("svg", { viewBox: "0 0 36 18", "aria-hidden": "true" }, hatchings("signs"), ...signs), words));
  const box_ = [[1, 1], [35, 1], [35, 17], [1, 17]];
  const across = [[1, 9], [35, 9]];
  for (const [name, words] of [["bight", "NOBODY: inside the rope's angle"], ["recoil", "NOBODY: in line with the rope"], ["below", "NOBODY: where the load can run"]]) {
    row(words, element("rect", { width: 36, height: 18, fill: `url(#signs-${name})` }), shape(box_, lines.thin, "line"));
  }
  row("what a line meets", element("rect", { width: 36, height: 18, fill: "url(#signs-bad)" }));
  row("rope, part by part", line(across, ropes[0]));
  row("second rope", line(across, ropes[1]));
  row("holding or steering line", line(across, ropes[2]));
  row("way of the load", line(across, lines.travel));
  row("where it stands later", line(across, lines.moved));
  row("edge of where a puller may stand", line(across, lines.stands));
  row("tree", circle([18, 9], 5, lines.thin), line([[13, 9], [23, 9]], lines.thin), line([[18, 4], [18, 14]], lines.thin));
  row("tree in use", circle([18, 9], 4, lines.outline, "used"), circle([18, 9], 7, lines.ground, "line"));
  row("in the way", circle([18, 9], 4, lines.outline, "black"));
  row("block", circle([18, 9], 1.25 * MM, lines.outline));
  row("standing end", square([18, 9], MM, lines.outline));
  row("hitch", circle([18, 9], 0.7 * MM, lines.outline));
  row("spot where an anchor may be made", line([[15, 6], [21, 12]], lines.thin), line([[15, 12], [21, 6]], lines.thin));
  row("what a rope runs over", shape([[8, 5], [28, 5], [28, 13], [8, 13]], lines.outline, "grey"), line([[8, 8], [28, 8]], lines.thin), line([[8, 10], [28, 10]], lines.thin));
  row("a measured place lies in there", element("ellipse", { cx: 18, cy: 9, rx: 9, ry: 5, class: "line", "stroke-width": 0.8 }));
}

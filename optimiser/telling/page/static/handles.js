// What can be picked and moved on the plan: one handle for each thing, above the drawing, which stays there when
// that is drawn anew, so that the keyboard keeps its place.

import { element, minus, plus, times } from "./svg.js";
import { pullersOf } from "./things.js";

export class Handles {
  constructor(plan, { pick, drag, nudge }) {
    Object.assign(this, { plan, pick, drag, nudge });
    this.box = element("g");
    this.known = new Map();
    plan.svg.append(this.box);
    this.panning();
  }

  put(desk) {
    const here = new Set();
    for (const thing of desk.things) {
      here.add(thing.id);
      let handle = this.known.get(thing.id);
      if (!handle) {
        handle = element("g", { class: "handle", tabindex: "0", role: "button" }, element("circle", { class: "hit", r: 13 }), element("circle", { class: "ring", r: 10 }));
        this.listen(handle);
        this.known.set(thing.id, handle);
        this.box.append(handle);
      }
      handle.thing = thing;
      const searched = thing.searched && pullersOf(desk).find((who) => who.name === thing.name);
      const [x, y] = this.plan.at(desk.moving?.id === thing.id ? desk.moving.at : searched ? searched.at : thing.at);
      handle.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
      handle.setAttribute("aria-pressed", String(desk.picked?.id === thing.id));
      const where = Array.isArray(thing.written) ? thing.written.join(", ") : thing.placed;
      handle.setAttribute("aria-label", `${thing.kind ? `${thing.kind} ` : ""}${thing.name}, ${where}. ${thing.movable ? "Arrow keys move it." : ""}`);
    }
    for (const [id, handle] of this.known) {
      if (!here.has(id)) {
        handle.remove();
        this.known.delete(id);
      }
    }
  }

  point(event) {
    const box = this.plan.svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  listen(handle) {
    let from = null;
    handle.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      event.stopPropagation();
      this.plan.held = true;
      this.pick(handle.thing);
      if (!handle.thing.movable) return;
      handle.setPointerCapture(event.pointerId);
      from = { pointer: this.point(event), at: [...handle.thing.at], thing: handle.thing, moved: false };
    });
    handle.addEventListener("pointermove", (event) => {
      if (!from) return;
      const off = minus(this.point(event), from.pointer);
      if (!from.moved && Math.hypot(...off) < 4) return;
      from.moved = true;
      const [dx, dy] = this.plan.wayBack(off.map((v) => v / this.plan.scale));
      this.drag(from.thing, [from.at[0] + dx, from.at[1] + dy], false);
    });
    const release = (event) => {
      this.plan.held = false;
      if (from?.moved) {
        const off = minus(this.point(event), from.pointer);
        const [dx, dy] = this.plan.wayBack(off.map((v) => v / this.plan.scale));
        this.drag(from.thing, [from.at[0] + dx, from.at[1] + dy], true);
      }
      from = null;
    };
    handle.addEventListener("pointerup", release);
    handle.addEventListener("pointercancel", release);
    handle.addEventListener("focus", () => this.pick(handle.thing));
    handle.addEventListener("keydown", (event) => {
      const ways = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
      const way = ways[event.key];
      if (!way || !handle.thing.movable || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      this.nudge(handle.thing, this.plan.wayBack(times(way, event.shiftKey ? 1 : 0.1)));
    });
  }

  panning() {
    let from = null;
    this.plan.svg.addEventListener("pointerdown", (event) => {
      if (event.button || event.target.closest(".handle")) return;
      from = { at: this.point(event), off: this.plan.off };
      this.plan.svg.setPointerCapture(event.pointerId);
    });
    this.plan.svg.addEventListener("pointermove", (event) => {
      if (!from) return;
      this.plan.off = plus(from.off, minus(this.point(event), from.at));
      this.plan.again();
    });
    for (const name of ["pointerup", "pointercancel"]) this.plan.svg.addEventListener(name, () => { from = null; });
  }
}

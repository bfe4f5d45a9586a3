// What can be raised or lowered in the side view: the ends of the path's legs, crests among them. What stands
// beside the path is put square onto it there, so that its height is typed.

import { element } from "./svg.js";

export class Heights {
  constructor(side, { pick, raise }) {
    Object.assign(this, { side, pick, raise });
    this.box = element("g");
    this.known = new Map();
    side.svg.append(this.box);
  }

  put(desk) {
    const here = new Set();
    for (const thing of desk.things.filter(({ key, movable }) => key[0] === "path" && movable)) {
      here.add(thing.id);
      let handle = this.known.get(thing.id);
      if (!handle) {
        handle = element("g", { class: "handle upright", tabindex: "0", role: "button" },
          element("circle", { class: "hit", r: 13 }), element("circle", { class: "ring", r: 10 }), element("path", { class: "mark", d: "M0 -9 L4 -3 L-4 -3 Z M0 9 L4 3 L-4 3 Z" }));
        this.listen(handle);
        this.known.set(thing.id, handle);
        this.box.append(handle);
      }
      handle.thing = thing;
      const [x, y] = this.side.at(desk.moving?.id === thing.id ? desk.moving.at : thing.at);
      handle.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
      handle.setAttribute("aria-pressed", String(desk.picked?.id === thing.id));
      handle.setAttribute("aria-label", `height of the ${thing.name}, ${thing.written[2]}. Arrow keys up and down move it.`);
    }
    for (const [id, handle] of this.known) {
      if (here.has(id)) continue;
      handle.remove();
      this.known.delete(id);
    }
  }

  listen(handle) {
    let from = null;
    const up = (event) => (from.y - event.clientY) / this.side.scale;
    handle.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      this.side.held = true;
      this.pick(handle.thing);
      handle.setPointerCapture(event.pointerId);
      from = { y: event.clientY, thing: handle.thing, moved: false };
    });
    handle.addEventListener("pointermove", (event) => {
      if (!from || (!from.moved && Math.abs(event.clientY - from.y) < 4)) return;
      from.moved = true;
      this.raise(from.thing, up(event), { ends: false });
    });
    const release = (event) => {
      this.side.held = false;
      if (from?.moved) this.raise(from.thing, up(event), { ends: true });
      from = null;
    };
    handle.addEventListener("pointerup", release);
    handle.addEventListener("pointercancel", release);
    handle.addEventListener("focus", () => this.pick(handle.thing));
    handle.addEventListener("keydown", (event) => {
      const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
      if (!way || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      this.raise(handle.thing, way * (event.shiftKey ? 1 : 0.1), { keys: true });
    });
  }
}

// Handles over a picture: small marks that are dragged by pointer or keys. The browser draws them itself, so that they follow
// at once, in an SVG over the plot, by the plot's own axes.

const SVG = "http://www.w3.org/2000/svg";
const BURST_OF_KEYS = 800; // ms, arrow keys in quicker succession belong to one step
const DOUBLE_TAP = 400; // ms between two taps on one handle
const TURN_STEP = 5; // degrees, if there is a grid
const MARKS = {
  point: "M-5,-5H5V5H-5Z",
  add: "M-5,0H5M0,-5V5",
  move: "M-9,0H9M0,-9V9M-6,-3L-9,0L-6,3M6,-3L9,0L6,3M-3,-6L0,-9L3,-6M-3,6L0,9L3,6",
  turn: "M-6,2A6,6 0 1 1 0,7M0,7l4,-3M0,7l3,4",
  size: "M-6,0L0,-6L6,0L0,6Z",
  end: "M-5,0A5,5 0 1 0 5,0A5,5 0 1 0 -5,0",
};

const make = (name, parent, attributes = {}) => {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  parent.append(node);
  return node;
};

class Handles {
  // report(event) sends an event to Python as soon as it may; of several only the last is sure to be sent.
  constructor(frame, plot, report, nextNumber) {
    Object.assign(this, { plot, report, nextNumber });
    this.svg = make("svg", frame, { class: "pondkit-handles" });
    this.ghost = make("path", this.svg, { class: "ghost" });
    this.nodes = new Map(); // by id
    this.edit = null;
    this.held = null; // the handle under the pointer: {handle, drag, moved}
    this.keys = { id: "", at: 0, drag: 0 };
  }

  show(edit) {
    this.edit = edit;
    const wanted = new Map((edit ? edit.handles : []).map((handle) => [handle.id, handle]));
    for (const [id, node] of this.nodes) {
      if (!wanted.has(id) && this.held?.handle.id !== id) {
        node.remove();
        this.nodes.delete(id);
      }
    }
    let before = this.ghost;
    for (const handle of wanted.values()) {
      if (!this.nodes.has(handle.id)) this.nodes.set(handle.id, this.mark(handle));
      const node = this.nodes.get(handle.id);
      node.handle = handle;
      node.setAttribute("aria-label", handle.label);
      node.setAttribute("class", `handle ${handle.kind}${handle.quiet ? " quiet" : ""}${handle.chosen ? " chosen" : ""}`);
      node.setAttribute("tabindex", handle.quiet ? -1 : 0); // things of other trades are reached by a tap or a drag only
      // In the order of the tab key. A node in its right place is left alone, or it would lose focus and pointer.
      if (before.nextSibling !== node && this.held?.handle.id !== handle.id) before.after(node);
      before = node;
    }
    this.place();
  }

  mark(handle) {
    const node = make("g", this.svg, { class: `handle ${handle.kind}`, tabindex: 0, role: "button" });
    make("circle", node, { r: 13, class: "reach" });
    make("path", node, { d: MARKS[handle.kind], class: "edge" });
    make("path", node, { d: MARKS[handle.kind], class: "face" });
    node.addEventListener("pointerdown", (event) => this.press(event, node));
    node.addEventListener("pointermove", (event) => this.drag(event, node));
    for (const name of ["pointerup", "pointercancel"]) node.addEventListener(name, (event) => this.release(event, node));
    node.addEventListener("keydown", (event) => this.key(event, node));
    return node;
  }

  // --- where things are ---

  get axes() {
    const layout = this.plot._fullLayout;
    return layout?.xaxis?.l2p ? { x: layout.xaxis, y: layout.yaxis } : null;
  }

  on([x, y]) {
    const axes = this.axes;
    return [axes.x._offset + axes.x.l2p(x), axes.y._offset + axes.y.l2p(y)];
  }

  from(event) {
    const axes = this.axes;
    const box = this.plot.getBoundingClientRect();
    return [
      axes.x.p2l(event.clientX - box.left - axes.x._offset), axes.y.p2l(event.clientY - box.top - axes.y._offset),
    ];
  }

  place() {
    const axes = this.axes;
    if (!axes) return;
    const inside = ([px, py]) =>
      px > axes.x._offset - 8 && px < axes.x._offset + axes.x._length + 8 &&
      py > axes.y._offset - 8 && py < axes.y._offset + axes.y._length + 8;
    for (const node of this.nodes.values()) {
      const at = this.on(this.held?.handle.id === node.handle.id ? this.held.at : [node.handle.x, node.handle.y]);
      node.setAttribute("transform", `translate(${at[0].toFixed(1)},${at[1].toFixed(1)})`);
      node.style.display = inside(at) ? "" : "none";
    }
    this.outline();
  }

  // The line that follows a drag at once; the plot itself comes later.
  outline() {
    const { held, edit } = this;
    if (!held || !held.moved || !edit) {
      this.ghost.setAttribute("d", "");
      return;
    }
    const { handle, at } = held;
    const [dx, dy] = [at[0] - held.start[0], at[1] - held.start[1]];
    let corners = held.guide.map((corner) => [...corner]);
    let closed = true;
    if (handle.id.startsWith("section")) {
      closed = false;
      corners = held.line.map((end) => [...end]);
      if (handle.id === "section") corners = corners.map(([x, y]) => [x + dx, y + dy]);
      else corners[Number(handle.id.slice(-1))] = at;
    } else if (handle.kind === "add") {
      corners.splice(handle.corner + 1, 0, at);
    } else if (handle.corner !== null) {
      corners[handle.corner] = at;
    } else if (handle.kind === "turn" && held.about) {
      const [cx, cy] = held.about;
      const turn = Math.atan2(at[1] - cy, at[0] - cx) - Math.atan2(held.start[1] - cy, held.start[0] - cx);
      const [c, s] = [Math.cos(turn), Math.sin(turn)];
      corners = corners.map(([x, y]) => [cx + c * (x - cx) - s * (y - cy), cy + s * (x - cx) + c * (y - cy)]);
    } else if (handle.kind === "move" && handle.whole) {
      corners = corners.map(([x, y]) => [x + dx, y + dy]);
    } else {
      corners = [];
    }
    const path = corners.map((corner, i) => `${i ? "L" : "M"}${this.on(corner).map((v) => v.toFixed(1))}`).join("");
    this.ghost.setAttribute("d", path + (closed && path ? "Z" : ""));
  }

  snap(handle, [x, y]) {
    const grid = this.edit.grid;
    if (!grid) return [x, y];
    if (handle.kind === "turn" && this.edit.about) {
      const [cx, cy] = this.edit.about;
      const away = Math.hypot(x - cx, y - cy);
      const step = (TURN_STEP * Math.PI) / 180;
      const turn = Math.round(Math.atan2(y - cy, x - cx) / step) * step;
      return [cx + away * Math.cos(turn), cy + away * Math.sin(turn)];
    }
    return [Math.round(x / grid) * grid, Math.round(y / grid) * grid];
  }

  // --- what the person does ---

  press(event, node) {
    if (event.button !== 0 || !this.axes) return;
    event.preventDefault();
    event.stopPropagation();
    node.focus();
    node.setPointerCapture(event.pointerId);
    const { handle } = node;
    const [x, y] = this.from(event);
    this.held = {
      handle, drag: this.nextNumber(), moved: false, at: [handle.x, handle.y], start: [handle.x, handle.y],
      off: [handle.x - x, handle.y - y], guide: this.edit.guide, about: this.edit.about, line: this.edit.line,
    };
  }

  drag(event, node) {
    const { held } = this;
    if (!held || held.handle.id !== node.handle.id) return;
    const [x, y] = this.from(event);
    const at = this.snap(held.handle, [x + held.off[0], y + held.off[1]]);
    if (at[0] === held.at[0] && at[1] === held.at[1]) return;
    held.at = at;
    held.moved = true;
    this.place();
    if (held.handle.kind !== "add") this.tell(held.handle, at, held.drag, false);
  }

  release(event, node) {
    const { held } = this;
    if (!held || held.handle.id !== node.handle.id) return;
    this.held = null;
    if (held.handle.kind === "add") this.report({ kind: "add", id: held.handle.id, x: held.at[0], y: held.at[1] }, true);
    else if (held.moved) {
      Object.assign(node.handle, { x: held.at[0], y: held.at[1] }); // until Python has answered
      this.tell(held.handle, held.at, held.drag, true);
    } else if (event.type === "pointerup") this.tap(held.handle, event.timeStamp);
    this.place();
  }

  // A tap chooses the handle's thing, a second one removes it.
  tap(handle, time) {
    const twice = this.tapped?.id === handle.id && time - this.tapped.at < DOUBLE_TAP;
    this.tapped = twice ? null : { id: handle.id, at: time };
    if (twice && handle.removable) this.report({ kind: "remove", id: handle.id }, true);
    else if (!twice) this.report({ kind: "choose", id: handle.id }, true);
  }

  tell(handle, [x, y], drag, last) {
    this.report({ kind: "handle", id: handle.id, x, y, drag }, last);
  }

  key(event, node) {
    const { handle } = node;
    if (event.key === "Delete" || event.key === "Backspace") {
      if (!handle.removable) return;
      this.report({ kind: "remove", id: handle.id }, true);
    } else if (handle.kind === "add" && (event.key === "Enter" || event.key === " ")) {
      this.report({ kind: "add", id: handle.id, x: handle.x, y: handle.y }, true);
    } else {
      const to = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (!to || handle.kind === "add" || event.ctrlKey || event.altKey || event.metaKey) return;
      const now = performance.now();
      if (this.keys.id !== handle.id || now - this.keys.at > BURST_OF_KEYS) this.keys.drag = this.nextNumber();
      Object.assign(this.keys, { id: handle.id, at: now });
      const step = (this.edit.grid || this.edit.fine) * (event.shiftKey ? 10 : 1);
      const at = this.snap(handle, handle.kind === "turn" ? this.turned(handle, to) : [handle.x + to[0] * step, handle.y + to[1] * step]);
      Object.assign(handle, { x: at[0], y: at[1] });
      this.place();
      this.tell(handle, at, this.keys.drag, true);
    }
    event.preventDefault();
    event.stopPropagation();
  }

  turned(handle, to) {
    const [cx, cy] = this.edit.about;
    const turn = Math.atan2(handle.y - cy, handle.x - cx) + ((to[0] < 0 || to[1] > 0 ? 1 : -1) * TURN_STEP * Math.PI) / 180;
    const away = Math.hypot(handle.x - cx, handle.y - cy);
    return [cx + away * Math.cos(turn), cy + away * Math.sin(turn)];
  }
}

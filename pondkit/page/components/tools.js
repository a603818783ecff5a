// Drawing tools over the plan. The browser collects places and writes lengths and areas beside them; Python makes the part.
// A drawing that is refused stays in sight until it is drawn again or dismissed.

const STROKE = 6; // px that a pressed pointer moves before it draws a line instead of setting a place
const GRAIN = 3; // px between two places of a stroke
const SAME = 12; // px: a place so near to the last, or to the first, ends a line
const TWICE = 400; // ms between the two taps of a double tap
const FAR = 10; // grid steps of an arrow key with Shift
const ZOOM = 1.4;

const apart = ([ax, ay], [bx, by]) => Math.hypot(bx - ax, by - ay);
const lengthOf = (points) => points.slice(1).reduce((sum, point, i) => sum + apart(points[i], point), 0);
const areaOf = (points) =>
  Math.abs(points.reduce((sum, [x, y], i) => {
    const [nx, ny] = points[(i + 1) % points.length];
    return sum + x * ny - nx * y;
  }, 0)) / 2;

class Tools {
  // report(event) sends an event to Python; zoom(times) and pan stay in the browser.
  constructor(bar, frame, plot, handles, report, nextNumber) {
    Object.assign(this, { bar, frame, plot, handles, report, nextNumber });
    this.barContent = ""; // what the bar was built from
    this.tool = null;
    this.points = []; // the places set so far
    this.stroke = null; // places of a line that is being drawn
    this.press = null; // where the pointer went down: {px, at}
    this.hover = null; // where the pointer is
    this.cross = null; // where the arrow keys have moved to
    this.sent = 0; // number of the drawing that was sent and not yet answered
    this.refused = false;
    this.tapped = { at: -Infinity, px: [0, 0] };
    this.pinched = null; // ranges of the plan when two fingers came down, the ranges wanted, and whether these are due
    this.svg = make("svg", frame, { class: "pondkit-drawing" });
    this.sheet = make("rect", this.svg, { class: "sheet", width: "100%", height: "100%", tabindex: -1, role: "application" });
    this.line = make("path", this.svg, { class: "drawn" });
    this.marks = make("g", this.svg);
    this.words = make("text", this.svg, { class: "measure" });
    this.aim = make("path", this.svg, { class: "aim", d: "M-12,0H12M0,-12V12" });
    this.aim.style.display = "none";
    const on = (name, act) => this.sheet.addEventListener(name, (event) => this.tool && act.call(this, event));
    on("pointerdown", this.down);
    on("pointermove", this.move);
    on("pointerup", this.up);
    on("pointercancel", this.cancel);
    on("keydown", this.key);
    plot.addEventListener("pointerdown", (event) => this.touch(event), true);
    this.hint = document.createElement("div");
    this.hint.className = "pondkit-hint";
    this.hint.setAttribute("role", "status");
    frame.append(this.hint);
    this.lifted = (event) => this.tap(event);
    this.escaped = (event) => { if (event.key === "Escape" && this.tool && event.target !== this.sheet) this.leave(); };
    window.addEventListener("keydown", this.escaped); // wherever the keys are
    window.addEventListener("pointerup", this.lifted, true); // plotly covers the page while a pointer is down
    frame.addEventListener("keydown", (event) => this.removeKey(event));
    for (const name of ["touchstart", "touchmove", "touchend", "touchcancel"]) {
      frame.addEventListener(name, (event) => this.pinch(event), { passive: false, capture: true });
    }
    frame.addEventListener("wheel", (event) => this.wheel(event), { passive: false, capture: true });
    this.show(null);
  }

  end() {
    window.removeEventListener("pointerup", this.lifted, true);
    window.removeEventListener("keydown", this.escaped);
  }

  show(edit) {
    this.edit = edit;
    const tools = edit?.tools ?? [];
    this.bar.hidden = !tools.length;
    const barContent = JSON.stringify([tools, edit?.chosen ?? null]);
    if (barContent !== this.barContent) this.build(tools, edit?.chosen);
    this.barContent = barContent;
    if (this.sent && edit?.drawn?.number >= this.sent) {
      this.sent = 0;
      this.refused = edit.drawn.refused;
      if (!this.refused) {
        this.clear();
        if (!this.tool?.again) this.leave();
      }
    }
    this.draw();
  }

  build(tools, chosen) {
    const focused = this.bar.contains(document.activeElement) ? document.activeElement.dataset.name : null;
    this.bar.replaceChildren();
    const button = (name, label, help, act) => {
      const node = document.createElement("button");
      Object.assign(node, { type: "button", textContent: label, title: help });
      node.dataset.name = name;
      node.addEventListener("click", (event) => act(event));
      this.bar.append(node);
      return node;
    };
    for (const tool of tools) {
      button(tool.id, tool.label, tool.help, (event) => this.choose(tool, event.detail === 0));
    }
    const gap = document.createElement("span");
    this.bar.append(gap);
    if (chosen) {
      const remove = button("remove", "Remove", `Remove ${chosen.label}`, () => this.report({ kind: "remove", id: chosen.id }, true));
      remove.setAttribute("aria-label", `Remove ${chosen.label}`);
    }
    button("closer", "+", "Closer", () => this.zoom(1 / ZOOM));
    button("further", "−", "Further away", () => this.zoom(ZOOM));
    button("fit", "Fit all", "Show all that is drawn", () => this.report({ kind: "fit" }, true));
    this.mark();
    if (focused) [...this.bar.children].find((node) => node.dataset.name === focused)?.focus();
  }

  mark() {
    for (const node of this.bar.querySelectorAll("button")) {
      const tool = (this.edit?.tools ?? []).some(({ id }) => id === node.dataset.name);
      if (tool) node.setAttribute("aria-pressed", String(node.dataset.name === this.tool?.id));
    }
    this.frame.classList.toggle("pondkit-drawing-now", Boolean(this.tool));
    const keys = this.cross ? " The arrow keys move the cross, Enter sets a place." : "";
    this.hint.textContent = this.tool ? `${this.tool.help}.${keys} Escape leaves it.` : "";
  }

  // Says what a drawing that was ended too early still lacks, until the next place is set.
  lacks() {
    const { least } = this.tool;
    const set = this.points.length;
    this.hint.textContent = `${set} of at least ${least} places: set ${least - set} more, elsewhere. Escape leaves it.`;
  }

  // --- choosing and leaving ---

  choose(tool, byKeys) {
    const again = this.tool?.id === tool.id;
    this.leave();
    if (again) return;
    this.tool = tool;
    this.sheet.setAttribute("aria-label", `${tool.label}. ${tool.help}`);
    this.sheet.setAttribute("tabindex", "0");
    if (byKeys) this.cross = this.middle();
    this.sheet.focus({ preventScroll: true });
    this.mark();
    this.draw();
  }

  leave() {
    if (this.refused) this.report({ kind: "leave" }, true);
    this.clear();
    const was = this.tool;
    this.tool = null;
    this.sheet.setAttribute("tabindex", "-1");
    this.mark();
    this.draw();
    if (was && document.activeElement === this.sheet) {
      [...this.bar.children].find((node) => node.dataset.name === was.id)?.focus({ preventScroll: true });
    }
  }

  clear() {
    Object.assign(this, { points: [], stroke: null, press: null, hover: null, cross: null, refused: false, sent: 0 });
  }

  // --- places ---

  get axes() {
    return this.handles.axes;
  }

  middle() {
    const { x, y } = this.axes;
    return this.snap([(x.range[0] + x.range[1]) / 2, (y.range[0] + y.range[1]) / 2]);
  }

  snap([x, y]) {
    const grid = this.edit?.grid;
    return grid ? [Math.round(x / grid) * grid, Math.round(y / grid) * grid] : [x, y];
  }

  place(event) {
    return { px: [event.clientX, event.clientY], at: this.handles.from(event) };
  }

  near(a, b) {
    return apart(this.handles.on(a), this.handles.on(b)) < SAME;
  }

  // --- pointer ---

  down(event) {
    if (event.button !== 0 || this.sent) return;
    event.preventDefault();
    this.sheet.setPointerCapture(event.pointerId);
    this.press = this.place(event);
    this.cross = null;
    this.sheet.focus({ preventScroll: true });
  }

  move(event) {
    const { px, at } = this.place(event);
    this.hover = this.snap(at);
    const { press, tool } = this;
    if (press && !this.stroke && apart(press.px, px) > STROKE) {
      if (tool.stroke && (this.points.length === 0 || this.refused)) this.start([press.at]);
      else if (tool.most === 2 && this.points.length === 0) this.points = [this.snap(press.at)];
    }
    if (this.stroke && apart(this.handles.on(this.stroke.at(-1)), this.handles.on(at)) > GRAIN) this.stroke.push(at);
    this.draw();
  }

  start(stroke) {
    if (this.refused) this.report({ kind: "leave" }, true);
    Object.assign(this, { stroke, points: [], refused: false });
  }

  up(event) {
    if (!this.press) return;
    const { px, at } = this.place(event);
    const moved = apart(this.press.px, px) > STROKE;
    this.press = null;
    if (this.stroke) {
      this.points = this.stroke;
      this.stroke = null;
      this.finish(true);
    } else if (moved && this.tool.most === 2 && this.points.length === 1) this.set(this.snap(at));
    else if (!moved) this.set(this.snap(at));
    this.draw();
  }

  cancel() {
    Object.assign(this, { press: null, stroke: null });
    this.draw();
  }

  // A further place. A place at the last or the first ends the line, and so does the greatest number that the tool takes. If
  // the line is too short yet, it says what is lacking.
  set(at) {
    if (this.sent) return;
    if (this.refused) {
      this.report({ kind: "leave" }, true);
      this.refused = false;
    }
    const { points, tool } = this;
    const ends = points.length >= tool.least && (this.near(points.at(-1), at) || (tool.closed && points.length > 2 && this.near(points[0], at)));
    if (ends) return this.finish(false);
    if (points.length && this.near(points.at(-1), at)) {
      if (points.length < tool.least) this.lacks();
      return undefined;
    }
    points.push(at);
    this.mark();
    if (points.length >= tool.most) this.finish(false);
    return undefined;
  }

  finish(stroke) {
    const { tool, points } = this;
    if (points.length < tool.least || tool.keeps === false) return;
    this.sent = this.nextNumber();
    this.report({ kind: "draw", tool: tool.id, points, stroke, number: this.sent }, true);
  }

  // --- keys ---

  key(event) {
    const { points } = this;
    const to = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "Escape") this.leave();
    else if (event.key === "Backspace" || event.key === "Delete") {
      if (this.refused) this.report({ kind: "leave" }, true);
      this.refused = false;
      points.pop();
    } else if (event.key === "Enter" || event.key === " ") {
      if (this.cross || points.length) this.set([...(this.cross ?? points.at(-1))]);
      else {
        this.cross = this.middle(); // where the keys begin; the next press sets a place there
        this.mark();
      }
    } else if (to) {
      const step = (this.edit.grid || this.edit.fine) * (event.shiftKey ? FAR : 1);
      const from = this.cross ?? points.at(-1) ?? this.middle();
      this.cross = this.snap([from[0] + to[0] * step, from[1] + to[1] * step]);
      this.hover = this.cross;
    } else return;
    event.preventDefault();
    event.stopPropagation();
    this.draw();
  }

  removeKey(event) {
    if (this.tool || (event.key !== "Delete" && event.key !== "Backspace") || !this.edit?.chosen) return;
    event.preventDefault();
    this.report({ kind: "remove", id: this.edit.chosen.id }, true);
  }

  // --- what is being drawn ---

  shape() {
    const { tool, hover, cross } = this;
    if (this.stroke) return this.stroke;
    const next = this.sent || this.refused ? null : (cross ?? hover);
    const points = next && this.points.length && this.points.length < tool.most ? [...this.points, next] : this.points;
    if (!tool.shape || points.length < 2) return points;
    const [[ax, ay], [bx, by]] = points;
    if (tool.shape === "box") return [[ax, ay], [bx, ay], [bx, by], [ax, by]];
    const [mx, my, rx, ry] = [(ax + bx) / 2, (ay + by) / 2, Math.abs(bx - ax) / 2, Math.abs(by - ay) / 2];
    return Array.from({ length: 48 }, (_, i) => [mx + rx * Math.cos((i * Math.PI) / 24), my + ry * Math.sin((i * Math.PI) / 24)]);
  }

  measure(points) {
    const { tool, edit } = this;
    const digits = edit.unit === "m" ? 2 : 1;
    const long = (value) => `${value.toFixed(digits)} ${edit.unit}`;
    const area = (value) => `${value.toFixed(value < 100 ? 1 : 0)} ${edit.unit}²`;
    if (points.length < 2) return "";
    if (tool.shape) {
      const [wide, high] = [0, 1].map((i) => Math.max(...points.map((p) => p[i])) - Math.min(...points.map((p) => p[i])));
      return `${long(wide)} × ${long(high)}, ${area(tool.shape === "box" ? wide * high : (Math.PI * wide * high) / 4)}`;
    }
    const least = 10 ** -digits; // the pointer is still at the last place: no further length yet
    const whole = lengthOf(points) < least ? "" : long(lengthOf(points));
    const step = apart(points.at(-2), points.at(-1));
    const text = points.length > 2 && !this.stroke && step >= least ? `${long(step)}, ${whole} in all` : whole;
    return tool.closed && points.length > 2 ? `${text}, ${area(areaOf(points))}` : text;
  }

  draw() {
    if (!this.axes) return;
    const { tool } = this;
    const points = tool ? this.shape() : [];
    const px = points.map((point) => this.handles.on(point));
    const closed = tool && (tool.shape || (tool.closed && points.length > 2));
    this.line.setAttribute("d", px.map((p, i) => `${i ? "L" : "M"}${p.map((v) => v.toFixed(1))}`).join("") + (closed && px.length ? "Z" : ""));
    this.svg.classList.toggle("refused", this.refused);
    this.marks.replaceChildren();
    if (tool && !this.stroke && !(this.sent && this.points.length > 60) && this.points.length <= 60) {
      for (const point of this.points) {
        const [x, y] = this.handles.on(point);
        make("circle", this.marks, { cx: x.toFixed(1), cy: y.toFixed(1), r: 4 });
      }
    }
    const last = px.at(-1);
    this.words.textContent = tool && last ? this.measure(points) : "";
    if (this.words.textContent) {
      const { x, y } = this.axes;
      const right = last[0] > x._offset + x._length * 0.7;
      this.words.setAttribute("text-anchor", right ? "end" : "start");
      this.words.setAttribute("x", last[0] + (right ? -12 : 12));
      this.words.setAttribute("y", Math.max(last[1] - 12, y._offset + 16));
    }
    this.aim.style.display = tool && this.cross ? "" : "none";
    if (tool && this.cross) this.aim.setAttribute("transform", `translate(${this.handles.on(this.cross)})`);
  }

  // --- taps and zoom, without a tool ---

  touch(event) {
    this.touched = event.button === 0 ? { px: [event.clientX, event.clientY], at: event.timeStamp } : null;
  }

  tap(event) {
    const { touched } = this;
    this.touched = null;
    if (this.tool || !touched || !this.edit?.tools || !this.axes) return;
    const px = [event.clientX, event.clientY];
    if (apart(touched.px, px) > STROKE || event.timeStamp - touched.at > 700) return;
    const [x, y] = this.handles.from(event);
    const { x: across, y: up } = this.axes;
    if (x < Math.min(...across.range) || x > Math.max(...across.range) || y < Math.min(...up.range) || y > Math.max(...up.range)) return;
    const twice = event.timeStamp - this.tapped.at < TWICE && apart(px, this.tapped.px) < SAME;
    this.tapped = { at: twice ? -Infinity : event.timeStamp, px };
    const reach = SAME * Math.abs(across.p2l(1) - across.p2l(0));
    this.report({ kind: "tap", x, y, reach, twice }, true);
  }

  zoom(times, about = null) {
    const { x, y } = this.axes;
    const scaled = (axis, at) => axis.range.map((end) => at + (end - at) * times);
    const at = about ?? [(x.range[0] + x.range[1]) / 2, (y.range[0] + y.range[1]) / 2];
    window.Plotly.relayout(this.plot, { "xaxis.range": scaled(x, at[0]), "yaxis.range": scaled(y, at[1]) });
  }

  // Two fingers zoom and move the plan; until both are lifted nothing else moves it.
  pinch(event) {
    // A finger on a mark or with a tool draws: the browser ignores touch-action within SVG, and would scroll the page.
    if (event.type === "touchstart" && event.target.closest?.(".handle, .sheet")) event.preventDefault();
    if (!this.edit?.tools || !this.axes || this.handles.held) return;
    const { x, y } = this.axes;
    if (event.touches.length === 2) {
      const fingers = [...event.touches].map((finger) => [finger.clientX, finger.clientY]);
      const middle = { clientX: (fingers[0][0] + fingers[1][0]) / 2, clientY: (fingers[0][1] + fingers[1][1]) / 2 };
      if (event.type === "touchstart") {
        this.cancel();
        this.touched = null;
        const wide = [x.range[1] - x.range[0], y.range[1] - y.range[0]];
        this.pinched = { apart: apart(...fingers), middle: this.handles.from(middle), wide, ranges: null, due: false };
      } else if (this.pinched) this.spread(apart(...fingers), middle);
    }
    if (!this.pinched) return;
    if (event.touches.length) {
      event.preventDefault();
      event.stopPropagation();
    } else {
      const { ranges } = this.pinched;
      this.pinched = null;
      if (ranges) requestAnimationFrame(() => window.Plotly.relayout(this.plot, ranges)); // after plotly has ended its own zoom
    }
  }

  spread(now, { clientX, clientY }) {
    const { pinched, axes: { x, y } } = this;
    const box = this.plot.getBoundingClientRect();
    const share = [(clientX - box.left - x._offset) / x._length, 1 - (clientY - box.top - y._offset) / y._length];
    const [across, up] = pinched.wide.map((wide, i) => {
      const shown = (wide * pinched.apart) / Math.max(now, 1);
      const start = pinched.middle[i] - share[i] * shown;
      return [start, start + shown];
    });
    pinched.ranges = { "xaxis.range": across, "yaxis.range": up };
    if (pinched.due) return;
    pinched.due = true;
    requestAnimationFrame(() => {
      pinched.due = false;
      if (this.pinched === pinched) window.Plotly.relayout(this.plot, pinched.ranges);
    });
  }

  // Two fingers on a touchpad arrive as a wheel with Ctrl; a plain wheel scrolls the page.
  wheel(event) {
    if (!event.ctrlKey || !this.edit?.tools || !this.axes) return;
    event.preventDefault();
    event.stopPropagation();
    this.zoom(Math.exp(Math.max(-0.5, Math.min(0.5, event.deltaY / 200))), this.handles.from(event));
  }
}

// A plotly picture that is redrawn in place: node, zoom and camera stay when its figure changes.
// Streamlit calls the default function again at each change of data; what a mounted picture must remember is kept at its
// parent element. While the hand moves, changes come through live.js.

const PACE = 16; // ms, least time between two reports of a handle that is dragged
const RETRY = 8; // ms, between two attempts to send the next
const AHEAD = 1; // reports that may be unanswered: with two, the page once waited for a run that had ended
const IDLE = 700; // ms, between two drawings of a picture that may lag while the pointer is down
const REST = 160; // ms without a new figure, after which plotly draws what was only moved
const PATIENCE = 1000; // ms to wait for an answer

const TAKES = ["plan", "section", "client", "model", "alone"]; // roles whose height depends on that of the window

const CLEAR = "rgba(0,0,0,0)";

const pictures = new WeakMap();
let pointerDown = false; // whether the pointer is down, anywhere
addEventListener("pointerdown", () => { pointerDown = true; }, true);
for (const name of ["pointerup", "pointercancel"]) addEventListener(name, () => { pointerDown = false; }, true);

// Called when a picture shows a new figure, moved or drawn.
const tellDrawn = (plot) => plot.dispatchEvent(new CustomEvent("pondkit:drawn", { bubbles: true }));
let lastNumber = 0;

// Grows over remounts and reloads too, hence the clock.
function nextNumber() {
  lastNumber = Math.max(lastNumber + 1, Date.now());
  return lastNumber;
}

// A figure with its changes applied: traces by index, each made from an earlier trace; within a trace by name, and of a long
// list the stretch that has changed.
function figureWithChanges(figure, { figure: other, traces, like }) {
  const next = (trace, at) => (traces[at] ? traceWithChanges(trace, traces[at]) : trace);
  return { ...figure, ...other, data: like ? like.map((place, at) => next(figure.data[place], at)) : figure.data.map(next) };
}

function traceWithChanges(trace, values) {
  const next = { ...trace };
  for (const [name, value] of Object.entries(values)) {
    const [from, out, put] = value?.stretch ?? [];
    next[name] = put ? [...trace[name].slice(0, from), ...put, ...trace[name].slice(from + out)] : value;
  }
  return next;
}

// The first view in three dimensions would wait for the browser to make its shaders, for a second and more without a
// graphics processor: they are made while the client looks at the plan, where nothing is dragged.
let shaders = false;
async function makeShaders() {
  if (shaders) return;
  shaders = true;
  const offscreen = document.createElement("div");
  offscreen.style.cssText = "position: fixed; left: -100px; width: 20px; height: 20px";
  offscreen.setAttribute("aria-hidden", "true");
  document.body.append(offscreen);
  const spots = { x: [0, 1, 0], y: [0, 0, 1], z: [0, 1, 1] };
  const mesh = { type: "mesh3d", ...spots, i: [0], j: [1], k: [2] };
  const labels = { type: "scatter3d", mode: "lines+text", text: ["N", "", ""], ...spots };
  try {
    await window.Plotly.newPlot(offscreen, [mesh, { ...mesh, opacity: 0.5 }, labels], { width: 20, height: 20, margin: { l: 0, r: 0, t: 0, b: 0 } }, { displayModeBar: false });
  } finally {
    window.Plotly.purge(offscreen);
    offscreen.remove();
  }
}

const equal = (a, b) => a.length === b.length && a.every((byte, i) => byte === b[i]);

const live = () => window.pondkitLive;

class Picture {
  constructor(root) {
    this.key = "";
    this.sent = 0; // number of the last data
    this.frame = root.querySelector(".pondkit-picture");
    this.plot = root.querySelector(".pondkit-plot");
    this.note = root.querySelector(".pondkit-note");
    this.bytes = new Uint8Array();
    this.base = null; // last data that came whole
    this.latest = null; // last data
    this.shown = null; // data that are shown
    this.waiting = null; // event that is not sent yet
    this.asked = 0; // number of the last event of a handle that was sent
    this.asks = []; // numbers of those not yet answered
    this.askedAt = -Infinity;
    this.timer = 0; // for an event that is not sent yet
    this.later = 0; // of the next drawing
    this.drawing = false;
    this.structure = ""; // of the figure that plotly drew last
    this.resting = 0; // of the drawing by plotly that follows
    this.drawnAt = -Infinity;
    this.zoomed = null; // ranges that the person has zoomed or moved to, and the revision of the figure

    this.resized = new ResizeObserver(() => this.fit());
    this.resized.observe(this.frame);
    this.settle = this.settle.bind(this);
    this.next = this.next.bind(this);
    this.handles = new Handles(this.frame, this.plot, (event, last) => this.tell(event, last), nextNumber);
    const report = (event, last) => this.tell(event, last);
    this.tools = new Tools(root.querySelector(".pondkit-tools"), this.frame, this.plot, this.handles, report, nextNumber);
    this.under = new Under(this.frame, this.plot);
    this.onBackdrop = () => this.under.place();
    window.addEventListener("pondkit:plotly", this.settle);
    window.addEventListener("pondkit:backdrop", this.onBackdrop);
  }

  // --- from Python ---

  mount(bytes) {
    if (equal(bytes, this.bytes)) return; // unchanged data come anew at each run
    this.bytes = bytes;
    const content = JSON.parse(new TextDecoder().decode(bytes));
    this.key = content.key;
    this.receive(content);
    if (!content.sent || !live()) return;
    live().receivers.set(this.key, (this.receiver ??= (change) => this.receive(change)));
    const latest = live().latest.get(this.key);
    if (latest?.base === content.sent) this.receive(latest);
  }

  // A whole picture, or its changes since one was sent whole; never older data than the last.
  receive(content) {
    if (content.sent <= this.sent) return;
    if (!content.base) {
      this.base = this.latest = content;
    } else if (this.base.sent === content.base) {
      this.latest = { ...this.base, ...content, figure: figureWithChanges(this.base.figure, content) };
    } else {
      window.pondkitBeat?.ask?.(); // changes of a picture that this one does not have: the whole page sends it whole
      return;
    }
    this.sent = content.sent ?? 0;
    this.asks = this.asks.filter((number) => number > this.latest.answered);
    const { takes, height } = this.latest;
    this.frame.style.height = takes ? "" : `${height}px`; // otherwise by the style sheet
    const kinds = (takes ?? "").split(" ");
    for (const kind of TAKES) this.frame.classList.toggle(`pondkit-${kind}`, kinds.includes(kind));
    this.settle();
  }

  // Draws the latest figure. The drawing waits for the next frame, so that everything else that came with it is handled first,
  // and the server works on the next value while the browser draws this one.
  settle() {
    clearTimeout(this.later);
    if (!window.Plotly || this.drawing || !this.latest) return;
    this.grasp();
    if (this.latest === this.shown) return;
    if (pointerDown && this.latest.may_lag && performance.now() - this.drawnAt < IDLE) {
      this.later = setTimeout(this.settle, IDLE / 4);
      return;
    }
    this.drawing = true;
    requestAnimationFrame(() => (this.follows() ? this.rest() : this.draw()));
  }

  // Moves the plot's lines to the latest figure, if only coordinates have changed.
  follows() {
    const { figure, stale, note, moves } = this.latest;
    if (!moves || !this.structure || stale !== this.shown.stale || note !== this.shown.note) return false;
    if (!follow(this.plot, figure, this.structure, this.shown.figure)) return false;
    this.shown = this.latest;
    this.handles.place();
    this.drawing = false;
    tellDrawn(this.plot);
    return true;
  }

  // Plotly draws when the hand rests: labels, hover and simplified lines are then right.
  rest() {
    clearTimeout(this.resting);
    this.frame.dataset.resting = "";
    this.resting = setTimeout(() => {
      if (pointerDown || this.drawing) return this.rest();
      this.drawing = true;
      requestAnimationFrame(() => this.draw());
    }, REST);
    this.settle();
  }

  async draw() {
    clearTimeout(this.resting);
    const { figure, alt, stale, note } = this.latest;
    this.shown = this.latest;
    this.frame.classList.toggle("pondkit-stale", stale);
    this.note.textContent = note;
    this.plot.setAttribute("role", "img"); // an image only once it has words
    this.plot.setAttribute("aria-label", alt);
    const structure = structureOf(figure);
    const { data, layout: asked } = structuredClone(figure); // plotly writes into its arguments
    const layout = { uirevision: "keep", ...asked, height: this.plot.clientHeight, autosize: true };
    const { "xaxis.range": across, "yaxis.range": up } = this.wanted(layout);
    if (across) [layout.xaxis.range, layout.yaxis.range] = [across, up];
    if (this.latest.under) Object.assign(layout, { paper_bgcolor: CLEAR, plot_bgcolor: CLEAR });
    try {
      const config = { displaylogo: false, ...figure.config };
      if (this.latest.edit) config.doubleClick = false; // two taps remove what is under them
      await window.Plotly.react(this.plot, data, layout, config);
      this.structure = structure;
      if (!this.listening) this.listen();
      this.handles.place();
      this.tools.draw();
      this.under.show(this.latest.under);
      delete this.frame.dataset.resting;
      tellDrawn(this.plot);
      if (this.latest.takes?.startsWith("client")) requestIdleCallback(makeShaders);
    } finally {
      this.drawnAt = performance.now();
      this.drawing = false;
    }
    this.settle();
  }

  fit() {
    const layout = this.plot._fullLayout;
    const { clientWidth, clientHeight } = this.plot;
    if (!layout || !clientWidth || (clientWidth === layout.width && clientHeight === layout.height)) return;
    window.Plotly.relayout(this.plot, { width: undefined, height: clientHeight, autosize: true, ...this.wanted(this.shown.figure.layout) });
  }

  // The ranges of a picture that fills its place, before plotly widened them for it: as the person has zoomed or moved it, else as
  // its figure has them. From the widened ones the plan would shrink at each new size of the window.
  wanted({ xaxis, yaxis, uirevision }) {
    if (xaxis?.constrain !== "range") return {};
    const { x, y } = this.zoomed?.revision === uirevision ? this.zoomed : { x: xaxis.range, y: yaxis.range };
    return { "xaxis.range": [...x], "yaxis.range": [...y] };
  }

  // What the person has zoomed or moved; a new size is none of it.
  noteZoom(changed) {
    if (changed.autosize || !this.shown || !Object.keys(changed).some((name) => /^[xy]axis\.range/.test(name))) return;
    const { xaxis, yaxis } = this.plot._fullLayout;
    this.zoomed = { revision: this.shown.figure.layout.uirevision, x: [...xaxis.range], y: [...yaxis.range] };
  }

  // Handles lie where Python says, unless the person has dragged them further.
  grasp() {
    const left = PATIENCE - (performance.now() - this.askedAt);
    if (this.waiting || (this.latest.answered < this.asked && left > 0)) {
      if (!this.waiting) this.later = setTimeout(this.settle, left);
      return;
    }
    if (this.grasped === this.latest) return;
    this.grasped = this.latest;
    this.handles.show(this.latest.edit);
    this.tools.show(this.latest.edit);
  }

  // --- to Python ---

  listen() {
    this.listening = true;
    this.plot.on("plotly_relayout", (changed) => this.noteZoom(changed));
    for (const name of ["plotly_afterplot", "plotly_relayouting"]) {
      this.plot.on(name, () => {
        this.handles.place();
        this.tools.draw();
        this.under.place();
      });
    }
  }

  // During a drag only the newest event waits. An event that must not be lost is sent before any that follows.
  tell(event, last) {
    if (this.waiting?.last) this.send();
    this.waiting = { event, last };
    this.next();
  }

  next() {
    clearTimeout(this.timer);
    this.timer = 0;
    if (!this.waiting) return;
    const passed = performance.now() - this.askedAt;
    // A partial run is not stopped by a further value.
    const room = this.asks.length < AHEAD || passed >= PATIENCE;
    if (passed < PACE || !room) this.timer = setTimeout(this.next, RETRY);
    else this.send();
  }

  send() {
    const { event } = this.waiting;
    this.waiting = null;
    this.asked = nextNumber();
    this.askedAt = performance.now();
    this.asks.push(this.asked);
    live()?.tell?.("event", { picture: this.key, what: { drag: this.asked, ...event, n: this.asked } });
    this.settle(); // in case no answer comes
  }

  leave() {
    if (this.receiver && live().receivers.get(this.key) === this.receiver) live().receivers.delete(this.key);
    clearTimeout(this.timer);
    clearTimeout(this.later);
    clearTimeout(this.resting);
    this.resized.disconnect();
    this.tools.end();
    window.removeEventListener("pondkit:plotly", this.settle);
    window.removeEventListener("pondkit:backdrop", this.onBackdrop);
    if (window.Plotly && this.shown) window.Plotly.purge(this.plot);
  }
}

export default function ({ data, parentElement }) {
  let picture = pictures.get(parentElement);
  if (!picture) pictures.set(parentElement, (picture = new Picture(parentElement)));
  picture.mount(data);
  return () => picture.leave();
}

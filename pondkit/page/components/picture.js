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
let held = false; // whether the pointer is down, anywhere
addEventListener("pointerdown", () => { held = true; }, true);
for (const name of ["pointerup", "pointercancel"]) addEventListener(name, () => { held = false; }, true);

// Called when a picture shows a new figure, moved or drawn.
const tell_drawn = (plot) => plot.dispatchEvent(new CustomEvent("pondkit:drawn", { bubbles: true }));
let lastNumber = 0;

// Grows over remounts and reloads too, hence the clock.
function nextNumber() {
  lastNumber = Math.max(lastNumber + 1, Date.now());
  return lastNumber;
}

// A figure with its changes applied: traces by index, each made from an earlier trace; within a trace by name, and of a long
// list the stretch that has changed.
function changed(figure, { figure: other, traces, like }) {
  const made = (trace, at) => (traces[at] ? renewed(trace, traces[at]) : trace);
  return { ...figure, ...other, data: like ? like.map((place, at) => made(figure.data[place], at)) : figure.data.map(made) };
}

function renewed(trace, values) {
  const made = { ...trace };
  for (const [name, value] of Object.entries(values)) {
    const [from, out, put] = value?.stretch ?? [];
    made[name] = put ? [...trace[name].slice(0, from), ...put, ...trace[name].slice(from + out)] : value;
  }
  return made;
}

// The first view in three dimensions would wait for the browser to make its shaders, for a second and more without a
// graphics processor: they are made while the client looks at the plan, where nothing is dragged.
let shaders = false;
async function make_shaders() {
  if (shaders) return;
  shaders = true;
  const away = document.createElement("div");
  away.style.cssText = "position: fixed; left: -100px; width: 20px; height: 20px";
  away.setAttribute("aria-hidden", "true");
  document.body.append(away);
  const spots = { x: [0, 1, 0], y: [0, 0, 1], z: [0, 1, 1] };
  const mesh = { type: "mesh3d", ...spots, i: [0], j: [1], k: [2] };
  const written = { type: "scatter3d", mode: "lines+text", text: ["N", "", ""], ...spots };
  try {
    await window.Plotly.newPlot(away, [mesh, { ...mesh, opacity: 0.5 }, written], { width: 20, height: 20, margin: { l: 0, r: 0, t: 0, b: 0 } }, { displayModeBar: false });
  } finally {
    window.Plotly.purge(away);
    away.remove();
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
    this.make = ""; // of the figure that plotly drew last
    this.resting = 0; // of the drawing by plotly that follows
    this.drawnAt = -Infinity;

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
    const given = JSON.parse(new TextDecoder().decode(bytes));
    this.key = given.key;
    this.receive(given);
    if (!given.sent || !live()) return;
    live().takers.set(this.key, (this.taker ??= (change) => this.receive(change)));
    const latest = live().latest.get(this.key);
    if (latest?.base === given.sent) this.receive(latest);
  }

  // A whole picture, or its changes since one was sent whole; never older data than the last.
  receive(given) {
    if (given.sent <= this.sent) return;
    if (!given.base) {
      this.base = this.latest = given;
    } else if (this.base.sent === given.base) {
      this.latest = { ...this.base, ...given, figure: changed(this.base.figure, given) };
    } else {
      window.pondkitBeat?.ask?.(); // changes of a picture that this one does not have: the whole page sends it whole
      return;
    }
    this.sent = given.sent ?? 0;
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
    if (held && this.latest.may_lag && performance.now() - this.drawnAt < IDLE) {
      this.later = setTimeout(this.settle, IDLE / 4);
      return;
    }
    this.drawing = true;
    requestAnimationFrame(() => (this.follows() ? this.rest() : this.draw()));
  }

  // Moves the plot's lines to the latest figure, if only coordinates have changed.
  follows() {
    const { figure, stale, note, moves } = this.latest;
    if (!moves || !this.make || stale !== this.shown.stale || note !== this.shown.note) return false;
    if (!follow(this.plot, figure, this.make, this.shown.figure)) return false;
    this.shown = this.latest;
    this.handles.place();
    this.drawing = false;
    tell_drawn(this.plot);
    return true;
  }

  // Plotly draws when the hand rests: labels, hover and simplified lines are then right.
  rest() {
    clearTimeout(this.resting);
    this.frame.dataset.resting = "";
    this.resting = setTimeout(() => {
      if (held || this.drawing) return this.rest();
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
    const make = make_of(figure);
    const { data, layout: asked } = structuredClone(figure); // plotly writes into its arguments
    const layout = { uirevision: "keep", ...asked, height: this.plot.clientHeight, autosize: true };
    if (this.latest.under) Object.assign(layout, { paper_bgcolor: CLEAR, plot_bgcolor: CLEAR });
    try {
      const config = { displaylogo: false, ...figure.config };
      if (this.latest.edit) config.doubleClick = false; // two taps remove what is under them
      await window.Plotly.react(this.plot, data, layout, config);
      this.make = make;
      if (!this.listening) this.listen();
      this.handles.place();
      this.tools.draw();
      this.under.show(this.latest.under);
      delete this.frame.dataset.resting;
      tell_drawn(this.plot);
      if (this.latest.takes?.startsWith("client")) requestIdleCallback(make_shaders);
    } finally {
      this.drawnAt = performance.now();
      this.drawing = false;
    }
    this.settle();
  }

  fit() {
    const drawn = this.plot._fullLayout;
    const { clientWidth, clientHeight } = this.plot;
    if (!drawn || !clientWidth || (clientWidth === drawn.width && clientHeight === drawn.height)) return;
    window.Plotly.relayout(this.plot, { width: undefined, height: clientHeight, autosize: true });
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
    if (this.taker && live().takers.get(this.key) === this.taker) live().takers.delete(this.key);
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

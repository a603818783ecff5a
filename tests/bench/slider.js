// A slider that reports while it is dragged, with a box beside it for exact entry.
// Streamlit calls the default function again at each change of data, with a fresh setStateValue; what one mounted
// slider must remember is kept by its parent element.

const PACE = 30; // ms, least time between two reports of one slider
const PATIENCE = 600; // ms, after which an answer that has not come is no longer waited for
const BURST = 800; // ms, arrow keys closer together than this belong to one step

const sliders = new WeakMap();
const waiting = new Set(); // sliders that hold a value back until the page has finished its run
let lastDrag = 0;

// Grows over remounts and reloads too (hence the clock): a step of an earlier drag is never joined by mistake.
function nextDrag() {
  lastDrag = Math.max(lastDrag + 1, Date.now());
  return lastDrag;
}

window.addEventListener("pondkit:run-done", () => waiting.forEach((slider) => slider.send()));

const same = (a, b) => Boolean(a && b && a.text === b.text && a.drag === b.drag);

class Slider {
  constructor(root) {
    const find = (selector) => root.querySelector(selector);
    Object.assign(this, {
      entry: find(".entry"), label: find("label"), help: find(".help"), box: find("#box"),
      slide: find("#slide"), message: find("#message"), tip: find("#tip"),
    });
    this.latest = null; // data as they came last
    this.shown = null; // data that are on show
    this.value = NaN; // number on show
    this.drag = 0;
    this.pressed = false;
    this.keyAt = 0;
    this.pending = null; // entry that still has to go out
    this.sent = null; // entry that went out last
    this.sentAt = -Infinity;
    this.runsWhenSent = undefined; // count of finished runs, see run_done.js
    this.timer = 0; // for what still has to go out
    this.later = 0; // for what still has to be shown

    this.slide.addEventListener("pointerdown", () => this.press());
    this.slide.addEventListener("input", () => this.slid());
    this.slide.addEventListener("keydown", (event) => this.key(event));
    this.box.addEventListener("focus", () => setTimeout(() => this.box.select())); // a click would undo it before that
    this.box.addEventListener("keydown", (event) => this.type(event));
    this.box.addEventListener("blur", () => this.enter());
    for (const name of ["pointerenter", "focus"]) this.help.addEventListener(name, () => this.explain(true));
    for (const name of ["pointerleave", "blur"]) this.help.addEventListener(name, () => this.explain(false));
    this.help.addEventListener("keydown", (event) => event.key === "Escape" && this.explain(false));
    this.release = this.release.bind(this);
  }

  // --- what the person does ---

  press() {
    this.pressed = true;
    this.drag = nextDrag();
    this.keyAt = 0;
    for (const name of ["pointerup", "pointercancel", "blur"]) window.addEventListener(name, this.release, true);
  }

  slid() {
    this.move(this.snap(Number(this.slide.value)));
    this.slide.value = this.value;
  }

  release(event) {
    if (event.type === "blur" && event.target !== window) return; // an element's own blur passes here too
    this.pressed = false;
    for (const name of ["pointerup", "pointercancel", "blur"]) window.removeEventListener(name, this.release, true);
    // The browser may tell the last movement after this event.
    setTimeout(() => {
      this.send();
      this.settle();
    });
  }

  key(event) {
    const { min, max, step } = this.shown;
    const onGrid = (steps) => {
      const at = this.value / step;
      return (steps > 0 ? Math.floor(at + 1e-6) : Math.ceil(at - 1e-6)) * step + steps * step;
    };
    const to = {
      ArrowRight: () => onGrid(1), ArrowUp: () => onGrid(1), PageUp: () => onGrid(10),
      ArrowLeft: () => onGrid(-1), ArrowDown: () => onGrid(-1), PageDown: () => onGrid(-10),
      Home: () => min, End: () => max,
    }[event.key];
    if (!to || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    if (event.timeStamp - this.keyAt > BURST) this.drag = nextDrag();
    this.keyAt = event.timeStamp;
    this.move(this.snap(to()));
    this.slide.value = this.value;
  }

  type(event) {
    if (event.key === "Enter") {
      this.enter();
      this.box.select();
    } else if (event.key === "Escape") {
      this.box.value = this.boxText;
    }
  }

  enter() {
    const text = this.box.value.trim();
    this.box.value = text;
    if (text === this.boxText) return;
    this.drag = nextDrag();
    this.keyAt = 0;
    this.boxText = text;
    this.report(text);
  }

  // --- numbers ---

  get decimals() {
    return (this.shown.step.toFixed(10).replace(/0+$/, "").split(".")[1] || "").length;
  }

  // The nearest multiple of the step; at the ends, where the bounds may be no multiple, the outermost number inside
  // them that has the step's decimals: what the thumb says is never out of bounds.
  snap(raw) {
    const { min, max, step } = this.shown;
    const scale = 10 ** this.decimals;
    const low = Math.ceil(min * scale - 1e-6) / scale;
    const high = Math.floor(max * scale + 1e-6) / scale;
    return Math.min(Math.max(Math.round(raw / step) * step, low), high);
  }

  move(value) {
    if (Math.abs(value - this.value) < this.shown.step * 1e-6) return;
    this.value = value;
    const text = value.toFixed(this.decimals) + (this.shown.unit ? ` ${this.shown.unit}` : "");
    this.boxText = text;
    this.box.value = text;
    this.place();
    this.report(text);
  }

  // --- to Python: one value on the way at a time, not faster than the pace, the last one always ---

  report(text) {
    this.pending = { text, drag: this.drag };
    this.send();
  }

  send() {
    clearTimeout(this.timer);
    if (!this.pending) return;
    const passed = performance.now() - this.sentAt;
    // A value that arrives in the middle of a run stops that run: sent too early, the pictures would never come.
    const running = window.pondkitRuns !== undefined && window.pondkitRuns === this.runsWhenSent;
    if (passed < PACE || (running && passed < PATIENCE)) {
      waiting.add(this);
      this.timer = setTimeout(() => this.send(), passed < PACE ? PACE - passed : PATIENCE - passed);
      return;
    }
    waiting.delete(this);
    this.sent = this.pending;
    this.pending = null;
    this.sentAt = performance.now();
    this.runsWhenSent = window.pondkitRuns;
    this.setStateValue("entry", this.sent);
    this.settle(); // in case no answer comes
  }

  // --- from Python ---

  receive(data) {
    const elsewhere = this.latest && this.latest.revision !== data.revision;
    this.latest = data;
    if (elsewhere && !this.pressed) {
      this.pending = null;
      this.sent = null;
    }
    this.settle();
  }

  // Shows the latest data, unless the person is ahead of them.
  settle() {
    clearTimeout(this.later);
    if (this.pressed || this.pending) return;
    const left = PATIENCE - (performance.now() - this.sentAt);
    if (this.sent && !same(this.sent, this.latest.seen) && left > 0) {
      this.later = setTimeout(() => this.settle(), left);
    } else if (this.latest !== this.shown) {
      this.show(this.latest);
    }
  }

  show(data) {
    const editing = this.box.matches(":focus") && this.box.value !== this.boxText;
    const keep = editing && this.shown.revision === data.revision;
    this.shown = data;
    this.label.textContent = data.label;
    this.help.hidden = !data.help;
    this.help.setAttribute("aria-label", `About: ${data.label}`);
    this.tip.textContent = data.help;
    this.message.textContent = data.message;
    this.box.setAttribute("aria-label", `${data.label}, exact`);
    this.box.setAttribute("aria-invalid", String(Boolean(data.message)));
    this.box.disabled = this.slide.disabled = data.disabled;
    this.entry.classList.toggle("off", data.disabled);
    this.boxText = data.text;
    if (!keep) this.box.value = data.text;
    this.value = data.value;
    this.slide.min = data.min;
    this.slide.max = data.max;
    this.slide.value = data.value;
    this.place();
  }

  place() {
    const { min, max, unit, message } = this.shown;
    const share = max > min ? (this.value - min) / (max - min) : 0;
    this.entry.style.setProperty("--at", Math.min(Math.max(share, 0), 1));
    const spoken = message ? `${this.value.toFixed(this.decimals)} ${unit}`.trim() : this.boxText;
    this.slide.setAttribute("aria-valuetext", spoken);
  }

  explain(on) {
    this.tip.togglePopover(on);
    if (!on) return;
    const about = this.help.getBoundingClientRect();
    const left = Math.min(about.left, window.innerWidth - this.tip.offsetWidth - 8);
    const below = about.bottom + 6;
    const fits = below + this.tip.offsetHeight < window.innerHeight;
    this.tip.style.left = `${Math.max(left, 8)}px`;
    this.tip.style.top = `${fits ? below : about.top - this.tip.offsetHeight - 6}px`;
  }

  leave() {
    clearTimeout(this.timer);
    clearTimeout(this.later);
    waiting.delete(this);
    for (const name of ["pointerup", "pointercancel", "blur"]) window.removeEventListener(name, this.release, true);
  }
}

export default function ({ data, parentElement, setStateValue }) {
  let slider = sliders.get(parentElement);
  if (!slider) sliders.set(parentElement, (slider = new Slider(parentElement)));
  slider.setStateValue = setStateValue;
  slider.receive(data);
  return () => slider.leave();
}

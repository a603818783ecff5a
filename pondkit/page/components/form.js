// All controls of what is chosen in one component. Rows are patched in place, so that nothing under the hand is built anew.
// Streamlit calls the default function again at each change of data, with a fresh setStateValue; what a mounted form must
// remember is kept at its parent element.

const PACE = 16; // ms, least time between two messages
const AHEAD = 2; // messages of a drag that may be unanswered: the server works on one while the browser draws the other
const PATIENCE = 3000; // ms to wait for an answer
const BURST = 800; // ms, arrow keys in quicker succession belong to one step
const PERSON = "pondkit:person"; // key of the person's own settings in the browser's store

const forms = new WeakMap();
const left = (window.pondkitLeft ??= new Map()); // by form: entries not yet answered when it was taken off the page

// Grows over remounts and reloads too, hence the clock. So a drag is never taken for part of an earlier one.
const nextNumber = () => (window.pondkitNumber = Math.max((window.pondkitNumber ?? 0) + 1, Date.now()));

function settings(changes) {
  let stored = {};
  try {
    stored = JSON.parse(localStorage.getItem(PERSON)) ?? {};
    if (changes) localStorage.setItem(PERSON, JSON.stringify((stored = { ...stored, ...changes })));
  } catch {
    // A browser without a store: nothing is remembered.
  }
  return stored;
}

function make(tag, inside, attributes = {}, text = "") {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  if (text) node.textContent = text;
  inside?.append(node);
  return node;
}

// --- one tip for the whole form ---

class Tip {
  constructor(root) {
    this.node = make("div", root, { id: "tip", role: "tooltip", popover: "manual" });
    this.pressed = null; // where a button was pressed: its tip is not shown again until the pointer moves
    for (const [name, on] of [["pointerover", true], ["focusin", true], ["pointerout", false], ["focusout", false]]) {
      root.addEventListener(name, (event) => {
        const about = event.target.closest?.("[data-tip]");
        if (name === "pointerover" && this.pressed === `${event.clientX} ${event.clientY}`) return;
        if (about && (name !== "focusin" || about.matches(":focus-visible"))) this.explain(on && about.dataset.tip ? about : null);
      });
    }
    root.addEventListener("keydown", (event) => event.key === "Escape" && this.explain(null));
    root.addEventListener("pointerdown", (event) => {
      if (event.target.closest?.(".help")) return; // a tap on it asks for its tip
      this.pressed = `${event.clientX} ${event.clientY}`;
      this.explain(null);
    });
  }

  explain(about) {
    this.node.togglePopover(Boolean(about));
    if (!about) return;
    this.node.textContent = about.dataset.tip;
    const box = about.getBoundingClientRect();
    const left = Math.min(box.left, window.innerWidth - this.node.offsetWidth - 8);
    const below = box.bottom + 6;
    const fits = below + this.node.offsetHeight < window.innerHeight;
    this.node.style.left = `${Math.max(left, 8)}px`;
    this.node.style.top = `${fits ? below : box.top - this.node.offsetHeight - 6}px`;
  }
}

// --- rows ---

let lastId = 0; // of nodes that other nodes refer to

class Control {
  constructor(form, { kind, id }) {
    this.form = form;
    this.id = id;
    this.node = make("div", null, { class: `row ${kind}`, "data-row": id });
    this.number = ++lastId;
    this.data = null;
  }

  // Label, help, and what is at its right end.
  head(tag, attributes = {}) {
    const top = make("div", this.node, { class: "top" });
    this.label = make(tag, top, { class: "label", id: `l${this.number}`, ...attributes });
    this.help = make("button", top, { class: "help", type: "button", "aria-describedby": "tip" }, "?");
    return top;
  }

  foot() {
    this.message = make("div", this.node, { class: "message", id: `m${this.number}`, "aria-live": "polite" });
    this.readings = make("div", this.node, { class: "readings" });
  }

  // Shows a row, unless it is shown already.
  receive(row) {
    const text = JSON.stringify(row);
    if (text === this.text) return;
    this.text = text;
    this.data = row;
    this.take();
  }

  take() {
    this.name();
    this.show(this.data);
  }

  name() {
    const { label = "", help = "", message = "" } = this.data;
    if (this.label && this.label.textContent !== label) this.label.textContent = label;
    if (this.help) {
      this.help.hidden = !help;
      this.help.dataset.tip = help;
      this.help.setAttribute("aria-label", `About: ${label}`);
    }
    if (this.message) this.message.textContent = message;
    this.offer(this.data.readings || []);
  }

  // The possible readings of a text in doubt, each a button.
  offer(texts) {
    if (!this.readings || this.readings.textContent === texts.join("")) return;
    this.readings.replaceChildren();
    texts.forEach((text) => {
      const button = make("button", this.readings, { type: "button", class: "press" }, text);
      button.addEventListener("click", () => this.form.tell(this.id, text, nextNumber()));
    });
  }

  buttons(inside, given = []) {
    const wanted = given.map((button) => button.id).join("\n");
    if (this.wanted !== wanted) {
      this.wanted = wanted;
      this.pressed?.forEach((node) => node.remove());
      this.pressed = given.map((button) => {
        const node = make("button", inside, { type: "button", class: "press" });
        node.addEventListener("click", () => this.form.tell(button.id, true, nextNumber()));
        return node;
      });
    }
    given.forEach(({ label, help, disabled, strong }, i) => {
      const node = this.pressed[i];
      node.textContent = label;
      node.disabled = Boolean(disabled);
      node.classList.toggle("strong", Boolean(strong));
      node.classList.toggle("short", label.length < 2);
      node.dataset.tip = help;
      if (help && label.length < 2) node.setAttribute("aria-label", help);
    });
  }

  // The form has its answer, or has waited long enough.
  settle() {
    this.show(this.data);
  }

  leave() {}
}

class Words extends Control {
  show({ label }) {
    this.node.textContent = label;
  }
}

class Head extends Control {
  constructor(form, row) {
    super(form, row);
    this.top = this.head("span");
    this.end = make("span", this.top, { class: "end" });
  }

  show({ buttons }) {
    this.buttons(this.end, buttons);
  }
}

class Buttons extends Control {
  show({ buttons }) {
    this.buttons(this.node, buttons);
  }
}

class Fold extends Control {
  constructor(form, row) {
    super(form, row);
    const top = make("div", this.node, { class: "top" });
    this.button = make("button", top, { type: "button", class: "opener", "aria-controls": `b${this.number}` });
    this.body = make("div", this.node, { class: "body", id: `b${this.number}` });
    this.list = new List(form, this.body);
    this.button.addEventListener("click", () => {
      const open = this.button.getAttribute("aria-expanded") !== "true";
      this.button.setAttribute("aria-expanded", String(open));
      settings({ folds: { ...settings().folds, [this.id]: open } });
      form.tell(this.id, open, nextNumber());
    });
  }

  show({ label, help, open, rows, look }) {
    this.node.classList.toggle("part", look === "part");
    this.button.textContent = label;
    this.button.dataset.tip = help;
    if (!this.form.waitsFor(this.id)) this.button.setAttribute("aria-expanded", String(open));
    this.body.hidden = !open;
    this.list.receive(rows);
  }

  settle() {
    this.show(this.data);
    this.list.settle();
  }

  leave() {
    this.list.leave();
  }
}

class Choice extends Control {
  constructor(form, row) {
    super(form, row);
    this.head("label", { for: `c${this.number}` });
    const line = make("div", this.node, { class: "line" });
    this.select = make("select", line, { id: `c${this.number}` });
    this.end = make("span", line, { class: "end" });
    this.foot();
    this.select.addEventListener("change", () => form.tell(this.id, this.select.value, nextNumber()));
  }

  show({ options, value, buttons }) {
    const offered = JSON.stringify(options);
    if (offered !== this.offered) {
      this.offered = offered;
      this.select.replaceChildren(...options.map(([name, text]) => {
        const option = make("option", null, { value: name }, text);
        return option;
      }));
    }
    if (!this.form.waitsFor(this.id)) this.select.value = value;
    this.buttons(this.end, buttons);
  }
}

class Pick extends Control {
  constructor(form, row) {
    super(form, row);
    this.node.setAttribute("role", "radiogroup");
    this.more = make("button", this.node, { type: "button", class: "more" });
    this.more.addEventListener("click", () => {
      settings({ more: !settings().more });
      this.place();
    });
    this.end = make("span", this.node, { class: "end" });
  }

  show({ label, options, value, buttons }) {
    this.node.setAttribute("aria-label", label);
    const offered = JSON.stringify(options.map(([name]) => name));
    if (offered !== this.offered) {
      this.offered = offered;
      this.choices?.forEach(({ pill }) => pill.remove());
      this.choices = options.map(([name]) => {
        const pill = make("label", null, { class: "pill" });
        const input = make("input", pill, { type: "radio", name: `p${this.number}`, value: name });
        const caption = make("span", pill);
        this.more.before(pill);
        input.addEventListener("change", () => this.form.tell(this.id, name, nextNumber()));
        return { pill, input, caption };
      });
    }
    options.forEach(([, text], i) => { this.choices[i].caption.textContent = text; });
    if (!this.form.waitsFor(this.id)) this.mark(value);
    this.place();
    this.buttons(this.end, buttons);
  }

  mark(value) {
    this.choices.forEach(({ input }) => { input.checked = input.value === value; });
  }

  place() {
    const open = Boolean(settings().more);
    const far = this.data.options.map(([, , far]) => Boolean(far));
    this.more.hidden = !far.some(Boolean);
    this.more.textContent = open ? "Less" : "More";
    this.more.setAttribute("aria-expanded", String(open));
    this.choices.forEach(({ pill, input }, i) => { pill.hidden = far[i] && !open && !input.checked; });
  }
}

class Names extends Control {
  constructor(form, row) {
    super(form, row);
    this.head("span");
    this.node.setAttribute("role", "group");
    this.node.setAttribute("aria-labelledby", `l${this.number}`);
    this.set = make("div", this.node, { class: "set" });
  }

  show({ options, value }) {
    const offered = JSON.stringify(options);
    if (offered !== this.offered) {
      this.offered = offered;
      this.boxes = options.map(([name, text]) => {
        const pill = make("label", null, { class: "tick" });
        const input = make("input", pill, { type: "checkbox", value: name });
        make("span", pill, {}, text);
        input.addEventListener("change", () => {
          const chosen = this.boxes.filter((box) => box.checked).map((box) => box.value);
          this.form.tell(this.id, chosen, nextNumber());
        });
        return input;
      });
      this.set.replaceChildren(...this.boxes.map((input) => input.parentNode));
    }
    if (this.form.waitsFor(this.id)) return;
    this.boxes.forEach((input) => { input.checked = value.includes(input.value); });
  }
}

class Switch extends Control {
  constructor(form, row) {
    super(form, row);
    const top = this.head("label", { for: `s${this.number}` });
    this.input = make("input", null, { type: "checkbox", role: "switch", id: `s${this.number}` });
    top.prepend(this.input);
    this.input.addEventListener("change", () => form.tell(this.id, this.input.checked, nextNumber()));
  }

  show({ value }) {
    if (!this.form.waitsFor(this.id)) this.input.checked = value;
  }
}

class Text extends Control {
  constructor(form, row) {
    super(form, row);
    this.head("label", { for: `t${this.number}` });
    this.box = make(row.lines ? "textarea" : "input", this.node, {
      id: `t${this.number}`, autocomplete: "off", spellcheck: "false", "aria-describedby": `m${this.number}`,
      ...(row.lines ? { rows: 3 } : { type: "text" }),
    });
    this.foot();
    this.entered = "";
    this.box.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && (!row.lines || event.ctrlKey)) this.enter();
      else if (event.key === "Escape") this.box.value = this.entered;
    });
    this.box.addEventListener("blur", () => this.enter());
  }

  enter() {
    if (this.box.value === this.entered) return;
    this.entered = this.box.value;
    this.form.tell(this.id, this.entered, nextNumber());
  }

  show({ text, message }) {
    this.box.setAttribute("aria-invalid", String(Boolean(message)));
    const editing = this.box.matches(":focus") && this.box.value !== this.entered && !this.form.elsewhere;
    if (this.form.waitsFor(this.id)) return;
    this.entered = text;
    if (!editing) this.box.value = text;
  }
}

class Quantity extends Control {
  constructor(form, row) {
    super(form, row);
    const top = this.head("label", { for: `q${this.number}` });
    this.tick = make("input", null, { type: "checkbox", role: "switch", hidden: "" });
    top.prepend(this.tick);
    this.tick.addEventListener("change", () => form.tell(this.data.switch, this.tick.checked, nextNumber()));
    this.box = make("input", top, {
      class: "box", type: "text", autocomplete: "off", spellcheck: "false", "aria-describedby": `m${this.number}`,
    });
    this.slide = make("input", this.node, {
      class: "slide", id: `q${this.number}`, type: "range", step: "any", "aria-labelledby": `l${this.number}`,
    });
    this.foot();
    this.shown = null; // data that are shown
    this.value = NaN; // number that is shown
    this.drag = 0;
    this.pressed = false;
    this.keyAt = 0;
    this.slide.addEventListener("pointerdown", (event) => this.press(event));
    this.slide.addEventListener("pointermove", (event) => this.pressed && event.pointerType === "pen" && this.pen(event));
    this.slide.addEventListener("input", () => this.slid());
    this.slide.addEventListener("keydown", (event) => this.key(event));
    // Later, as a click would undo it; by then the focus may have moved on.
    this.box.addEventListener("focus", () => setTimeout(() => this.box.matches(":focus") && this.box.select()));
    this.box.addEventListener("keydown", (event) => this.type(event));
    this.box.addEventListener("blur", () => this.enter());
    this.release = this.release.bind(this);
  }

  // --- what the person does ---

  press(event) {
    this.pressed = true;
    if (event.pointerType === "pen") this.slide.setPointerCapture(event.pointerId);
    this.drag = nextNumber();
    this.keyAt = 0;
    for (const name of ["pointerup", "pointercancel", "blur"]) window.addEventListener(name, this.release, true);
  }

  // Not every browser moves the thumb by a pen.
  pen(event) {
    const { min, max } = this.shown;
    const { left, width } = this.slide.getBoundingClientRect();
    const thumb = parseFloat(getComputedStyle(document.documentElement).fontSize); // 1rem, see form.css
    const share = Math.min(Math.max((event.clientX - left - thumb / 2) / (width - thumb), 0), 1);
    this.move(this.snap(min + share * (max - min)));
    this.slide.value = this.value;
  }

  slid() {
    if (!this.pressed && performance.now() - this.keyAt > BURST) this.drag = nextNumber(); // by a tool that does not press
    if (!this.pressed) this.keyAt = performance.now();
    this.move(this.snap(Number(this.slide.value)));
    this.slide.value = this.value;
  }

  release(event) {
    if (event.type === "blur" && event.target !== window) return; // an element's own blur passes here too
    this.pressed = false;
    for (const name of ["pointerup", "pointercancel", "blur"]) window.removeEventListener(name, this.release, true);
    // The last movement may be reported after this event.
    setTimeout(() => {
      this.form.send();
      this.take();
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
    if (performance.now() - this.keyAt > BURST) this.drag = nextNumber();
    this.keyAt = performance.now();
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
    if (text === this.boxText || this.box.hidden) return;
    this.drag = nextNumber();
    this.keyAt = 0;
    this.boxText = text;
    this.form.tell(this.id, text, this.drag);
  }

  // --- numbers ---

  get decimals() {
    return (this.shown.step.toFixed(10).replace(/0+$/, "").split(".")[1] || "").length;
  }

  // A number with its unit: 45°, 12 in, 3.
  written(value) {
    const { unit } = this.shown;
    return `${value.toFixed(this.decimals)}${unit && unit !== "°" ? " " : ""}${unit}`;
  }

  // The nearest multiple of the step; at the ends, where the bounds may be no multiple, the outermost number inside
  // them that has the step's decimals. So the thumb never gives a number out of bounds.
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
    const text = this.written(value);
    this.boxText = text;
    this.box.value = text;
    this.place();
    this.form.tell(this.id, text, this.drag, true);
  }

  // --- from Python ---

  // Shows the latest data, unless the person has gone on since.
  take() {
    if (this.pressed || this.form.waitsFor(this.id) || this.data === this.shown) return;
    this.name();
    this.show(this.data);
  }

  settle() {
    this.take();
  }

  show(data) {
    const editing = this.box.matches(":focus") && this.box.value !== this.boxText && !this.form.elsewhere;
    this.shown = data;
    const out = data.value === null;
    this.tick.hidden = !data.switch;
    this.tick.checked = !out;
    this.tick.setAttribute("aria-label", `Set ${data.label.toLowerCase()}`);
    this.box.hidden = this.slide.hidden = out;
    if (out) return;
    this.box.setAttribute("aria-label", `${data.label}, exact`);
    this.box.setAttribute("aria-invalid", String(Boolean(data.message)));
    this.boxText = data.text;
    if (!editing) this.box.value = data.text;
    this.value = data.value;
    this.slide.min = data.min;
    this.slide.max = data.max;
    this.slide.value = data.value;
    this.place();
  }

  place() {
    const { min, max, message } = this.shown;
    const share = max > min ? (this.value - min) / (max - min) : 0;
    this.node.style.setProperty("--at", Math.min(Math.max(share, 0), 1));
    const spoken = message ? this.written(this.value) : this.boxText;
    this.slide.setAttribute("aria-valuetext", spoken);
  }

  // A form that is taken off the page and put back must not wait for a pointer that was released meanwhile.
  leave() {
    this.pressed = false;
    for (const name of ["pointerup", "pointercancel", "blur"]) window.removeEventListener(name, this.release, true);
  }
}

const KINDS = {
  quantity: Quantity, choice: Choice, names: Names, switch: Switch, text: Text, pick: Pick, words: Words, head: Head,
  buttons: Buttons, fold: Fold,
};

// Rows in order; a row is kept as long as its id and kind stay.
class List {
  constructor(form, node) {
    this.form = form;
    this.node = node;
    this.controls = new Map();
  }

  receive(rows) {
    const wanted = new Map(rows.map((row) => [`${row.kind} ${row.id}`, row]));
    for (const [name, control] of this.controls) {
      if (wanted.has(name)) continue;
      control.leave();
      control.node.remove();
      this.controls.delete(name);
    }
    let behind = null;
    for (const [name, row] of wanted) {
      let control = this.controls.get(name);
      if (!control) this.controls.set(name, (control = new KINDS[row.kind](this.form, row)));
      const at = behind ? behind.nextSibling : this.node.firstChild;
      if (control.node !== at) this.node.insertBefore(control.node, at);
      control.receive(row);
      behind = control.node;
    }
  }

  settle() {
    this.controls.forEach((control) => control.settle());
  }

  leave() {
    this.controls.forEach((control) => control.leave());
  }
}

class Form {
  constructor(root) {
    this.root = root;
    this.list = new List(this, make("div", root, { class: "rows" }));
    this.tip = new Tip(root);
    this.entries = []; // not answered yet, in order
    this.unsent = false;
    this.unanswered = []; // number of the last entry in each unanswered message
    this.sentAt = -Infinity;
    this.timer = 0; // of the next message
    this.later = 0; // of the wait for an answer
    this.channel = null; // how the last message was sent
    this.elsewhere = false; // whether the document was changed elsewhere since the rows were shown last
  }

  // --- to Python: the latest value of a drag, everything else in order ---

  tell(id, value, drag, moving = false) {
    const entry = { id, value, drag, n: nextNumber() };
    const same = this.entries.findIndex((other) => other.id === id && other.drag === drag);
    if (same >= 0) this.entries.splice(same, 1); // one drag is one step: only its newest value is sent
    this.entries.push(entry);
    this.unsent = true;
    if (moving) this.pace();
    else this.send();
  }

  // A value of a drag is sent when not too many are unanswered, or when the pointer is released.
  pace() {
    clearTimeout(this.timer);
    if (!this.unsent) return;
    const passed = performance.now() - this.sentAt;
    const room = this.unanswered.length < (this.data.follows ? AHEAD : 1);
    if (passed >= PACE && (room || passed >= PATIENCE)) this.send();
    else this.timer = setTimeout(() => this.pace(), passed < PACE ? PACE - passed : PATIENCE - passed);
  }

  send() {
    clearTimeout(this.timer);
    if (!this.unsent) return;
    this.unsent = false;
    this.sentAt = performance.now();
    this.unanswered.push(this.entries.at(-1).n);
    this.deliver();
    clearTimeout(this.later);
    this.later = setTimeout(() => this.stopWaiting(), PATIENCE);
  }

  // Through the component that follows the hand if it is on the page, together with the unanswered entries of other forms.
  deliver() {
    const live = window.pondkitLive;
    this.channel = this.channelNow();
    if (!this.channel) return this.setStateValue("entries", this.entries.slice());
    live.entries[this.data.key] = this.entries.slice();
    live.tell("entries", { ...live.entries });
  }

  // The component through which an entry is sent now; null for the form itself.
  channelNow() {
    return this.data.follows && window.pondkitLive?.tell ? window.pondkitLive.owner : null;
  }

  // No answer has come: the rows are shown as the document has them.
  stopWaiting() {
    this.unanswered = [];
    this.pace();
    this.list.settle();
  }

  waitsFor(id) {
    return this.entries.some((entry) => entry.id === id) && performance.now() - this.sentAt < PATIENCE;
  }

  // --- from Python ---

  // Data from the whole page, or from a partial run since.
  mount(data) {
    const waiting = left.get(data.key);
    left.delete(data.key);
    if (waiting?.session === data.session) this.entries.unshift(...waiting.entries);
    this.receive(data);
    if (waiting && this.entries.length) this.again();
    const live = window.pondkitLive;
    if (!data.follows || !live) return;
    live.receivers.set(data.key, (this.receiver ??= (change) => this.receive(change)));
    const latest = live.latest.get(data.key);
    if (latest && latest.session === data.session) this.receive(latest);
  }

  receive(data) {
    const before = this.data;
    if (data.sent && before?.sent >= data.sent) return; // never older data than the last
    this.data = data;
    if (before && before.session !== data.session) {
      if (window.pondkitLive) window.pondkitLive.entries = {};
      this.entries = [];
      this.unanswered = [];
      this.unsent = false;
    }
    this.entries = this.entries.filter((entry) => entry.n > data.answered);
    if (!this.entries.length && window.pondkitLive) delete window.pondkitLive.entries[data.key];
    this.unanswered = this.unanswered.filter((number) => number > data.answered);
    this.elsewhere = Boolean(before && (before.revision !== data.revision || before.session !== data.session));
    this.list.receive(data.rows);
    if (this.elsewhere || (before && before.answered !== data.answered)) this.list.settle();
    this.elsewhere = false;
    // What was sent through a component that is gone is sent again; the server handles each entry once.
    if (before && this.entries.length && this.channel !== this.channelNow()) this.again();
    this.pace();
    if (!before || before.session !== data.session) this.introduce();
  }

  again() {
    this.unsent = true;
    this.send();
  }

  // Tells a new session which folds this person has open.
  introduce() {
    const { folds } = settings();
    if (folds && Object.keys(folds).length) this.tell("folds", folds, nextNumber());
  }

  leave() {
    this.send(); // what is still unsent
    if (this.entries.length) left.set(this.data.key, { session: this.data.session, entries: this.entries });
    const live = window.pondkitLive;
    if (this.receiver && live?.receivers.get(this.data.key) === this.receiver) live.receivers.delete(this.data.key);
    clearTimeout(this.timer);
    clearTimeout(this.later);
    this.list.leave();
  }
}

export default function ({ data, parentElement, setStateValue }) {
  const root = parentElement.querySelector(".form");
  let form = forms.get(root);
  if (!form) forms.set(root, (form = new Form(root)));
  form.setStateValue = setStateValue;
  form.mount(JSON.parse(new TextDecoder().decode(data)));
  return () => form.leave();
}

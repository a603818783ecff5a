// Keeps a person's work in the browser's own store: the project with its undo history, at every change. Each load of the
// page writes to a record of its own; records that no open page holds are offered at the start.

const STORE = "work";
const MOST_RECORDS = 12;
const OFFERED = 3;
const PAUSE = 120; // ms, so that a drag does not write at each of its steps

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("pondkit", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "slot" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function store(mode, work) {
  const db = await open();
  try {
    return await new Promise((resolve, reject) => {
      const change = db.transaction(STORE, mode);
      const asked = work(change.objectStore(STORE));
      change.oncomplete = () => resolve(asked?.result);
      change.onerror = () => reject(change.error);
    });
  } finally {
    db.close();
  }
}

class Keeper {
  constructor() {
    this.texts = {}; // by id
    this.timer = 0;
    this.answered = "";
    addEventListener("pagehide", () => this.write());
    addEventListener("visibilitychange", () => document.hidden && this.write());
  }

  // A record of its own, held as long as the page is open.
  begin() {
    this.letGo?.();
    this.slot = `${Date.now()}-${Math.random().toString(36).slice(2)}`;
    this.record = null;
    const mine = `pondkit:${this.slot}`;
    navigator.locks?.request(mine, () => new Promise((resolve) => { this.letGo = resolve; }));
  }

  async offer() {
    this.write();
    this.begin(); // the server does not know this page, at its start, after a reload or a restart: its work is offered, too
    await new Promise((resolve) => setTimeout(resolve, 60)); // until the lock let go is free
    const open = new Set((await navigator.locks?.query())?.held.map((lock) => lock.name));
    const records = (await store("readonly", (kept) => kept.getAll())).sort((a, b) => b.when - a.when);
    for (const old of records.slice(MOST_RECORDS)) {
      if (!open.has(`pondkit:${old.slot}`)) await store("readwrite", (kept) => kept.delete(old.slot));
    }
    const free = records.filter((record) => !open.has(`pondkit:${record.slot}`));
    this.tell("found", free.slice(0, OFFERED).map(({ slot, title, when, order, at }) => ({ slot, title, when, back: at, steps: order.length })));
  }

  async give(slot) {
    const record = await store("readonly", (kept) => kept.get(slot));
    const { order = [], at = 0, texts = {}, pictures = [] } = record ?? {};
    const named = Object.fromEntries(pictures.map((id) => [id, texts[id]]));
    this.tell("work", { slot, texts: order.map((id) => texts[id]), at, pictures: named });
  }

  keep({ title, order, at, pictures, texts }) {
    Object.assign(this.texts, texts);
    const wanted = [...order, ...pictures];
    const missing = wanted.filter((id) => !(id in this.texts));
    if (missing.length) {
      this.tell("missing", missing.join());
      return;
    }
    this.texts = Object.fromEntries(wanted.map((id) => [id, this.texts[id]]));
    this.record = { slot: this.slot, title, when: Date.now(), order, at, pictures, texts: this.texts };
    if (!this.timer) this.timer = setTimeout(() => this.write(), PAUSE);
  }

  write() {
    clearTimeout(this.timer);
    this.timer = 0;
    const { record } = this;
    if (!record || record === this.written) return;
    this.written = record;
    store("readwrite", (kept) => kept.put(record)).catch(() => this.tell("full", true));
  }

  receive(data) {
    const { session, want, work } = data;
    if (session !== this.session) {
      this.session = session;
      this.texts = {};
      this.offer().catch(() => this.tell("found", []));
    }
    if (want && want !== this.answered) this.give((this.answered = want));
    if (work) this.keep(work);
  }
}

let keeper = null;

export default function ({ data, setStateValue }) {
  keeper ??= new Keeper();
  keeper.tell = setStateValue;
  keeper.receive(data);
}

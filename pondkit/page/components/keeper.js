// Keeps a person's work in the browser's own store: one record per job, with its undo history, written at every change.
// Beside each record is its head, which is all that is read to offer it. Records are ordered by a count of the changes that
// this browser has kept, as a clock may be set back. A page holds the lock of the job that it works on. A second page with the
// same job keeps a record of its own until the first is closed, and both pages say so.

const STORE = "work";
const HEAD = "head ";
const COUNT = "count";
const FIRM = "firm"; // the person's own firm, for the next job
const MOST_STEPS = 600; // of one record
const PAUSE = 120; // ms, so that a drag is not written at each of its steps

function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open("pondkit", 1);
    request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "slot" });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

async function store(mode, work) {
  const db = await open();
  try {
    return await new Promise((resolve, reject) => {
      const change = db.transaction(STORE, mode);
      const request = work(change.objectStore(STORE));
      change.oncomplete = () => resolve(request?.result);
      change.onerror = change.onabort = () => reject(change.error); // a full store only aborts
    });
  } finally {
    db.close();
  }
}

const read = (slot) => store("readonly", (records) => records.get(slot));

const remove = (slot) => store("readwrite", (records) => {
  records.delete(slot);
  records.delete(HEAD + slot);
});

function headOf({ slot, title, changed, when, order, at }, count) {
  return { slot: HEAD + slot, title, changed, when, back: at, steps: order.length, count };
}

// Writes a record, as the one last changed.
const put = (record) => store("readwrite", (records) => {
  const request = records.get(COUNT);
  request.onsuccess = () => {
    const count = (request.result?.count ?? 0) + 1;
    records.put({ slot: COUNT, count });
    records.put(record);
    records.put(headOf(record, count));
  };
});

// All heads, the last changed first. A record of an older version gets its head here.
async function heads() {
  const keys = new Set(await store("readonly", (records) => records.getAllKeys()));
  for (const slot of keys) {
    if (slot === COUNT || slot === FIRM || slot.startsWith(HEAD) || keys.has(HEAD + slot)) continue;
    const old = await read(slot);
    await store("readwrite", (records) => records.put(headOf(old, 0)));
  }
  const headRecords = await store("readonly", (records) => records.getAll(IDBKeyRange.bound(HEAD, `${HEAD}\uffff`)));
  return headRecords
    .map((head) => ({ ...head, slot: head.slot.slice(HEAD.length) }))
    .sort((a, b) => b.count - a.count || b.when - a.when);
}

// Steps of an older record that a history lacks: those before its first step, or all if the two have no step in common.
function before(old, order) {
  if (!old) return [];
  if (!order.includes(old.order[old.at])) return old.order;
  return old.order.slice(0, Math.max(0, old.order.indexOf(order[0])));
}

class Keeper {
  constructor() {
    this.texts = {}; // by id
    this.timer = 0;
    this.answered = "";
    this.merged = []; // records whose steps are in this one: removed once this one is written
    this.channel = new BroadcastChannel("pondkit");
    this.channel.onmessage = ({ data }) => this.hear(data);
    addEventListener("pagehide", () => {
      this.write();
      if (this.job) this.channel.postMessage({ left: this.job });
    });
    addEventListener("visibilitychange", () => document.hidden && this.write());
  }

  // --- which record is written ---

  leave() {
    this.letGo?.();
    this.waiting?.abort();
    if (this.job) this.channel.postMessage({ left: this.job });
    this.letGo = this.waiting = this.job = this.record = null;
    this.merged = [];
    this.held = false;
  }

  // Holds a job's lock; resolves to whether it was free.
  lock(job, options = {}) {
    return new Promise((resolve, reject) => {
      const hold = (lock) => {
        resolve(Boolean(lock));
        return lock && new Promise((letGo) => { this.letGo = letGo; });
      };
      if (navigator.locks) navigator.locks.request(`pondkit:${job}`, options, hold).catch(reject);
      else resolve(true);
    });
  }

  // Begins to keep a job: under its own id, or beside it while another page has it open.
  async begin(job) {
    this.leave();
    this.job = job;
    const free = await this.lock(job, { ifAvailable: true });
    if (job !== this.job) return;
    if (free) {
      await this.own(job);
      return;
    }
    this.slot = `${job}+${Math.random().toString(36).slice(2, 10)}`;
    this.lead = [];
    this.held = true;
    this.channel.postMessage({ at: job });
    this.tell("twin", job);
    this.write();
    this.waiting = new AbortController();
    this.lock(job, { signal: this.waiting.signal }).then(() => this.own(job, this.slot)).catch(() => {});
  }

  // Writes to the job's own record from now on. Steps in it, or in a record taken up, that this page lacks are kept.
  async own(job, beside = "") {
    const olds = [];
    for (const slot of new Set([job, this.given])) if (slot) olds.push(await read(slot));
    if (job !== this.job) return;
    this.slot = job;
    this.lead = olds.filter(Boolean).map((old) => ({ old, order: before(old, this.record?.order ?? []) }));
    this.held = true;
    this.written = null;
    this.merged = [beside, this.given].filter((slot) => slot && slot !== job);
    this.given = "";
    this.write();
    if (beside) this.tell("twin", "");
  }

  hear({ at, left }) {
    if (at && at === this.job) this.tell("twin", at);
    if (left && left === this.job && this.slot === this.job) this.tell("twin", "");
  }

  // --- what the server asks for, and hands over ---

  async offer() {
    this.write();
    this.leave(); // a server that does not know this page (at the start, after a reload or restart) is offered its work too
    await new Promise((resolve) => setTimeout(resolve, 60)); // until the released lock is free
    const open = new Set((await navigator.locks?.query())?.held.map((lock) => lock.name));
    const every = (await heads()).map((head) => ({ ...head, open: open.has(`pondkit:${head.slot.split("+")[0]}`) }));
    this.tell("firm", (await read(FIRM))?.text ?? "");
    this.tell("found", every);
  }

  async give(slot) {
    const { order = [], at = 0, texts = {}, pictures = [] } = (await read(slot)) ?? {};
    this.given = slot;
    const named = Object.fromEntries(pictures.map((id) => [id, texts[id]]));
    this.tell("work", { slot, texts: order.map((id) => texts[id]), at, pictures: named });
  }

  keep({ job, title, changed, order, at, pictures, texts }) {
    Object.assign(this.texts, texts);
    const wanted = [...order, ...pictures];
    const missing = wanted.filter((id) => !(id in this.texts));
    if (missing.length) {
      this.tell("missing", missing.join());
      return;
    }
    this.texts = Object.fromEntries(wanted.map((id) => [id, this.texts[id]]));
    const begun = job === this.job;
    if (!begun) {
      this.write();
      this.begin(job).catch(() => this.tell("full", true));
    }
    this.record = { title, changed, when: Date.now(), order, at, pictures, texts: this.texts };
    if (!this.timer) this.timer = setTimeout(() => this.write(), PAUSE);
  }

  write() {
    clearTimeout(this.timer);
    this.timer = 0;
    const { record } = this;
    if (!record || !this.held || record === this.written) return;
    this.written = record;
    let whole = { ...record, slot: this.slot };
    for (const { old, order } of this.lead) {
      const steps = order.slice(-MOST_STEPS);
      whole = {
        ...whole,
        order: [...steps, ...whole.order],
        at: steps.length + whole.at,
        pictures: [...new Set([...old.pictures ?? [], ...whole.pictures])],
        texts: { ...old.texts, ...whole.texts },
      };
    }
    const named = new Set([...whole.order, ...whole.pictures]);
    whole.texts = Object.fromEntries(Object.entries(whole.texts).filter(([id]) => named.has(id)));
    const merged = this.merged.splice(0);
    put(whole).then(() => merged.forEach((slot) => remove(slot)), () => {
      this.merged.push(...merged);
      this.tell("full", true);
    });
  }

  receive(data) {
    const { session, want, work, firm } = data;
    if (session !== this.session) {
      this.session = session;
      this.texts = {};
      this.offer().catch(() => this.tell("found", []));
    }
    if (want && want !== this.answered) this.give((this.answered = want));
    if (work) this.keep(work);
    if (firm && firm !== this.firm) {
      this.firm = firm;
      store("readwrite", (records) => records.put({ slot: FIRM, text: firm })).catch(() => this.tell("full", true));
    }
  }
}

let keeper = null;

export default function ({ data, setStateValue }) {
  keeper ??= new Keeper();
  keeper.tell = setStateValue;
  keeper.receive(data);
}

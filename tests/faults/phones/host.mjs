// Simulated phones: the app's own code on a database in memory, driven from outside, one command a line, one answer a line.
//   host.mjs ROOT BUNDLE
// A phone is a database and a localStorage; a page is the code at work on them. Pages can die between any two writes; phones can get an
// older copy of their data back. Requests are not sent: they are handed to whoever drives, who decides what becomes of them.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { createInterface } from "node:readline";

const [root, bundle] = process.argv.slice(2);
const fake = createRequire(join(root, "frontend", "package.json"))("fake-indexeddb");
const { IDBFactory, IDBObjectStore, IDBDatabase } = fake;
const IDB_NAMES = ["IDBCursor", "IDBDatabase", "IDBIndex", "IDBKeyRange", "IDBObjectStore", "IDBRequest", "IDBTransaction"];
const NAMES = ["globalThis", "indexedDB", ...IDB_NAMES, "localStorage", "fetch", "XMLHttpRequest", "setTimeout", "clearTimeout", "Date", "performance", "Math", "crypto", "navigator", "document", "location", "BroadcastChannel", "console"];
const start = new Function(...NAMES, `${readFileSync(bundle, "utf8")}; return Page;`);

const phones = new Map();
const pages = new Map();
/** Which page opened a database handle: whatever happens on the handle is that page's doing. */
const owners = new WeakMap();

class PageDied extends Error { name = "PageDied"; }

/** The phone's localStorage as one page sees it. */
class Local {
  constructor(page) { this.page = page; }
  getItem(key) { return this.page.phone.items.get(key) ?? null; }
  removeItem(key) { if (!this.page.dead) this.page.phone.items.delete(key); }
  setItem(key, value) { if (!this.page.dead) this.page.phone.items.set(key, String(value)); }
}

const transaction = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (stores, mode, options) {
  const page = owners.get(this);
  if (mode === "readwrite") page?.beforeWrite();
  else if (page?.dead) throw new PageDied("dead");
  return transaction.call(this, stores, mode, options);
};
// A write that the browser refuses after its request had succeeded: the way a full disk or a dying storage process shows.
const refusedTransactions = new WeakSet();
for (const name of ["put", "add"]) {
  const write = IDBObjectStore.prototype[name];
  IDBObjectStore.prototype[name] = function (...given) {
    const request = write.apply(this, given);
    const { transaction: tx } = this;
    const reason = refusedTransactions.has(tx) ? null : owners.get(tx.db)?.takeRefusal(this.name);
    if (reason) {
      refusedTransactions.add(tx);
      Object.defineProperty(tx, "error", { get: () => new DOMException("refused", reason), set: () => undefined });
      request.addEventListener("success", () => tx.abort());
    }
    return request;
  };
}

function chanceOf(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

function newPhone({ phone, seed }) {
  phones.set(phone, { factory: new IDBFactory(), items: new Map(), wallMs: Date.parse("2026-11-25T09:00:00Z"), sinceMs: 1000, chance: chanceOf(seed), snapshot: null });
}

/** The hash comes in a later turn, as in a browser: no transaction outlives it. */
function digest(_, data) {
  return new Promise((go) => setImmediate(() => go(new Uint8Array(createHash("sha256").update(data instanceof ArrayBuffer ? new Uint8Array(data) : data).digest()).buffer)));
}

class Page {
  dead = false;
  writesLeft = Infinity;
  refusal = null;
  requests = new Map();
  told = new Set();
  count = 0;
  constructor(phone) {
    this.phone = phone;
    this.code = start(...this.world());
  }
  beforeWrite() {
    if (!this.dead && this.writesLeft-- <= 0) this.dead = true;
    if (this.dead) throw new PageDied("dead");
  }
  takeRefusal(store) {
    if (!this.refusal || store === "ballast" || this.refusal.after-- > 0) return null;
    const { name } = this.refusal;
    if (--this.refusal.times <= 0) this.refusal = null;
    return name;
  }
  world() {
    const { phone } = this;
    const PhoneDate = class extends Date {
      constructor(...given) { given.length === 0 ? super(phone.wallMs) : super(...given); }
      static now() { return phone.wallMs; }
    };
    const random = { getRandomValues: (array) => phone.random(array), randomUUID: () => phone.uuid(), subtle: { digest } };
    const maths = Object.create(Math, { random: { value: phone.chance } });
    // Short waits end at once; long ones are limits on a request, and what becomes of a request is decided outside.
    const wait = (then, ms) => (ms < 1000 ? setImmediate(then) : null);
    const open = (...given) => {
      if (this.dead) throw new PageDied("dead");
      const request = phone.factory.open(...given);
      request.addEventListener("success", () => owners.set(request.result, this));
      return request;
    };
    const world = {
      indexedDB: { open }, ...Object.fromEntries(IDB_NAMES.map((name) => [name, fake[name]])), localStorage: new Local(this),
      fetch: (path, init) => this.fetch(path, init), XMLHttpRequest: this.xhr(), setTimeout: wait, clearTimeout: () => undefined, Date: PhoneDate,
      performance: { now: () => phone.sinceMs }, Math: maths, crypto: random, navigator: {}, document: { visibilityState: "visible" },
      location: { href: "http://phone.test/" }, BroadcastChannel: undefined, console: { error: () => undefined, warn: () => undefined, log: () => undefined },
    };
    return NAMES.map((name) => (name === "globalThis" ? world : world[name]));
  }
  request(method, path, headers, body, resolve, reject) {
    if (this.dead) return;
    const id = ++this.count;
    const data = body === undefined || body === null ? null : typeof body === "string" ? Buffer.from(body) : Buffer.from(body.buffer ?? body, body.byteOffset ?? 0, body.byteLength);
    this.requests.set(id, { id, method, path, headers, body: data === null ? null : data.toString("base64"), resolve, reject });
  }
  fetch(path, { method = "GET", headers = {}, body } = {}) {
    return new Promise((resolve, reject) => this.request(method, path, headers, body, (answer) => {
      const empty = method === "HEAD" || answer.status === 204 || answer.status === 304;
      resolve(new Response(empty ? null : Buffer.from(answer.body, "base64"), { status: answer.status, headers: answer.headers }));
    }, () => reject(new TypeError("Failed to fetch"))));
  }
  xhr() {
    const page = this;
    return class {
      upload = {};
      headers = {};
      open(method, path) { Object.assign(this, { method, path }); }
      setRequestHeader(name, value) { this.headers[name] = value; }
      getResponseHeader(name) { return this.answer.headers[Object.keys(this.answer.headers).find((known) => known.toLowerCase() === name.toLowerCase())] ?? null; }
      abort() { this.onabort?.(); }
      send(body) {
        page.request(this.method, this.path, this.headers, body, (answer) => {
          Object.assign(this, { answer, status: answer.status });
          this.onload();
        }, () => this.onerror());
      }
    };
  }
  /** Lets the page work until it waits for an answer, has nothing to do, or is dead. */
  async rest(done = () => true) {
    for (let turn = 0; turn < 200_000; turn++) {
      if (this.dead) return;
      if (done() && this.code.atRest() && (!this.code.busy() || this.requests.size > 0)) return;
      await new Promise((go) => setImmediate(go));
    }
    throw new Error("the page never came to rest");
  }
  /** One call of the page's code; what it throws is an answer too. It may end by waiting for the network. */
  async call(work) {
    let result;
    let over = false;
    const before = this.count;
    const calling = (async () => work())();
    calling.then((value) => (result = { value }), (error) => (result = { error: error.code ?? error.name ?? String(error), detail: String(error.message).slice(0, 200) })).finally(() => (over = true));
    await this.rest(() => over || this.count > before);
    return { ...(result ?? {}), ...this.said() };
  }
  said() {
    const requests = [...this.requests.values()].map(({ id, method, path, headers, body }) => {
      if (this.told.has(id)) return { id };
      this.told.add(id);
      return { id, method, path, headers, body };
    });
    return { requests, dead: this.dead, busy: !this.dead && this.code.busy(), heard: this.code.heard(), safe: this.code.calledSafe(), joined: this.code.joined() };
  }
}

function randomOn(phone) {
  phone.random = (array) => {
    if (array.byteLength > 4096) return array.fill(7); // the reserve: its bytes never matter here
    for (let at = 0; at < array.length; at++) array[at] = Math.floor(phone.chance() * 256);
    return array;
  };
  phone.uuid = () => {
    const hex = [...phone.random(new Uint8Array(16))].map((byte, at) => (at === 6 ? (byte & 15) | 64 : at === 8 ? (byte & 63) | 128 : byte).toString(16).padStart(2, "0")).join("");
    return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
  };
}

const commands = {
  clear: () => (phones.clear(), pages.clear(), {}),
  phone: (given) => (newPhone(given), randomOn(phones.get(given.phone)), {}),
  open: async ({ phone, page }) => {
    const opened = new Page(phones.get(phone));
    pages.set(page, opened);
    let ready = false;
    let failed = null;
    opened.code.open().then(() => (ready = true), (error) => (ready = true, failed = String(error)));
    for (let turn = 0; !ready && !opened.dead && turn < 100_000; turn++) await new Promise((go) => setImmediate(go));
    return failed ? { error: failed, ...opened.said() } : opened.said();
  },
  close: ({ page }) => {
    const closed = pages.get(page);
    if (closed) closed.dead = true;
    pages.delete(page);
    return {};
  },
  note: ({ page, job, text }) => pages.get(page).call(() => pages.get(page).code.note(job, text)),
  /** Two tabs of one phone write at the same moment. */
  together: async ({ tabs, job, texts }) => ({ said: await Promise.all(tabs.map((page, at) => commands.note({ page, job, text: texts[at] }))) }),
  photo: ({ page, job, data }) => pages.get(page).call(() => pages.get(page).code.photo(job, new Uint8Array(Buffer.from(data, "base64")))),
  wake: ({ page, why }) => pages.get(page).call(() => pages.get(page).code.wake(why)),
  enrol: ({ page, code, label }) => pages.get(page).call(() => pages.get(page).code.enrol(code, label)),
  answer: ({ page, id, answer }) => pages.get(page).call(() => {
    const { resolve, reject } = pages.get(page).requests.get(id);
    pages.get(page).requests.delete(id);
    answer === null ? reject() : resolve(answer);
    return new Promise((go) => setImmediate(go));
  }),
  arm: ({ page, writes, refusal }) => {
    if (writes !== undefined) pages.get(page).writesLeft = writes;
    if (refusal !== undefined) pages.get(page).refusal = refusal;
    return {};
  },
  clock: ({ phone, wallMs, sinceMs }) => {
    const moved = phones.get(phone);
    if (wallMs !== undefined) moved.wallMs += wallMs;
    if (sinceMs !== undefined) { moved.sinceMs += sinceMs; moved.wallMs += sinceMs; }
    return {};
  },
  dump: ({ page }) => pages.get(page).call(() => pages.get(page).code.dump()),
  snapshot: async ({ phone, page }) => pages.get(page).call(async () => {
    const rows = await pages.get(page).code.snapshot();
    phones.get(phone).snapshot = { rows, items: new Map(phones.get(phone).items) };
    return {};
  }),
  /** An older copy of the data comes back; the pages that were open are gone. */
  rollback: async ({ phone, page }) => {
    const moved = phones.get(phone);
    moved.factory = new IDBFactory();
    moved.items = new Map(moved.snapshot.items);
    const filling = new Page(moved);
    await filling.code.fill(moved.snapshot.rows);
    return commands.open({ phone, page });
  },
};

process.on("unhandledRejection", (error) => {
  // A dead page's promises end nowhere; anything else is a fault of the page.
  if (error?.name !== "PageDied") process.stderr.write(`unhandled: ${error?.stack ?? error}\n`);
});
for await (const line of createInterface({ input: process.stdin })) {
  const { do: name, ...given } = JSON.parse(line);
  let answer;
  try {
    answer = await commands[name](given);
  } catch (error) {
    answer = { broke: `${error.stack}` };
  }
  process.stdout.write(`${JSON.stringify(answer)}\n`);
}

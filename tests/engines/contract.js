// The body of a function that tries what the storage code takes for granted of IndexedDB, on a database of its own.
const name = `contract-${Math.random()}`;
const answers = {};
const open = (version) => new Promise((done, failed) => {
  const asking = indexedDB.open(name, version);
  asking.onupgradeneeded = () => {
    for (const store of ["a", "b"]) if (!asking.result.objectStoreNames.contains(store)) asking.result.createObjectStore(store);
  };
  asking.onsuccess = () => done(asking.result);
  asking.onerror = failed;
});
const ended = (tx) => new Promise((done) => {
  tx.oncomplete = () => done("complete");
  tx.onabort = () => done("abort");
});
const got = (db, store, key) => new Promise((done) => {
  const asking = db.transaction(store).objectStore(store).get(key);
  asking.onsuccess = () => done(asking.result);
});
const strict = (db, stores) => db.transaction(stores, "readwrite", { durability: "strict" });
const db = await open(1);

let tx = strict(db, ["a", "b"]);
tx.objectStore("a").put("gone", 1);
const second = tx.objectStore("b").put("gone", 1);
second.onsuccess = () => tx.abort();
const how = await ended(tx);
answers["aborted write is gone"] = how === "abort" && (await got(db, "a", 1)) === undefined && (await got(db, "b", 1)) === undefined;

tx = strict(db, ["a"]);
const order = [];
tx.objectStore("a").put("x", 2).onsuccess = () => order.push("success");
await ended(tx).then(() => order.push("complete"));
answers["saved after complete only"] = order.join() === "success,complete";

tx = strict(db, ["a", "b"]);
tx.objectStore("a").put("both", 3);
tx.objectStore("b").put("both", 3);
await ended(tx);
answers["two stores, one write"] = (await got(db, "a", 3)) === "both" && (await got(db, "b", 3)) === "both";

const bytes = crypto.getRandomValues(new Uint8Array(60000));
const large = new Uint8Array(3000000).map((_, at) => bytes[at % 60000]);
tx = strict(db, ["a"]);
tx.objectStore("a").put({ mime: "image/jpeg", data: large.buffer }, 4);
await ended(tx);
const back = new Uint8Array((await got(db, "a", 4)).data);
answers["bytes come back equal"] = back.length === large.length && back.every((byte, at) => byte === large[at]);

tx = strict(db, ["a", "b"]);
tx.objectStore("b").put("first", 5);
tx.objectStore("a").add("again", 3);
const refused = await ended(tx);
answers["duplicate add aborts all"] = refused === "abort" && (await got(db, "b", 5)) === undefined;

const numbers = [];
const write = async () => {
  const one = strict(db, ["a"]);
  const store = one.objectStore("a");
  const reading = store.get("head");
  reading.onsuccess = () => {
    const next = (reading.result ?? 0) + 1;
    numbers.push(next);
    store.put(next, "head");
  };
  await ended(one);
};
await Promise.all(Array.from({ length: 20 }, write));
answers["gapless numbers under 20 writers"] = numbers.sort((a, b) => a - b).every((number, at) => number === at + 1);

db.onversionchange = () => db.close();
const newer = await open(2);
answers["second connection closes for a newer version"] = newer.version === 2;
newer.close();
await new Promise((done) => (indexedDB.deleteDatabase(name).onsuccess = done));
return answers;

/** The door to the phone's data, open to a test that drives a real browser, and what such a test needs inside the page. */
import * as bench from "../../../frontend/src/store/bench";

/** "saved", or the code of the refusal. */
const outcome = (work: Promise<unknown>) => work.then(() => "saved", (error: unknown) => (error instanceof bench.BenchError ? error.shown.code : String(error)));

const random = (size: number) => Array.from({ length: Math.ceil(size / 65_536) }, () => crypto.getRandomValues(new Uint8Array(65_536)));

/** Text that does not compress, of about so many characters. */
const noise = (length: number) => btoa(random(length).map((part) => String.fromCharCode(...part)).join("")).slice(0, length);

/** A file as a picker hands it over. */
function fileOf(base64: string, type: string): Blob {
  return new Blob([Uint8Array.from(atob(base64), (char) => char.charCodeAt(0))], { type });
}

/** Opens the database beside the app and works in one transaction; resolves when it completed. */
function inStore<T>(name: string, mode: IDBTransactionMode, work: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    const opening = indexedDB.open("benchtrail");
    opening.onerror = failed;
    opening.onsuccess = () => {
      const transaction = opening.result.transaction(name, mode);
      const request = work(transaction.objectStore(name));
      transaction.oncomplete = () => (opening.result.close(), done(request.result));
      transaction.onerror = failed;
    };
  });
}

/** A photo's bytes as they lie in the store, in base64. */
async function keptPhoto(sha256: string): Promise<string> {
  const row = await inStore<{ data: ArrayBuffer }>("photos", "readonly", (store) => store.get(sha256));
  return btoa(Array.from(new Uint8Array(row.data), (byte) => String.fromCharCode(byte)).join(""));
}

/** Changes a stored pack behind the app's back. */
async function damagePack(sha256: string, from: string, to: string): Promise<void> {
  const row = await inStore<{ text: string }>("packs", "readonly", (store) => store.get(sha256));
  if (!row.text.includes(from)) throw new Error(`the pack does not hold ${from}`);
  await inStore("packs", "readwrite", (store) => store.put({ ...row, text: row.text.replace(from, to) }));
}

/** Writes large notes until the reserve is spent, then one more note and a photo; what became of each. */
async function fillUp(job: string) {
  const note = (text: string) => outcome(bench.record(job, "NoteWritten", { step: null, text }));
  const told: string[] = [];
  while (told.length < 150 && bench.storage.value.reserve !== "spent") told.push(await note(noise(87_000)));
  told.push(await note("after"));
  const photo = new Blob([new Uint8Array([0xff, 0xd8, 0xff, 0xe0]), ...random(6_000_000)]);
  const photos = await outcome(bench.addPhoto(job, null, photo, ""));
  const { reserve, problem } = bench.storage.value;
  return { told: [...new Set(told)], photos, reserve, problem: problem?.code };
}

const mark: unknown = import.meta.env["VITE_MARK"];
const opened = bench.openBench();
opened.catch(() => undefined); // a test asks how it ended; until it does, a refusal is nobody's fault
Object.assign(window, { bench, opened, mark, outcome, noise, fileOf, keptPhoto, damagePack, fillUp });

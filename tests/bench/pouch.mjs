// The same notes and photos from one PouchDB to a CouchDB-compatible server, both in memory, over the link: pouch.mjs serve | send.
//   serve: prints its port; on each line of standard input prints how many documents it has.
//   send: told {url, notes, photos} on standard input (photos as files); prints the milliseconds when it was done.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { createInterface } from "node:readline";
import { join } from "node:path";

const require = createRequire(join(process.argv[3], "package.json"));
const parts = ["pouchdb-adapter-memory", "pouchdb-adapter-http", "pouchdb-replication", "pouchdb-mapreduce"];
const PouchDB = parts.reduce((made, name) => made.plugin(require(name)), require("pouchdb-core"));

if (process.argv[2] === "serve") {
  const InMemory = PouchDB.defaults({ adapter: "memory" });
  const app = require("express")();
  app.use("/", require("express-pouchdb")(InMemory, { mode: "minimumForPouchDB", inMemoryConfig: true }));
  const jobs = new InMemory("jobs");
  const server = app.listen(0, "127.0.0.1", () => console.log(server.address().port));
  for await (const _ of createInterface({ input: process.stdin })) {
    const rows = (await jobs.allDocs()).rows.map((row) => row.id);
    console.log(JSON.stringify({ notes: rows.filter((id) => id.startsWith("note")).length, photos: rows.filter((id) => id.startsWith("photo")).length }));
  }
} else {
  const { url, notes, photos } = JSON.parse(readFileSync(0, "utf8"));
  const local = new PouchDB("phone", { adapter: "memory" });
  await local.bulkDocs(notes.map((note, at) => ({ _id: `note-${String(at).padStart(4, "0")}`, ...note })));
  for (const [at, file] of photos.entries()) {
    await local.put({ _id: `photo-${String(at).padStart(4, "0")}`, _attachments: { photo: { content_type: "image/jpeg", data: readFileSync(file) } } });
  }
  console.log("ready");
  const start = performance.now();
  const result = await local.replicate.to(url);
  console.log(JSON.stringify({ ms: performance.now() - start, written: result.docs_written, failed: result.doc_write_failures }));
}

// Builds the front end into dist/: the pages, then the service worker with the SHA-256 of every shell file baked in, then its kill switch.
// Prints what the phone has to load at its first visit, gzipped, and fails above the limit.
//
// node build.mjs [OUT [PAGES]]: OUT is the folder to build into (dist), PAGES the folder of index.html and desk.html (this one). The
// browser tests of the data layer build a page of their own this way, around the same store and the same worker.
import { createHash } from "node:crypto";
import { readFile, readdir, rm, writeFile } from "node:fs/promises";
import { join, relative, resolve, sep } from "node:path";
import { gzipSync } from "node:zlib";
import { build } from "vite";

// Every screen, rule and message of the phone in one piece, so that nothing is ever fetched in the middle of a job. A first visit
// over 1.6 Mbit/s takes half a second for it; a later start reads it from the phone and hardly depends on it.
const SHELL_LIMIT_GZ = 100 * 1024;
// The numbers: every calculation with its screens, drawings and messages, in two pieces behind dynamic imports: what is worked out at
// the bench, and service, times, kit and tools. No step of a job needs them, so they do not hold up the first screen; the worker keeps
// them with the shell, by hash, so they open offline and are never of another version. Their own limits keep them well below the shell.
// What a job has beside its steps (the way out, the picture of what comes off, what else is due), and the screens that no job needs (joining a
// dealer, settings, about), are a third piece of the same kind.
const PIECES = [
  { name: "the numbers", entry: "src/screens/numbers/rooms.tsx", limit: 60 * 1024 },
  { name: "service and kit", entry: "src/screens/numbers/service-rooms.tsx", limit: 24 * 1024 },
  { name: "beside the job", entry: "src/screens/beside/rooms.tsx", limit: 24 * 1024 },
];
// The icons are read by the phone's system when the app is installed, with a connection; the app itself never shows them.
const NOT_SHELL = [/^\/sw(-off)?\.js$/, /^\/version\.json$/, /^\/desk\.html$/, /^\/icon-[\w-]+\.png$/];
const root = import.meta.dirname;
const dist = resolve(process.argv[2] ?? join(root, "dist"));
const pages = resolve(process.argv[3] ?? root);
const sha256 = (data) => createHash("sha256").update(data).digest("hex");

async function filesUnder(folder) {
  const entries = (await readdir(folder, { recursive: true, withFileTypes: true })).filter((entry) => entry.isFile());
  const paths = entries.map((entry) => join(entry.parentPath, entry.name));
  return paths.map((path) => ({ path, url: "/" + relative(folder, path).split(sep).join("/") })).sort((a, b) => (a.url < b.url ? -1 : 1));
}

// What a page loads, and what that loads: the desk's files are not the phone's. `later`: also what it imports only when asked for.
function reachedFrom(manifest, entry, later = true, found = new Set()) {
  const chunk = manifest[entry];
  if (!chunk || found.has(chunk.file)) return found;
  for (const file of [chunk.file, ...(chunk.css ?? []), ...(chunk.assets ?? [])]) found.add(file);
  for (const next of [...(chunk.imports ?? []), ...((later && chunk.dynamicImports) || [])]) reachedFrom(manifest, next, later, found);
  return found;
}

const input = Object.fromEntries((await readdir(pages)).filter((name) => name.endsWith(".html")).map((name) => [name.slice(0, -5), join(pages, name)]));
const page = { outDir: dist, rollupOptions: { input } };
await build({ root: pages, configFile: join(root, "vite.config.ts"), publicDir: join(root, "public"), logLevel: "warn", build: page });
const manifest = JSON.parse(await readFile(join(dist, ".vite", "manifest.json"), "utf8"));
await rm(join(dist, ".vite"), { recursive: true });
const phone = reachedFrom(manifest, "index.html");
const atOnce = reachedFrom(manifest, "index.html", false);
const desk = reachedFrom(manifest, "desk.html");
const pieces = PIECES.map((piece) => ({ ...piece, gz: 0, files: reachedFrom(manifest, piece.entry, false) }));

const shell = [];
let gz = 0;
for (const { path, url } of await filesUnder(dist)) {
  const deskOnly = desk.has(url.slice(1)) && !phone.has(url.slice(1));
  if (NOT_SHELL.some((pattern) => pattern.test(url)) || deskOnly) continue;
  const data = await readFile(path);
  const later = phone.has(url.slice(1)) && !atOnce.has(url.slice(1));
  // what two pieces share counts for the first of them
  const piece = later && (pieces.find(({ files }) => files.has(url.slice(1))) ?? pieces[0]);
  if (piece) piece.gz += gzipSync(data).length;
  else gz += gzipSync(data).length;
  shell.push({ url: url === "/index.html" ? "/" : url, sha256: sha256(data) });
}
// The worker's own source counts too: a changed worker must never fill, or on failure empty, the shell that is in force.
const workerSource = await Promise.all((await filesUnder(join(root, "src", "sw"))).map(({ path }) => readFile(path)));
const version = sha256(JSON.stringify(shell) + workerSource.map(sha256).join()).slice(0, 16);

// The phone's screens of a job over a text at the desk: the same modules, with the data of this phone in memory in place of store/bench.
const inMemory = {
  name: "bench-in-memory",
  enforce: "pre",
  resolveId: (source, importer) => (/store\/bench$/.test(source) && !importer?.endsWith("bench-in-memory.ts") ? join(root, "src", "follow", "bench-in-memory.ts") : null),
};
const follow = { outDir: dist, emptyOutDir: false, manifest: false, rollupOptions: { input: { follow: join(root, "src", "follow", "follow.html") } } };
if (pages === root) await build({ root: join(root, "src", "follow"), configFile: join(root, "vite.config.ts"), publicDir: false, logLevel: "warn", plugins: [inMemory], build: follow });

const worker = { root, configFile: join(root, "vite.sw.config.ts"), logLevel: "warn", build: { outDir: dist } };
await build({ ...worker, mode: "production", define: { __SHELL__: JSON.stringify(shell), __VERSION__: JSON.stringify(version) } });
await build({ ...worker, mode: "off" });
await writeFile(join(dist, "version.json"), JSON.stringify({ version }) + "\n");

const kib = (bytes) => (bytes / 1024).toFixed(1);
console.log([`phone shell ${version}: ${shell.length} files, ${kib(gz)} KiB gzipped`, ...pieces.map((piece) => `${piece.name} ${kib(piece.gz)} KiB`)].join("; "));
for (const { name, gz: size, limit } of [{ name: "the phone shell", gz, limit: SHELL_LIMIT_GZ }, ...pieces]) {
  if (size > limit) throw new Error(`${name}: over the limit of ${limit / 1024} KiB gzipped`);
}

// Builds the front end into dist/: the pages, then the service worker with the SHA-256 of every shell file baked in.
import { createHash } from "node:crypto";
import { readFile, readdir, writeFile } from "node:fs/promises";
import { join, relative, sep } from "node:path";
import { build } from "vite";

const root = import.meta.dirname;
const dist = join(root, "dist");
await build({ root, configFile: join(root, "vite.config.ts"), logLevel: "warn" });

const shell = [];
for (const entry of (await readdir(dist, { recursive: true, withFileTypes: true })).filter((e) => e.isFile())) {
  const path = join(entry.parentPath, entry.name);
  const url = "/" + relative(dist, path).split(sep).join("/");
  if (url === "/sw.js" || url.includes("desk")) continue;
  shell.push({ url: url === "/index.html" ? "/" : url, sha256: createHash("sha256").update(await readFile(path)).digest("hex") });
}
shell.sort((a, b) => (a.url < b.url ? -1 : 1));
const version = createHash("sha256").update(JSON.stringify(shell)).digest("hex").slice(0, 16);
await build({
  root,
  configFile: join(root, "vite.sw.config.ts"),
  logLevel: "warn",
  define: { __SHELL__: JSON.stringify(shell), __VERSION__: JSON.stringify(version) },
});
await writeFile(join(dist, "version.json"), JSON.stringify({ version }) + "\n");

// Bundles page.ts with the front end's own build into one script `Page` that can be started any number of times: build_page.mjs ROOT OUT
import { dirname, basename, join } from "node:path";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [root, out] = process.argv.slice(2);
const front = join(root, "frontend");
const { build } = await import(pathToFileURL(createRequire(join(front, "package.json")).resolve("vite")).href);
// The worker that makes small pictures runs in browsers only.
const withoutWorkers = {
  name: "without-workers", enforce: "pre",
  resolveId: (id) => (id.includes("?worker") ? "\0no-worker" : null),
  load: (id) => (id === "\0no-worker" ? "export default '';" : null),
};
await build({
  root: front, configFile: false, logLevel: "error", plugins: [withoutWorkers],
  build: {
    outDir: dirname(out), emptyOutDir: false, minify: false, target: "es2022", copyPublicDir: false,
    lib: { entry: join(root, "tests/faults/phones/page.ts"), name: "Page", formats: ["iife"], fileName: () => basename(out) },
  },
});

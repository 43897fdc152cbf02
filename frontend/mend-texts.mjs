// What one press of a mend makes of a text, without a browser: for tests that prove mends with the checker itself.
//
// node mend-texts.mjs FILE: FILE holds JSON `[{text, finding, map}]`; answers on stdout `[{words, text}]`, null where no mend is offered.
import { readFile } from "node:fs/promises";
import { createServer } from "vite";

const server = await createServer({ root: import.meta.dirname, configFile: false, logLevel: "error", appType: "custom", server: { middlewareMode: true, hmr: false, ws: false } });
const { mendOf } = await server.ssrLoadModule("/src/desk/workfiles/mends.ts");
const { thingsOfPack } = await server.ssrLoadModule("/src/desk/workfiles/things.ts");
const { readTree } = await server.ssrLoadModule("/src/desk/workfiles/yaml-text.ts");
const asked = JSON.parse(await readFile(process.argv[2], "utf8"));
const made = asked.map(({ text, finding, map }) => {
  const mend = mendOf(finding, readTree(text), thingsOfPack(map));
  return mend && { words: mend.words, text: mend.make(text) };
});
await server.close();
process.stdout.write(JSON.stringify(made));

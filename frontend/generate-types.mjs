/**
 * Makes src/generated/<schema>.ts from shared/schemas/<schema>.schema.json. Run after a schema was changed: `node generate-types.mjs`.
 * `node generate-types.mjs --check` writes nothing, names what is out of date and ends with 1 (tests/domain/test_schemas.py).
 */
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { compile } from "json-schema-to-typescript";

const SCHEMAS = join(import.meta.dirname, "../shared/schemas");
const TARGET = join(import.meta.dirname, "src/generated");
const PACK = "procedure-pack";

const schemas = readdirSync(SCHEMAS).filter((name) => name.endsWith(".schema.json")).map((name) => name.replace(".schema.json", "")).sort();

/** What other schemas take over from the procedure pack is imported from its file, so that a type stands once. */
function sharedWith(schema) {
  const taken = new Map();
  const local = JSON.parse(JSON.stringify(schema), (key, value) => {
    const found = typeof value?.$ref === "string" && value.$ref.match(/^procedure-pack\.schema\.json#\/\$defs\/(\w+)$/);
    if (!found) return value;
    const { title, tsType } = definition(found[1]);
    if (title) taken.set(title, title);
    return { tsType: title ?? tsType };
  });
  return { local, taken: [...taken.keys()].sort() };
}

const read = (name) => JSON.parse(readFileSync(join(SCHEMAS, `${name}.schema.json`), "utf8"));
const definition = (name) => read(PACK).$defs[name];

async function typesOf(name) {
  const { local, taken } = sharedWith(read(name));
  const text = await compile(local, name, {
    bannerComment: "", additionalProperties: false, unreachableDefinitions: true, ignoreMinAndMaxItems: true, style: { printWidth: 140 },
  });
  const banner = `// Made from shared/schemas/${name}.schema.json by generate-types.mjs. Change the schema, not this file.\n`;
  const imports = taken.length ? `import type { ${taken.join(", ")} } from "./${PACK}";\n` : "";
  return `${banner}${imports}\n${tidied(text)}`;
}

/** The generator's remarks about who refers to what are left out. */
function tidied(text) {
  return text
    .replace(/(?:\n \*)?\s*\n \* This (?:interface|type) was referenced by[\s\S]*?(?=\n \*\/)/g, "")
    .replace(/\/\*\*\s*\*\/\n/g, "").trim() + "\n";
}

const stale = [];
for (const name of schemas) {
  const path = join(TARGET, `${name}.ts`);
  const text = await typesOf(name);
  if (existsSync(path) && readFileSync(path, "utf8") === text) continue;
  stale.push(`src/generated/${name}.ts`);
  if (!process.argv.includes("--check")) writeFileSync(path, text);
}
for (const path of readdirSync(TARGET)) {
  if (path.endsWith(".ts") && !schemas.includes(path.replace(/\.ts$/, ""))) stale.push(`src/generated/${path} (no schema)`);
}
if (stale.length > 0) console.log(`${process.argv.includes("--check") ? "out of date" : "written"}: ${stale.join(", ")}`);
process.exitCode = process.argv.includes("--check") && stale.length > 0 ? 1 : 0;

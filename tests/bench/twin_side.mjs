// The TypeScript side of `twins`: reads one input a line, writes one result a line. Types are stripped by Node itself.
import { registerHooks } from "node:module";
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";

registerHooks({
  resolve: (name, context, next) => next(name.startsWith(".") && !/\.\w+$/.test(name) ? `${name}.ts` : name, context),
});
const folder = pathToFileURL(`${process.argv[2]}/`);
const { CALCULATIONS } = await import(new URL("calculations.ts", folder));
const { Refused } = await import(new URL("refused.ts", folder));
const calculation = CALCULATIONS[process.argv[3]];

function result(input) {
  try {
    return ["answer", calculation(input)];
  } catch (error) {
    return error instanceof Refused ? ["refused", error.code, error.values] : ["broke", String(error)];
  }
}

const nothing = (_, value) => (typeof value === "number" && !Number.isFinite(value) ? "not finite" : value);
let waiting = [];
for await (const line of createInterface({ input: process.stdin })) {
  waiting.push(JSON.stringify(result(JSON.parse(line)), nothing));
  if (waiting.length === 500) {
    process.stdout.write(`${waiting.join("\n")}\n`);
    waiting = [];
  }
}
if (waiting.length > 0) process.stdout.write(`${waiting.join("\n")}\n`);

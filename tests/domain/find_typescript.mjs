// Lets Node find `./guards` as `./guards.ts`, as the front end's build does.
import { existsSync } from "node:fs";
import { registerHooks } from "node:module";
import { fileURLToPath } from "node:url";

registerHooks({
  resolve(specifier, context, next) {
    if (!specifier.startsWith(".") || /\.\w+$/.test(specifier)) return next(specifier, context);
    const url = new URL(`${specifier}.ts`, context.parentURL);
    return existsSync(fileURLToPath(url)) ? { url: url.href, shortCircuit: true } : next(specifier, context);
  },
});

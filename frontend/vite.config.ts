import { defineConfig } from "vitest/config";

export default defineConfig({
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: "dist",
    emptyOutDir: true,
    target: "es2022",
    manifest: true,
    modulePreload: { polyfill: false },
    // every file by its own address and hash: nothing inline, so that the content security policy stays strict
    assetsInlineLimit: 0,
  },
  worker: { format: "es" },
  test: { environment: "node", include: ["src/**/*.test.{ts,tsx}"], setupFiles: ["src/screens/testing/last-effects.ts"] },
});

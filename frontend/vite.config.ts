import { defineConfig } from "vitest/config";

export default defineConfig({
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: "dist",
    emptyOutDir: true,
    target: "es2022",
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    rollupOptions: { input: { index: "index.html", desk: "desk.html" } },
  },
  test: { environment: "node", include: ["src/**/*.test.{ts,tsx}"], setupFiles: [] },
});

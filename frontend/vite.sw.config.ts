import { defineConfig } from "vite";

// A worker is one file at the root of the site, with nothing imported at run time. build.mjs says which worker, and gives its list of files.
export default defineConfig(({ mode }) => ({
  publicDir: false,
  build: {
    outDir: "dist",
    emptyOutDir: false,
    target: "es2022",
    lib: { entry: mode === "off" ? "src/sw/sw-off.ts" : "src/sw/service-worker.ts", name: "worker", formats: ["iife"], fileName: () => (mode === "off" ? "sw-off.js" : "sw.js") },
  },
}));

import { defineConfig } from "vite";

// The service worker is one file at the root of the site. Its list of shell files is put in by build.mjs.
export default defineConfig({
  publicDir: false,
  build: {
    outDir: "dist",
    emptyOutDir: false,
    target: "es2022",
    lib: { entry: "src/sw/service-worker.ts", formats: ["es"], fileName: () => "sw.js" },
  },
});

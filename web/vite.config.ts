import { defineConfig } from "vite";

// The pages are made in Python; this builds only their script and style sheet. The manifest tells Python the hashed names.
export default defineConfig({
  base: "/assets/",
  build: {
    outDir: "../src/volplane/faces/web/static",
    emptyOutDir: true,
    assetsDir: ".",
    manifest: "manifest.json",
    modulePreload: { polyfill: false },
    target: "es2022",
    rollupOptions: { input: "src/main.ts" },
  },
});

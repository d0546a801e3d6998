import { defineConfig } from "vite";

// The built files are embedded into the program: plain names with a hash, nothing inlined (the page's
// Content-Security-Policy allows own files only).
export default defineConfig({
  base: "/",
  build: {
    target: "es2022",
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 900,
  },
  server: {
    host: "127.0.0.1",
    // `npm run dev` against a running `kerfwright page --port 8765`; its token goes behind the # as usual.
    proxy: { "/api": { target: process.env["KERFWRIGHT_PAGE"] ?? "http://127.0.0.1:8765", changeOrigin: true, headers: { origin: "" } } },
  },
});

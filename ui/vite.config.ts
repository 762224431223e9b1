// Three builds of one interface: for the app's window (`dist`), for the tests' bridge in an ordinary
// browser (`dist-bridge`), and a development server on a made-up job (mode `fixture`, never built).
import { fileURLToPath } from "node:url";
import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vitest/config";

const doors: Record<string, string> = {
  bridge: "./src/ipc/bridge.ts",
  fixture: "./src/fixture/door.ts",
};

export default defineConfig(({ mode, command }) => {
  if (command === "build" && mode === "fixture") {
    throw new Error("The made-up job is for development only and is never built. Use build or build:bridge.");
  }
  const door = doors[mode] ?? "./src/ipc/window.ts";
  return {
    base: "./",
    plugins: [svelte()],
    resolve: { alias: { "#door": fileURLToPath(new URL(door, import.meta.url)) } },
    build: {
      outDir: mode === "bridge" ? "dist-bridge" : "dist",
      emptyOutDir: true,
      target: "es2022",
      modulePreload: { polyfill: false },
    },
    server: { port: 5183, strictPort: true },
    test: { include: ["tests/**/*.test.ts"], environment: "node" },
  };
});

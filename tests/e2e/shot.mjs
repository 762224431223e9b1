// node shot.mjs APP FILE [--phone]: opens the app on the demo job on a screen of its own and saves what it shows.
import { writeFileSync } from "node:fs";
import { Stage } from "./stage.mjs";

const [binary, file, ...more] = process.argv.slice(2);
const size = more.includes("--phone") ? { width: 412, height: 915 } : { width: 1280, height: 800 };
const stage = await Stage.open({ binary, ...size });
try {
  const app = await stage.start("--demo", ...more);
  await app.still();
  writeFileSync(file, await app.shot());
  await stage.stop();
  console.log(`${file}: ${size.width}×${size.height}`);
} finally {
  stage.close();
}

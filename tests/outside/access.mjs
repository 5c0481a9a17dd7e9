// What axe-core says of a page, for all checks in a real browser.

import assert from "node:assert/strict";
import fs from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { fileURLToPath } from "node:url";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const require = createRequire(path.join(root, "target/node/package.json"));
const axe = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

/** What axe-core calls serious or worse, in light and dark. */
export async function checkAccess(page, what) {
  await page.evaluate(axe);
  for (const colorScheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme });
    const { violations } = await page.evaluate(() => window.axe.run());
    const bad = violations.filter(({ impact }) => impact === "serious" || impact === "critical");
    const said = bad.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join("\n  ")}`);
    assert.deepEqual(said, [], `${what}, ${colorScheme}`);
  }
  await page.emulateMedia({ colorScheme: "light" });
}

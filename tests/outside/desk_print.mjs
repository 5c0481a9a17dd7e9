// The desk's Print page on a live printer, in a real browser and by keys: it says that something is printed
// when the printer says so and not before, prints a part of a document, and tells in words what a printer
// without paper, a paused and a refusing queue make of it.
//
//     node tests/outside/desk_print.mjs DESK PRINTER QUEUE [FOLDER FOR PICTURES]
//
// `printing_page.py` calls it: DESK is a folder with a line that is not printed, PRINTER the simulated printer's
// own, where a file `empty` means that it is out of paper and `arrived` is what was printed last, QUEUE its queue.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { fileURLToPath } from "node:url";

import { checkAccess } from "./access.mjs";
import { serve } from "./command.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const require = createRequire(path.join(root, "target/node/package.json"));
const { chromium } = require("playwright-core");
const [folder, printer, queue, pictures] = process.argv.slice(2);

/** Longer than anything takes, on whatever machine. */
const PATIENCE = 60_000;

const arrived = path.join(printer, "arrived");
const empty = path.join(printer, "empty");

/** Goes to something by Tab alone. */
async function tabTo(page, what) {
  for (let step = 0; step < 120; step += 1) {
    if (await what.evaluate((it) => it === document.activeElement)) return;
    await page.keyboard.press("Tab");
  }
  assert.fail(`Tab does not lead to ${what}`);
}

/** What stands beside the labels: their button, their pages, their printer, and what is told of them. */
function findSender(page) {
  const item = page.locator("#made li").filter({ hasText: "Open labels" });
  return {
    button: item.getByRole("button", { name: "Print labels" }),
    pages: item.locator("input.pages"),
    printer: item.locator("select"),
    told: item.locator(".told"),
  };
}

/** Presses the labels' key; what the page says when it says one of some words. */
async function printLabels(page, words) {
  const sender = findSender(page);
  await tabTo(page, sender.button);
  await page.keyboard.press("Enter");
  await sender.told.filter({ hasText: words }).waitFor({ timeout: PATIENCE });
  return sender.told;
}

/** Prints, and keeps what arrived under a name; nothing is printed that has not arrived. */
async function printAndKeep(page, name) {
  const told = await printLabels(page, /Printed|not|is (aborted|cancelled)/);
  assert.equal(await told.innerText(), "Printed: the printer says so.");
  assert.match((await told.getAttribute("class")) ?? "", /right/);
  fs.renameSync(arrived, path.join(folder, `${name}.pwg`));
}

/** Without paper nothing is called printed; with paper in it, it is. */
async function waitForPaper(page) {
  fs.writeFileSync(empty, "");
  const told = await printLabels(page, "out of paper");
  assert.doesNotMatch(await told.innerText(), /Printed/);
  assert.ok(!fs.existsSync(arrived), "nothing has arrived yet");
  await checkAccess(page, "a printer without paper");
  if (pictures) await page.screenshot({ path: path.join(pictures, "desk-print-empty.png") });
  fs.rmSync(empty);
  await told.filter({ hasText: "Printed: the printer says so." }).waitFor({ timeout: PATIENCE });
  fs.renameSync(arrived, path.join(folder, "all.pwg"));
}

/** What a queue that does not print is called, and that nothing arrives. */
async function refuse(page, stop, start, words) {
  execFileSync(stop, [queue]);
  const told = await printLabels(page, words);
  assert.match((await told.getAttribute("class")) ?? "", /wrong/);
  execFileSync(start, [queue]);
  assert.ok(!fs.existsSync(arrived));
}

async function main(page) {
  await page.waitForSelector("#tabs a");
  await page.keyboard.press("Alt+2");
  await tabTo(page, page.locator("#print-do:not([hidden])"));
  await page.keyboard.press("Enter");
  await page.locator("#made li").first().waitFor({ timeout: PATIENCE });

  await waitForPaper(page);
  const { pages, printer: choice } = findSender(page);
  await tabTo(page, pages);
  await page.keyboard.type("2-3");
  await printAndKeep(page, "part");
  await pages.fill("99");
  await printLabels(page, /There is no page 99: .* has \d+ pages/);
  await pages.fill("1");
  await refuse(page, "cupsdisable", "cupsenable", "is paused");
  if (pictures) await page.screenshot({ path: path.join(pictures, "desk-print-paused.png") });
  await refuse(page, "cupsreject", "cupsaccept", "takes no jobs");
  // The same printer without the queue, as another of the shop file's.
  await choice.selectOption("straight");
  await printAndKeep(page, "straight");
}

const { command, address } = await serve(
  [path.join(root, "target/debug/slipwright"), "desk", "--no-open", folder],
  folder,
);
// Chromium has no sandbox for root, as whom CI runs.
const args = process.getuid?.() === 0 ? ["--no-sandbox"] : [];
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args });
const page = await browser.newPage({ viewport: { width: 1360, height: 860 } });
try {
  await page.goto(address);
  await main(page);
} catch (error) {
  console.error(await page.evaluate(() => document.body.innerText));
  throw error;
} finally {
  command.kill();
  await browser.close();
}
process.exit(0);

// What the browser tests of the desk share: a desk that is started in a folder of its own, a browser, and what
// is waited for on its pages.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import { createRequire } from "node:module";
import os from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";

import { serve } from "./command.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const require = createRequire(path.join(root, "target/node/package.json"));
const { chromium } = require("playwright-core");
const program = path.join(root, "target/debug/slipwright");

/** What is open, to be told when something fails. */
const open = [];

/** The desks that were started, to be ended whatever happens. */
const running = [];

/** Where pictures go, if they are wanted. */
const pictures = process.argv[2];

/** Longer than anything takes, on whatever machine. */
const PATIENCE = 30_000;

export const places = fs.mkdtempSync(path.join(os.tmpdir(), "desk-"));
export const sample = (name) => fs.readFileSync(path.join(root, "samples", name), "utf8");

/** A folder with some files. */
export function makeFolder(name, files) {
  const folder = path.join(places, name);
  fs.mkdirSync(folder);
  for (const [file, text] of Object.entries(files)) fs.writeFileSync(path.join(folder, file), text);
  return folder;
}

/** What a command says in a folder. */
export function run(folder, ...words) {
  return execFileSync(program, words, { cwd: folder, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
}

/** Starts a desk; its address and its process. `before` are words before the program's own. */
export function start(folder, more = [folder], before = []) {
  const words = [...before, program, "desk", "--no-open", ...more];
  const env = { ...process.env, HOME: folder };
  return serve(words, folder, { env, keep: (command) => running.push(command) });
}

export const until = (page, test, value) => page.waitForFunction(test, value, { timeout: PATIENCE });
export const says = (page, words) =>
  until(page, (words) => document.getElementById("said").textContent.includes(words), words);
export const tells = (page, words) =>
  until(page, (words) => document.getElementById("verdict")?.textContent.includes(words), words);

/** The state as the pages get it. */
export const stateOf = (page) => page.evaluate(() => fetch("/state").then((answer) => answer.json()));

/** Opens a page of the desk by its key. */
export async function openTab(page, number, name) {
  await page.keyboard.press(`Alt+${number}`);
  await until(page, (name) => document.getElementById("room").className === name, name);
}

/** Goes to something by Tab alone. */
export async function tabTo(page, selector) {
  for (let step = 0; step < 80; step += 1) {
    if (await page.evaluate((it) => document.activeElement?.matches(it), selector)) return;
    await page.keyboard.press("Tab");
  }
  assert.fail(`Tab does not lead to ${selector}`);
}

/** Takes pictures as wide as a desk and as a tablet, in light and dark, if pictures are wanted. */
export async function picture(page, name) {
  if (!pictures) return;
  const take = (more) => page.screenshot({ path: path.join(pictures, `${name}${more}.png`) });
  await take("");
  await page.setViewportSize({ width: 820, height: 1180 });
  await page.emulateMedia({ colorScheme: "dark" });
  await take("-tablet-dark");
  await page.emulateMedia({ colorScheme: "light" });
  await page.setViewportSize({ width: 1360, height: 860 });
}

/** Lets a file fall on the page. */
export async function drop(page, name, text) {
  await page.evaluate(
    ({ name, text }) => {
      const dataTransfer = new DataTransfer();
      dataTransfer.items.add(new File([text], name));
      const room = document.getElementById("room");
      room.dispatchEvent(new DragEvent("drop", { dataTransfer, bubbles: true, cancelable: true }));
    },
    { name, text },
  );
}

/** A browser. Chromium has no sandbox for root, as whom CI runs. */
export function launch(more = []) {
  const args = [...(process.getuid?.() === 0 ? ["--no-sandbox"] : []), ...more];
  return chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args });
}

/** Keeps a context's pages to be told of when something fails. */
export function watch(context) {
  open.push(context);
}

/** Runs a test; when it fails, what its pages show is told, and whatever happens its desks are ended. */
export async function watched(test) {
  try {
    await test();
  } catch (error) {
    for (const page of open.flatMap((context) => context.pages())) {
      console.error(`${page.url()}\n${await page.evaluate(() => document.body.innerText)}\n`);
    }
    throw error;
  } finally {
    for (const command of running) command.kill();
    fs.rmSync(places, { recursive: true, force: true });
  }
}

// The preview in a real browser: it follows a layout that is edited outside, through errors and back;
// findings and blocks lead to each other and to their lines; everything goes by keys; axe-core finds
// nothing serious in light and dark; what users wrote stays text. Says how long a save takes to be seen.
//
//     [SLIPWRIGHT=COMMAND] node tests/outside/preview.mjs [FOLDER FOR PICTURES]
//
// `SLIPWRIGHT` names another build than the unoptimised one of this checkout.

import assert from "node:assert/strict";
import fs from "node:fs";
import { createRequire } from "node:module";
import os from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";

import { checkAccess } from "./access.mjs";
import { serve } from "./command.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const require = createRequire(path.join(root, "target/node/package.json"));
const { chromium } = require("playwright-core");

/** Where pictures go, if they are wanted. */
const pictures = process.argv[2];

/** Longer than any save takes to be seen, on whatever machine. */
const PATIENCE = 20_000;

/** How many saves are timed. */
const SAVES = 51;

const folder = fs.mkdtempSync(path.join(os.tmpdir(), "preview-"));
const place = (/** @type {string} */ name) => path.join(folder, name);
const sample = (/** @type {string} */ name) => fs.readFileSync(path.join(root, "samples", name), "utf8");
const layout = fs.readFileSync(path.join(root, "layouts/label-4x6in.yaml"), "utf8");
const evening = JSON.parse(sample("evening.json"));

/** Markup and script in every text that a buyer, a shop or a seller writes. */
const evil = `</title></svg><img src=x onerror="window.run=1"><script>window.run=1</script>&"'`;

/** Starts the command; its address and how it is stopped. */
function start(orders, ...more) {
  const program = process.env.SLIPWRIGHT ?? path.join(root, "target/debug/slipwright");
  return serve([program, "preview", "mine.yaml", orders, "--no-open", ...more], folder);
}

/**
 * Saves a file; done when the page shows what became of it, its picture too, and says `words`. How many
 * milliseconds that took.
 */
async function save(page, name, text, how = fs.writeFileSync, words = "") {
  const shown = page.evaluate(
    ({ patience, words }) => {
      const before = document.documentElement.dataset.look;
      const isShown = () =>
        document.documentElement.dataset.look !== before &&
        document.getElementById("status").textContent.includes(words);
      return new Promise((resolve, reject) => {
        const painted = () => requestAnimationFrame(() => setTimeout(() => resolve(Date.now())));
        const observer = new MutationObserver(() => {
          if (!isShown()) return;
          observer.disconnect();
          painted();
        });
        observer.observe(document.documentElement, { attributes: true });
        setTimeout(() => reject(new Error("the save was not seen")), patience);
      });
    },
    { patience: PATIENCE, words },
  );
  // The page's answer that it waits now, so that nothing is missed.
  await page.evaluate(() => document.documentElement.dataset.look);
  const began = Date.now();
  how(place(name), text);
  return (await shown) - began;
}

/** Editors write beside the file and put the new one into its place. */
function saveByRenaming(file, text) {
  fs.writeFileSync(`${file}~`, text);
  fs.renameSync(`${file}~`, file);
}

/** Or take the old one away first. */
function saveWithBackup(file, text) {
  fs.renameSync(file, `${file}.bak`);
  fs.writeFileSync(file, text);
}

const until = (page, test, value) => page.waitForFunction(test, value, { timeout: PATIENCE });
const saysStatus = (page, words) =>
  until(page, (words) => document.getElementById("status").textContent.includes(words), words);

/** Takes a picture, if pictures are wanted. */
async function picture(page, name) {
  if (pictures) await page.screenshot({ path: path.join(pictures, `${name}.png`) });
}

/** A file edited outside, through errors and back. */
async function follow(page) {
  const paper = () => page.evaluate(() => document.querySelector(".sheet img").src);
  assert.equal(await page.locator(".paper").count(), 1);
  const times = [];
  for (let round = 0; round < SAVES; round += 1) {
    const how = [fs.writeFileSync, saveByRenaming, saveWithBackup][round % 3];
    // Every time something is elsewhere on the page.
    const text = layout.replace(/gap: 2$/m, `gap: 2.${1 + (round % 2)}`);
    assert.notEqual(text, layout);
    times.push(await save(page, "mine.yaml", text, how, "nothing wrong"));
  }
  const before = await paper();

  // Something on the page is wrong: it is drawn all the same, and the spot is ringed.
  await save(page, "mine.yaml", layout.replace(/gap: 2\n      height: 22/, "gap: 2\n      height: 3"));
  await saysStatus(page, "error");
  await until(page, () => document.querySelectorAll(".spot").length > 0);
  assert.notEqual(await paper(), before);
  await picture(page, "preview-faulty");

  // The finding leads to its line and block, by a click and by a key; the block leads to the finding.
  await page.keyboard.press("n");
  assert.match(await page.locator("#lines").innerText(), /mine\.yaml, line \d+/);
  assert.equal(await page.locator("#findings [aria-current]").count(), 1);
  assert.ok((await page.locator(".block.chosen").count()) > 0);
  const line = await page.locator("#lines .it").innerText();
  await page.locator("#blocks button").first().click();
  assert.notEqual(await page.locator("#lines .it").innerText(), line);
  await page.evaluate(() => {
    const faulty = document.querySelector(".spot");
    const same = (block) =>
      ["x", "y", "width"].every((key) => block.getAttribute(key) === faulty.getAttribute(key));
    const block = [...document.querySelectorAll(".block")].findLast(same);
    block.dispatchEvent(new MouseEvent("click", { bubbles: true }));
  });
  assert.equal(await page.locator("#findings [aria-current]").count(), 1);
  assert.equal(await page.locator("#lines .it").innerText(), line);
  await checkAccess(page, "a page with an error");

  // The layout cannot be read at all: the page before stays, and says so.
  const drawn = await paper();
  await save(page, "mine.yaml", layout.replace("down:", "dwon:"));
  await saysStatus(page, "as before the errors");
  assert.equal(await paper(), drawn);
  assert.match(await page.locator("figcaption").innerText(), /as it was before/);
  await checkAccess(page, "a layout that cannot be read");
  await picture(page, "preview-old");

  await save(page, "mine.yaml", layout);
  await saysStatus(page, "nothing wrong");
  assert.equal(await page.locator(".old, .spot").count(), 0);
  return times;
}

/** Everything that lies over a page, by keys alone. */
async function tools(page) {
  for (const [key, what] of [
    ["f", "svg.frames"],
    ["g", ".grid"],
    ["e", ".edge"],
    ["w", ".white"],
    ["d", "img.dots"],
  ]) {
    await page.keyboard.press(key);
    await until(page, (what) => document.querySelector(`.sheet ${what}, .sheet${what}`), what);
  }
  await picture(page, "preview-tools");
  // A dot of the head is a square of eight pixels at the largest scale.
  for (let step = 0; step < 12; step += 1) await page.keyboard.press("+");
  await until(page, () => {
    const picture = document.querySelector("img.dots");
    return picture && Math.abs(picture.clientWidth / picture.naturalWidth - 8) < 0.02;
  });
  await picture(page, "preview-dots");
  for (const key of ["f", "g", "e", "w", "d", "0"]) await page.keyboard.press(key);
  await until(page, () => !document.querySelector(".grid, .edge, .white, img.dots"));
  // With single keys off nothing happens.
  await page.getByRole("button", { name: "single keys" }).click();
  await page.keyboard.press("g");
  assert.equal(await page.locator(".grid").count(), 0);
  await page.getByRole("button", { name: "single keys" }).click();
}

/** Many parcels: side by side, the odd one, and one after the other. */
async function parcels(page) {
  await page.keyboard.press("2");
  await until(page, () => document.querySelectorAll(".paper img").length === 12);
  await checkAccess(page, "all parcels");
  await picture(page, "preview-all");
  await page.keyboard.press("3");
  await until(page, () => document.querySelectorAll(".paper").length === 1);
  const odd = await page.locator("figcaption").innerText();
  await page.keyboard.press("ArrowRight");
  await until(page, (odd) => document.querySelector("figcaption").textContent !== odd, odd);
}

/** A second tab listens through the first, and alone when that is closed. */
async function tabs(context, page, address) {
  const second = await context.newPage();
  await second.goto(new URL("/preview", address).href);
  await until(second, () => document.documentElement.dataset.look);
  await save(second, "mine.yaml", `${layout}# two tabs\n`);
  await page.close();
  await save(second, "mine.yaml", layout);
  return second;
}

/** What is markup elsewhere is text here. */
async function markup(context) {
  const orders = structuredClone(evening);
  orders.batch = evil;
  const order = orders.orders[0];
  Object.assign(order, { tag: evil.slice(0, 20), message: evil });
  Object.assign(order.ship_to, { name: evil, lines: [evil], city: evil });
  Object.assign(order.items[0], { title: evil, sku: evil.slice(0, 30) });
  fs.writeFileSync(place(`evil ${evil.replaceAll("/", "")}.json`), JSON.stringify(orders));
  const { command, address } = await start(`evil ${evil.replaceAll("/", "")}.json`);
  const page = await context.newPage();
  const said = [];
  page.on("console", (message) => said.push(message.text()));
  await page.goto(address);
  await until(page, () => document.documentElement.dataset.look);
  await page.keyboard.press("n");
  await page.keyboard.press("2");
  await save(page, "mine.yaml", layout.replace("down:", `"${evil.replaceAll('"', "")}":`));
  await page.keyboard.press("n");
  const found = await page.evaluate(() => ({
    run: window.run,
    images: [...document.images].filter((image) => !image.src.includes("/preview/pages/")).length,
    scripts: document.scripts.length,
  }));
  assert.deepEqual(found, { run: undefined, images: 0, scripts: 1 });
  assert.match(await page.locator("#findings").innerText(), /<script>/);
  assert.deepEqual(said, []);
  await page.close();
  command.kill();
}

async function main() {
  for (const name of ["shop.yaml", "evening.json"]) fs.writeFileSync(place(name), sample(name));
  fs.writeFileSync(place("one.json"), JSON.stringify({ orders: evening.orders.slice(0, 1) }));
  fs.writeFileSync(place("mine.yaml"), layout);
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    // Chromium has no sandbox for root, as whom CI runs.
    args: process.getuid?.() === 0 ? ["--no-sandbox"] : [],
  });
  const context = await browser.newContext({ viewport: { width: 1360, height: 860 } });
  const errors = [];
  context.on("weberror", (error) => errors.push(String(error.error())));
  const requests = new Set();
  context.on("request", (request) => requests.add(new URL(request.url()).hostname));

  const one = await start("one.json");
  let page = await context.newPage();
  await page.goto(one.address);
  await until(page, () => document.documentElement.dataset.look);
  await checkAccess(page, "one page");
  await picture(page, "preview");
  const times = await follow(page);
  await tools(page);
  page = await tabs(context, page, one.address);
  one.command.kill();
  await saysStatus(page, "was stopped");
  await page.close();

  const all = await start("evening.json");
  page = await context.newPage();
  await page.goto(all.address);
  await until(page, () => document.documentElement.dataset.look);
  await parcels(page);
  await page.setViewportSize({ width: 820, height: 1180 });
  await checkAccess(page, "a tablet");
  await picture(page, "preview-tablet");
  await page.emulateMedia({ colorScheme: "dark" });
  await picture(page, "preview-dark");
  all.command.kill();
  await markup(context);
  await browser.close();

  assert.deepEqual(errors, []);
  assert.deepEqual([...requests], ["127.0.0.1"]);
  times.sort((one, other) => one - other);
  const [least, middle, most] = [times[0], times[times.length >> 1], times.at(-1)];
  const within = times.filter((time) => time < 100).length;
  console.log(
    `${SAVES} saves of one page: the new picture is there after ${least} to ${most} ms, mostly ${middle}, ` +
      `${within} of them within 100 (${process.env.SLIPWRIGHT ? "build as named" : "unoptimised build"})`,
  );
}

try {
  await main();
} finally {
  fs.rmSync(folder, { recursive: true, force: true });
}
process.exit(0);

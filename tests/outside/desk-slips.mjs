// What goes wrong around the desk, in a real browser: orders that an export cancels or changes when all is printed,
// a cell that cannot be read, a postcode that is none, keys that come too early or in the wrong field.
//
//     node tests/outside/desk-slips.mjs [FOLDER FOR PICTURES]

import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";

import { checkAccess } from "./access.mjs";
import {
  drop,
  launch,
  makeFolder,
  openTab,
  picture,
  run,
  sample,
  says,
  start,
  tells,
  until,
  watch,
  watched,
} from "./desk-support.mjs";

const MAP = `rows:
  - {column: Status, is: [cancelled]}
fields:
  id: Order
  ship_to.name: Name
  ship_to.lines: [Street]
  ship_to.postcode: Postcode
  ship_to.city: Town
  ship_to.country: Country
  items.title: Item
  items.price: Price
`;
const HEAD = "Order,Status,Name,Street,Postcode,Town,Country,Item,Price\n";
const ROWS = [
  "TH-1,paid,Ada Fell,1 Quay,LS1 4AP,Oakhaven,GB,Ink,7.50\n",
  "TH-2,paid,Søren Müller,2 Quay,LS1 4AP,Oakhaven,GB,Nib,4.50\n",
  "TH-3,paid,Cleo Moor,3 Quay,LS1 4AP,Oakhaven,GB,Pen,90.00\n",
];

/** The export with some words in place of others. */
function exported(...changes) {
  return changes.reduce((text, [was, is]) => text.replace(was, is), HEAD + ROWS.join(""));
}

/** Opens the field's first find by some words. */
async function openCard(page, words) {
  await page.keyboard.type(words);
  await until(page, () => document.querySelectorAll("#finds [role=option]").length === 1);
  await page.keyboard.press("Enter");
  await page.waitForSelector("#card");
}

/** Where the focus is, in words. */
const focused = (page) => page.evaluate(() => document.activeElement?.textContent ?? "");

/** A seller who begins is asked about a postcode that is none of the country's; the country proposes the rest. */
async function begin(context) {
  const folder = makeFolder("begin", {});
  const { command, address } = await start(folder);
  const page = await context.newPage();
  await page.goto(address);
  await until(page, () => document.querySelectorAll("#first-country option").length > 200);
  const proposed = () =>
    page.evaluate(() => ["language", "currency"].map((it) => document.getElementById(`first-${it}`).value));
  assert.deepEqual(await proposed(), ["en", "GBP"]);
  await page.locator("#first-country").selectOption("DE");
  assert.deepEqual(await proposed(), ["de", "EUR"]);
  const answers = { name: "Tern Hollow Pens", street: "7 Saltings Lane", postcode: "1067", city: "Dresden" };
  for (const [name, answer] of Object.entries(answers)) await page.locator(`#first-${name}`).fill(answer);
  await checkAccess(page, "the first page with what it proposes");
  await picture(page, "desk-begin");
  await page.keyboard.press("Enter");
  await says(page, "1067");
  assert.ok(!fs.existsSync(path.join(folder, "shop.yaml")));
  await page.keyboard.press("Enter");
  await page.waitForSelector("#search", { state: "attached" });
  assert.match(fs.readFileSync(path.join(folder, "shop.yaml"), "utf8"), /currency: "EUR"\nlanguage: "de"\n$/);
  await page.close();
  command.kill();
}

/** A cell that cannot be read stops no other order. */
async function badCell(page, folder) {
  await drop(page, "orders.csv", exported(["Søren", "Sø\tren"]));
  await says(page, "something is wrong with 1 order");
  await until(page, () => document.getElementById("taken").textContent.includes("TH-2, line 3"));
  await checkAccess(page, "orders with a mistake");
  await picture(page, "desk-set-aside");
  await page.keyboard.press("Alt+r");
  await says(page, "2 new. The rows of 1 order are in set-aside-1.csv");
  const aside = fs.readFileSync(path.join(folder, "set-aside-1.csv"), "utf8");
  await drop(page, "set-aside-1.csv", aside.replace("\t", ""));
  await says(page, "1 new");
}

/** A weight that stands is typed over; a list does nothing before Enter. */
async function wrongKeys(page) {
  for (const [words, weight] of [
    ["ink", "70"],
    ["muller", "50"],
  ]) {
    await openCard(page, words);
    await page.keyboard.type(weight);
    await page.keyboard.press("Enter");
    await page.keyboard.type("n");
    await page.keyboard.press("Enter");
    await page.waitForSelector("#card", { state: "detached" });
  }
  await page.locator("#line .slip-face").first().click();
  await page.waitForSelector("#card");
  await page.keyboard.type("85");
  await page.keyboard.press("Enter");
  await says(page, "Noted for 1");
  await until(page, () => document.getElementById("line").textContent.includes("85 g"));
  await openCard(page, "cleo");
  await page.keyboard.type("33");
  await page.locator("#join").focus();
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  await until(page, () => document.getElementById("join-said").textContent.includes("cannot share"));
  const refused = await page.locator("#join-said").innerText();
  assert.ok(refused.includes("parcel 2") && !refused.includes("--"), refused);
  assert.equal(await page.locator("#field-weight").inputValue(), "33");
  await picture(page, "desk-join");
  await page.locator("#field-weight").focus();
  await page.keyboard.press("Enter");
  await page.keyboard.type("n");
  await page.keyboard.press("Enter");
  await page.waitForSelector("#card", { state: "detached" });
  await until(page, () => document.querySelectorAll("#line > li").length === 3);
}

/** The papers are made, and made again for what changed; the focus is on the new ones. */
async function makePapers(page, made) {
  await openTab(page, 2, "print");
  await until(page, () => document.querySelectorAll("#pages img").length > 0);
  await page.locator("#print-do").focus();
  await page.keyboard.press("Enter");
  await until(page, (made) => document.activeElement?.getAttribute("href")?.includes(made), made);
  assert.match(await focused(page), /^Open /);
  assert.ok(!(await page.locator("main").innerText()).includes("Everything is printed"));
}

/** What an export says of orders in the line stands on every page, through drops and reloads. */
async function calledOff(page) {
  await openTab(page, 1, "line-up");
  await drop(page, "later.csv", exported(["TH-2,paid", "TH-2,cancelled"], ["3 Quay", "33 Quay"]));
  const standing = (id) =>
    until(page, (id) => document.getElementById("notices").textContent.includes(id), id);
  await standing("TH-2");
  // The first export once more: what it says of TH-3 was replaced since, and does not come back.
  await drop(page, "first.csv", exported());
  await until(page, () => document.body.textContent.includes("TH-3 stays as it is"));
  await page.getByRole("button", { name: "Seen, put it away" }).click();
  await drop(page, "later.csv", exported(["TH-2,paid", "TH-2,cancelled"], ["3 Quay", "33 Quay"]));
  await page.reload();
  await standing("is in your line, 2");
  await standing("33 Quay");
  await checkAccess(page, "what exports say");
  await picture(page, "desk-called-off");
  await makePapers(page, "reprint-1");
  await openTab(page, 3, "match");
  await standing("TH-2");
  await page.keyboard.type("SW-C-53Y7-2ß3-96JC");
  await page.keyboard.press("Enter");
  await tells(page, "another keyboard");
  await openTab(page, 4, "hand-over");
  await until(page, () => document.getElementById("counter").textContent.includes("cancelled in the shop"));
  await picture(page, "desk-called-off-hand-over");
  await page.keyboard.press("Alt+t");
  await says(page, "TH-2 is taken off. Throw away the papers of 2");
  await until(page, () => !document.getElementById("notices").textContent.includes("TH-2"));
  await standing("TH-3");
  await page.getByRole("button", { name: "Seen, put these away" }).click();
  await until(page, () => document.getElementById("notices").hidden);
}

async function main() {
  const browser = await launch();
  const context = await browser.newContext({ viewport: { width: 1360, height: 860 }, locale: "en-GB" });
  const errors = [];
  watch(context);
  context.on("weberror", (error) => errors.push(String(error.error())));
  await begin(context);
  const shop = sample("shop.yaml");
  const folder = makeFolder("slips", { "shop.yaml": shop, "export-map.yaml": MAP });
  const { command, address } = await start(folder);
  const page = await context.newPage();
  await page.goto(address);
  await page.waitForSelector("#search", { state: "attached" });
  await badCell(page, folder);
  await wrongKeys(page);
  await makePapers(page, "sitting-1");
  await calledOff(page);
  assert.match(run(folder, "ledger", "history", "TH-2"), /leaves TH-2 out or calls it cancelled/);
  await browser.close();
  command.kill();
  assert.deepEqual(errors, []);
  console.log("mistakes around the desk end as they should");
}

await watched(main);

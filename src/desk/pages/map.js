// A map for an export that is not known yet: each field with its column, and the first orders as they will
// become, made anew at every change.

import { readOutcome, refusal } from "./acts.js";
import { make, makeButton } from "./dom.js";
import { aboutFile, makeFound } from "./found.js";
import { makeRules, partsOf, withoutEmptyParts } from "./map-rules.js";

/** @import { Outcome } from "./acts.js" */

/**
 * @typedef {object} Dropped
 * @property {number} drop
 * @property {string} name
 * @property {string} map the map as it is proposed
 * @property {string[]} fields all that a column can be
 * @property {Outcome | null} tried why the maps that there are do not fit
 */

/** How long the server is not asked while somebody types, in milliseconds. */
const PAUSE = 250;

/**
 * @param {HTMLElement} room
 * @param {Dropped} dropped
 * @param {(outcome: Outcome, map: string) => void} done what it was taken in by, too
 * @param {(outcome: Outcome) => void} refused
 * @param {() => void} away
 */
export function openMap(room, dropped, done, refused, away) {
  const lines = dropped.map.split("\n");
  const fields = make("div", { class: "fields" });
  const columns = make("datalist", { id: "columns" });
  for (const name of columnsOf(lines)) columns.append(make("option", { value: name }));
  const rows = make("ol", { class: "orders", "aria-label": "The first orders as they will become" });
  const found = make("div", { "aria-live": "polite" });
  const form = make("form", { id: "map-form", "aria-label": `The columns of ${dropped.name}` });
  const left = make("div", {}, make("h2", {}, `What the columns of ${dropped.name} are`), columns, fields);
  const right = make("div", {}, make("h2", {}, "The first orders as they will become"), rows, found);
  form.append(make("div", { class: "sides" }, left, right));
  const take = makeButton("Take it in with this map", () => send("/drop/take-in"));
  const rest = makeButton("Take in the rest, set these aside", () => send("/drop/rest"));
  rest.hidden = true;
  form.append(make("div", { class: "doing" }, take, rest, makeButton("Put away", away)));
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("keydown", (event) => {
    if (event.key === "Escape") away();
  });
  room.replaceChildren(form);
  const parts = partsOf(lines);
  const used = lines.map((line) => /^ {2}([\w.]+): /.exec(line)?.[1]);
  const free = dropped.fields.filter((name) => !used.includes(name));

  lines.forEach((line, at) => {
    if (isMarkOpen(line)) fields.append(makeMark(line, (becomes) => change(at, becomes)));
    const field = parts[at] === "fields" && /^ {2}([\w.]+): (.*)$/.exec(line);
    if (field) fields.append(makeField(field[1], field[2], (value) => change(at, `  ${field[1]}: ${value}`)));
    const left = parts[at] === "ignore" && /^#? {2}- (.*)$/.exec(line);
    if (left) fields.append(makeLeft(left[1], free, (becomes) => change(at, leftLine(left[1], becomes))));
  });

  fields.append(
    makeMore(free, (name) => {
      const at = lines.push(movedLine(name, "")) - 1;
      return makeField(name, "", (value) => change(at, movedLine(name, value)));
    }),
  );

  fields.append(...makeRules(lines, parts, change));

  let timer = 0;
  let turn = 0;

  /**
   * @param {number} at
   * @param {string} line
   */
  function change(at, line) {
    lines[at] = line;
    clearTimeout(timer);
    timer = window.setTimeout(() => send("/drop/try"), PAUSE);
  }

  /** @param {"/drop/try" | "/drop/take-in" | "/drop/rest"} where */
  async function send(where) {
    const mine = ++turn;
    const map = gather(lines);
    const body = JSON.stringify({ drop: dropped.drop, map });
    const answer = await fetch(where, { method: "POST", body }).catch(() => null);
    const outcome = answer?.ok ? await answer.json() : await readOutcome(answer);
    if (mine !== turn) return;
    if (where !== "/drop/try" && outcome.answer) return done(outcome, map);
    const remarks = outcome.remarks.filter((/** @type {any} */ it) => it.message);
    found.replaceChildren(makeFound(remarks.slice(0, 12), aboutFile(dropped.name)));
    if (outcome.exit !== 0 && remarks.length === 0)
      found.append(make("p", { class: "doubt" }, refusal(outcome)));
    if (where !== "/drop/try") return refused(outcome);
    const orders = /** @type {any[]} */ (outcome.orders ?? []);
    rows.replaceChildren(...orders.map((order) => makeOrder(order)));
    // Some orders are good and some are not.
    rest.hidden = outcome.exit === 0 || orders.length === 0;
  }

  send("/drop/try");
  /** @type {HTMLElement | null} */ (fields.querySelector("input"))?.focus();
}

/**
 * The map as it stands: a field whose column was taken out says nothing, and a column that became a field
 * stands with the others.
 * @param {string[]} lines
 */
function gather(lines) {
  const said = withoutEmptyParts(lines).filter((line) => !/^→? {2}[\w.]+: *$/.test(line));
  const moved = said.filter((line) => line.startsWith(MOVED)).map((line) => line.slice(MOVED.length));
  const rest = said.filter((line) => !line.startsWith(MOVED));
  const at = rest.indexOf("fields:") + 1;
  return [...rest.slice(0, at), ...moved, ...rest.slice(at)].join("\n");
}

/** What marks a line that belongs elsewhere in the map. */
const MOVED = "→";

/**
 * The line of a column that no field was found for.
 * @param {string} column
 * @param {string} becomes a field, `-` to leave it out, nothing while it is not decided
 */
function leftLine(column, becomes) {
  if (becomes === "-") return `  - ${column}`;
  return becomes ? movedLine(becomes, column) : `#  - ${column}`;
}

/**
 * The line of a field that the proposal had no column for.
 * @param {string} field
 * @param {string} value its column
 */
function movedLine(field, value) {
  return `${MOVED}  ${field}: ${value}`;
}

/**
 * Whether a line leaves open what stands before decimals.
 * @param {string} line
 */
function isMarkOpen(line) {
  return line.startsWith("#decimal: ");
}

/**
 * The question what stands before decimals, where the file does not tell.
 * @param {string} line
 * @param {(becomes: string) => void} changed
 */
function makeMark(line, changed) {
  const example = /"([^"]*)"/.exec(line)?.[1] ?? "a price";
  const choice = make("select", { id: "map-decimal" });
  choice.append(make("option", { value: "" }, `${example}: not decided`));
  choice.append(make("option", { value: "point" }, `a point stands before decimals, as in 12.50`));
  choice.append(make("option", { value: "comma" }, `a comma stands before decimals, as in 12,50`));
  choice.addEventListener("change", () => changed(choice.value ? `decimal: ${choice.value}` : line));
  return make("div", { class: "field" }, make("label", { for: "map-decimal" }, "decimals"), choice);
}

/**
 * The columns that a map names.
 * @param {string[]} lines
 */
function columnsOf(lines) {
  const parts = partsOf(lines);
  const names = lines.flatMap((line, at) => {
    const left = parts[at] === "ignore" && /^#? {2}- (.*)$/.exec(line);
    const value = /^ {2}[\w.]+: (.*)$/.exec(line)?.[1] ?? (left ? left[1] : "");
    const inside = /^\[(.*)\]$/.exec(value) ?? /column: ([^,}]*)/.exec(value);
    return inside ? inside[1].split(", ") : [value];
  });
  return [...new Set(names.filter(Boolean))];
}

/**
 * @param {string} name
 * @param {string} value
 * @param {(value: string) => void} changed
 */
function makeField(name, value, changed) {
  const id = `map-${name}`;
  const input = make("input", { id, type: "text", list: "columns", autocomplete: "off" });
  input.value = value;
  input.addEventListener("input", () => changed(input.value));
  return make("div", { class: "field" }, make("label", { for: id }, fieldWords(name)), input);
}

/**
 * A column that no field was found for.
 * @param {string} name
 * @param {string[]} free the fields that have no column
 * @param {(becomes: string) => void} changed
 */
function makeLeft(name, free, changed) {
  const id = `left-${name}`;
  const choice = make("select", { id });
  choice.append(make("option", { value: "" }, "not decided"), make("option", { value: "-" }, "left out"));
  for (const field of free) choice.append(make("option", { value: field }, fieldWords(field)));
  choice.addEventListener("change", () => changed(choice.value));
  return make("div", { class: "field" }, make("label", { for: id }, `column ${name}`), choice);
}

/**
 * What gives a column to a field that has none: a column that stands elsewhere above can be its too.
 * @param {string[]} free the fields that have no column
 * @param {(name: string) => HTMLElement} add the row of a field
 */
function makeMore(free, add) {
  const choice = make("select", { id: "map-more" });
  choice.append(make("option", { value: "" }, "choose a field"));
  for (const field of free) choice.append(make("option", { value: field }, fieldWords(field)));
  const label = make("label", { for: "map-more" }, "another field");
  const part = make("div", { class: "field" }, label, choice);
  choice.addEventListener("change", () => {
    if (!choice.value) return;
    const row = add(choice.value);
    part.before(row);
    choice.selectedOptions[0].remove();
    choice.value = "";
    row.querySelector("input")?.focus();
  });
  return part;
}

/** What fields hold other than a field of the order, and how their names begin on the page. */
const GROUPS = {
  ship_to: "to",
  items: "item",
  parcel: "parcel",
  tax: "tax",
  carrier_label: "carrier's label",
};

/**
 * A field as people call it.
 * @param {string} name
 */
export function fieldWords(name) {
  const [group, field] = name.includes(".") ? name.split(".") : ["", name];
  const words = {
    id: "order number",
    lines: "street",
    qty: "count",
    weight_g: "weight",
    hs: "customs code",
    size_mm: "size",
    hazard: "declared goods",
    placed: "day of the order",
    shipping: "paid for shipping",
    discount: "discount",
    paid: "paid in all",
  };
  const word = field in words ? words[/** @type {keyof typeof words} */ (field)] : field;
  return group in GROUPS ? `${GROUPS[/** @type {keyof typeof GROUPS} */ (group)]}: ${word}` : word;
}

/**
 * An order as it will become.
 * @param {any} order
 */
function makeOrder(order) {
  const to = order.ship_to ?? {};
  const items = (order.items ?? []).map(
    (/** @type {any} */ item) => `${item.qty ?? 1} × ${item.title ?? item.sku ?? "?"}`,
  );
  const address = [to.name, to.company, ...(to.lines ?? []), to.postcode, to.city, to.region, to.country];
  const line = make("li", { class: "slip" }, make("strong", {}, String(order.id ?? "")));
  line.append(make("span", { class: "inside" }, address.filter(Boolean).join(", ")));
  line.append(make("span", { class: "inside" }, items.join(", ")));
  const amounts = ["service", "shipping", "discount", "paid"].filter((name) => order[name] !== undefined);
  const words = amounts.map((name) => `${fieldWords(name)} ${order[name]}`);
  for (const { name, amount } of order.tax ?? []) words.push(`${name ?? "tax"} ${amount}`);
  if (words.length > 0) line.append(make("span", { class: "inside" }, words.join(", ")));
  return line;
}

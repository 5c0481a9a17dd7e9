// The field that is always focused, and what its words find: waiting orders first, and where others are.

import { act, refusal } from "./acts.js";
import { keepingKeys } from "./ahead.js";
import { make } from "./dom.js";

/** @import { Order, State } from "./acts.js" */

/** How many finds are shown. */
const SHOWN = 7;

/**
 * @typedef {object} Search
 * @property {HTMLElement} part
 * @property {HTMLInputElement} field
 * @property {(state: State) => void} show
 * @property {() => void} clear
 */

/**
 * The field with its finds. Enter takes the chosen one, the first unless arrows choose another.
 * @param {(order: Order) => void} take
 * @param {(words: string) => void} say
 * @returns {Search}
 */
export function makeSearch(take, say) {
  const finds = make("ol", { id: "finds", role: "listbox", "aria-label": "Finds" });
  const field = make("input", { id: "search", type: "text", autocomplete: "off", spellcheck: "false" });
  for (const [name, value] of Object.entries({
    role: "combobox",
    "aria-controls": "finds",
    "aria-expanded": "true",
  }))
    field.setAttribute(name, value);
  field.placeholder = "a word of the item, the buyer or the town";
  const label = make("label", { for: "search" }, "What is in your hand?");
  const count = make("p", { id: "waits", class: "small" });
  const part = make("div", { class: "search" }, label, field, count, finds);

  /** @type {Order[]} */
  let found = [];
  let chosen = 0;
  let waiting = /** @type {Order[]} */ ([]);
  /** Why nothing could be looked for. */
  let failed = "";
  /** The words that were looked for last; Enter waits until they are found. */
  let looking = Promise.resolve();

  function draw() {
    chosen = Math.min(chosen, Math.max(found.length - 1, 0));
    finds.replaceChildren(...found.map((order, at) => makeFind(order, at, at === chosen, () => take(order))));
    if (found.length > 0) field.setAttribute("aria-activedescendant", `find-${chosen}`);
    else field.removeAttribute("aria-activedescendant");
  }

  /** Looks for the words: without any, the first that wait. */
  function look() {
    const words = field.value.trim();
    looking = looking.then(async () => {
      const outcome = words ? await act("list", { text: words }) : null;
      failed = outcome ? refusal(outcome) : "";
      const all = outcome ? (outcome.answer?.orders ?? []) : waiting;
      if (words !== field.value.trim()) return;
      const waits = (/** @type {Order} */ order) => (order.state === "waiting" ? 0 : 1);
      found = all
        .toSorted((/** @type {Order} */ a, /** @type {Order} */ b) => waits(a) - waits(b))
        .slice(0, SHOWN);
      draw();
    });
    return looking;
  }

  field.addEventListener("input", () => {
    chosen = 0;
    look();
  });
  field.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (step && found.length > 0) {
      event.preventDefault();
      chosen = (chosen + step + found.length) % found.length;
      draw();
    } else if (event.key === "Escape") {
      field.value = "";
      look();
    } else if (event.key === "Enter") {
      event.preventDefault();
      keepingKeys(async () => {
        await looking;
        if (found[chosen]) return take(found[chosen]);
        // That nothing was found may be older than the end of the server.
        failed = failed || refusal(await act("list", { text: field.value.trim() || "?" }));
        say(failed || "No order has these words. Drop the shop's export here to take it in.");
      });
    }
  });
  return {
    part,
    field,
    show(state) {
      waiting = state.waiting.answer?.orders ?? [];
      count.textContent = waiting.length === 1 ? "1 order waits" : `${waiting.length} orders wait`;
      look();
    },
    clear() {
      field.value = "";
      chosen = 0;
      look();
      field.focus();
    },
  };
}

/**
 * @param {Order} order
 * @param {number} at
 * @param {boolean} chosen
 * @param {() => void} take
 */
function makeFind(order, at, chosen, take) {
  const place = [order.town, order.country].filter(Boolean).join(" ");
  const item = make("li", { id: `find-${at}`, role: "option", "aria-selected": String(chosen) });
  item.append(make("strong", {}, order.name), ` ${place} `, make("span", { class: "small" }, order.id));
  item.append(make("span", { class: "inside" }, order.items.join(", ")));
  if (order.state !== "waiting") item.append(make("span", { class: "elsewhere" }, placeWords(order)));
  item.addEventListener("click", take);
  return item;
}

/**
 * Where an order is that does not wait.
 * @param {Order & { number?: number, sitting?: number, reason?: string }} order
 */
function placeWords(order) {
  if (order.state === "in line") return `lies in the line as ${order.number}`;
  if (order.may_be) return `held back: it may be ${order.may_be} once more`;
  return [order.state, order.reason].filter(Boolean).join(": ");
}

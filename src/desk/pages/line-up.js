// Line up: what is in your hand, and the line as it lies.

import { act, refusal } from "./acts.js";
import { counted, make } from "./dom.js";
import { makeSlip, parcelsOf } from "./line.js";

/** @import { Order, State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */

/** How many finds are shown. */
const SHOWN = 7;

export const lineUp = { name: "line-up", word: "Line up", open };

/**
 * @param {HTMLElement} room
 * @param {Desk} desk
 */
function open(room, desk) {
  const field = make("input", { id: "search", type: "text", autocomplete: "off", spellcheck: "false" });
  const label = make("label", { for: "search" }, "What is in your hand?");
  field.placeholder = "a word of the item, the buyer or the town";
  const finds = make("ol", { id: "finds", "aria-label": "Waiting orders" });
  const waits = make("p", { id: "waits", class: "small" });
  const line = make("ol", { id: "line", "aria-label": "The line" });
  room.append(make("div", { class: "hand" }, label, field, finds, waits), line);
  field.focus();

  /** @param {State} state */
  const show = (state) => {
    const found = findOrders(state, field.value).slice(0, SHOWN);
    finds.replaceChildren(...found.map((order) => makeFind(order, () => take(order))));
    waits.textContent = `${counted(state.waiting.answer?.orders.length ?? 0, "order")} waiting`;
    line.replaceChildren(...parcelsOf(state).map((parcel) => makeSlip(parcel, [parcel.orders.join(" + ")])));
  };
  field.addEventListener("input", () => {
    const state = desk.state();
    if (state) show(state);
  });
  field.addEventListener("keydown", (event) => {
    const state = desk.state();
    if (event.key === "Enter" && state) take(findOrders(state, field.value)[0]);
  });

  /** @param {Order | undefined} order */
  async function take(order) {
    if (!order) return desk.say("No waiting order has these words.", "wrong");
    const outcome = await act("line-up", { orders: [order.id] });
    if (outcome.exit !== 0) return desk.say(refusal(outcome), "wrong");
    const [parcel] = outcome.answer.parcels;
    field.value = "";
    desk.say(`${parcel.number} ${parcel.tag} is lined up.`, "right");
    await desk.refresh();
  }
  return { show };
}

/**
 * The waiting orders that have all the words.
 * @param {State} state
 * @param {string} words
 * @returns {Order[]}
 */
function findOrders(state, words) {
  const wanted = words.toLowerCase().split(/\s+/).filter(Boolean);
  const orders = state.waiting.answer?.orders ?? [];
  const text = (/** @type {Order} */ it) =>
    [it.id, it.name, it.town, it.country, ...it.items].join(" ").toLowerCase();
  return orders.filter((/** @type {Order} */ order) => wanted.every((word) => text(order).includes(word)));
}

/**
 * @param {Order} order
 * @param {() => void} take
 */
function makeFind(order, take) {
  const button = make(
    "button",
    { type: "button" },
    make("strong", {}, order.name),
    ` ${order.town} ${order.country}`,
  );
  button.append(
    make("span", { class: "what" }, order.items.join(", ")),
    make("span", { class: "small" }, order.id),
  );
  button.addEventListener("click", take);
  return make("li", {}, button);
}

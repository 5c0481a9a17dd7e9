// What exports say of orders that are here, above every page until it is put away: those that the shop calls
// cancelled, each with a button that takes it off, then those that changed while they lie in the line.

import { act, refusal } from "./acts.js";
import { counted, make, makeButton } from "./dom.js";
import { isOut, parcelsOf } from "./line.js";
import { fieldWords } from "./map.js";

/** @import { Parcel, State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */

/**
 * @typedef {object} News what is to be looked at of an order
 * @property {string} id
 * @property {string} state
 * @property {number} [number] its parcel
 * @property {string} [called_off] since when an export leaves it out
 * @property {Difference[]} [differences]
 * @property {string} [told] when the shop was told that it went, though it did not
 */

/** @typedef {{ path: string, was: string, is: string }} Difference */

/**
 * @typedef {object} Torn a parcel whose orders no longer agree
 * @property {number} number
 * @property {string} tag
 * @property {{ id: string, says: string }[]} orders those that do not agree with its first
 */

/** Why an order is taken off. */
const BECAUSE = "cancelled in the shop's export";

/**
 * @param {HTMLElement} part where it is shown
 * @param {Desk} desk
 */
export function makeNotices(part, desk) {
  // The key takes the first order off that does not go.
  document.addEventListener("keydown", (event) => {
    const first = part.querySelector("button[aria-keyshortcuts]");
    if (!event.altKey || event.code !== "KeyT" || !(first instanceof HTMLElement)) return;
    event.preventDefault();
    first.click();
  });

  let shown = "";

  /** @param {State} state */
  function show(state) {
    const news = newsOf(state);
    const torn = tornOf(state);
    const places = news.map((order) => placeNow(state, order));
    // What is shown already stays, with the focus in it.
    const text = JSON.stringify([news, places, torn]);
    if (text === shown) return;
    shown = text;
    const hadFocus = part.contains(document.activeElement);
    part.replaceChildren();
    part.hidden = news.length + torn.length === 0;
    const calledOff = news.filter((order) => order.called_off);
    const changed = news.filter((order) => order.differences?.length);
    if (torn.length > 0) part.append(makeTorn(torn));
    if (calledOff.length > 0) part.append(makeCalledOff(state, calledOff));
    if (changed.length > 0) part.append(makeChanged(state, changed));
    const believed = news.filter((order) => order.told);
    if (believed.length > 0) part.append(makeBelieved(believed));
    if (news.length > 0) part.append(makeButton("Seen, put these away", putAway));
    // Keys go on where there is something to do.
    if (hadFocus) (part.querySelector("button") ?? fieldOf())?.focus();
  }

  async function putAway() {
    const outcome = await act("seen", { all: true });
    if (outcome.exit === 0) desk.say(`Put away: ${counted(outcome.answer.seen.length, "order")}.`);
    else desk.say(refusal(outcome), "wrong");
    await desk.refresh();
  }

  /**
   * Parcels whose orders no longer agree, with what takes the one that does not out.
   * @param {Torn[]} parcels
   */
  function makeTorn(parcels) {
    const lines = parcels.flatMap(({ number, tag, orders }) =>
      orders.map(({ id, says }) => {
        const out = makeButton(`Take ${id} out of ${number} ${tag}`, async () => {
          const outcome = await act("part", { number, order: id });
          if (outcome.exit === 0) desk.say(`${id} waits again.`, "right");
          else desk.say(refusal(outcome), "wrong");
          await desk.refresh();
        });
        return make("li", { class: "wrong" }, make("strong", {}, id), ` in ${number} ${tag}: ${says}. `, out);
      }),
    );
    const list = make("ul", { class: "found", id: "disagree" }, ...lines);
    const head = make("h2", {}, "Their parcel is not printed and does not go: its orders no longer agree");
    return make("div", {}, head, list);
  }

  /**
   * Orders that an export does not send, with what takes each off.
   * @param {State} state
   * @param {News[]} orders
   */
  function makeCalledOff(state, orders) {
    const list = make("ul", { class: "found", id: "not-going" });
    let isFirst = true;
    for (const order of orders) {
      const { words, does } = placeNow(state, order);
      const line = make("li", { class: "wrong" }, make("strong", {}, order.id), ` ${words} `);
      if (does) line.append(makeOff(state, order.id, does, isFirst));
      if (does) isFirst = false;
      list.append(line);
    }
    return make("div", {}, make("h2", {}, "Cancelled in the shop's export, or left out by the map"), list);
  }

  /**
   * @param {State} state
   * @param {string} id
   * @param {string} does
   * @param {boolean} isFirst whether the key is its
   */
  function makeOff(state, id, does, isFirst) {
    const button = makeButton(does, async () => {
      button.disabled = true;
      const parcel = parcelOf(state, id);
      const outcome = await takeOff(id, parcel);
      if (outcome.exit === 0) desk.say(`${id} is taken off. ${papersWords(parcel)}`, "right");
      else desk.say(refusal(outcome), "wrong");
      await desk.refresh();
      button.disabled = false;
    });
    if (!isFirst) return button;
    button.append(make("kbd", { "aria-hidden": "true" }, "Alt T"));
    button.setAttribute("aria-keyshortcuts", "Alt+T");
    return button;
  }

  return { show };
}

/**
 * What is to be looked at.
 * @param {State} state
 * @returns {News[]}
 */
function newsOf(state) {
  return state.news.answer?.news ?? [];
}

/**
 * The parcels whose orders no longer agree.
 * @param {State} state
 * @returns {Torn[]}
 */
function tornOf(state) {
  return state.news.answer?.disagree ?? [];
}

/**
 * Whether an export calls an order of a parcel cancelled.
 * @param {State} state
 * @param {Parcel} parcel
 */
export function isCalledOff(state, parcel) {
  return newsOf(state).some((order) => order.called_off && parcel.orders.includes(order.id));
}

/** The field that a page asks its question in. */
function fieldOf() {
  return document.getElementById("search") ?? document.getElementById("scan");
}

/**
 * Orders that changed while they lie in the line.
 * @param {State} state
 * @param {News[]} orders
 */
function makeChanged(state, orders) {
  const lines = orders.map((order) => {
    const parcel = parcelOf(state, order.id);
    const where = parcel ? ` in ${parcel.number} ${parcel.tag}: ` : ": ";
    return make("li", {}, make("strong", {}, order.id), where, differenceWords(order.differences ?? []));
  });
  const list = make("ul", { class: "found", id: "changed" }, ...lines);
  return make("div", {}, make("h2", {}, "Changed since it was lined up"), list);
}

/**
 * Orders that the shop was told of, and that did not go.
 * @param {News[]} orders
 */
function makeBelieved(orders) {
  const lines = orders.map((order) => {
    const day = (order.told ?? "").slice(0, 10);
    return make("li", {}, make("strong", {}, order.id), ` was told to the shop on ${day}.`);
  });
  const list = make("ul", { class: "found", id: "believed" }, ...lines);
  return make("div", {}, make("h2", {}, "The shop believes that these went: tell it otherwise"), list);
}

/**
 * Takes an order off: with its parcel, or out of it when others go in it.
 * @param {string} id
 * @param {Parcel | undefined} parcel
 */
async function takeOff(id, parcel) {
  if (parcel && parcel.orders.length === 1) return act("take-off", { what: [parcel.pair], because: BECAUSE });
  if (parcel) {
    const parted = await act("part", { number: parcel.number, order: id });
    if (parted.exit !== 0) return parted;
  }
  return act("take-off", { order: [id], because: BECAUSE });
}

/**
 * The parcel of an order in the line.
 * @param {State} state
 * @param {string} id
 */
function parcelOf(state, id) {
  return parcelsOf(state).find((parcel) => parcel.orders.includes(id) && !isOut(parcel));
}

/**
 * Where an order is now, and the word for what takes it off.
 * @param {State} state
 * @param {News} order
 * @returns {{ words: string, does: string }}
 */
function placeNow(state, { id, state: is }) {
  if (is === "handed over") return { words: "was handed over.", does: "" };
  const parcel = parcelOf(state, id);
  if (!parcel) return { words: "waits to be lined up.", does: `Take ${id} off` };
  const named = `${parcel.number} ${parcel.tag}`;
  const does = parcel.orders.length === 1 ? `Take ${named} off` : `Take ${id} out of ${named}`;
  return { words: `is in your line, ${named}, ${parcel.state}.`, does };
}

/**
 * What has to be done with papers that are printed.
 * @param {Parcel | undefined} parcel
 */
function papersWords(parcel) {
  if (!parcel || parcel.papers.length === 0) return "";
  return parcel.orders.length === 1
    ? `Throw away the papers of ${parcel.number} ${parcel.tag}.`
    : `Print ${parcel.number} ${parcel.tag} again and weigh it.`;
}

/**
 * In what an order differs from what it said before.
 * @param {Difference[]} differences
 */
export function differenceWords(differences) {
  const told = differences.map(({ path, was, is }) => {
    const field = fieldWords(path.replace(/\[\d+\]/g, ""));
    if (!was) return `${field} is “${is}” now`;
    return is ? `${field} was “${was}”, is “${is}”` : `${field} was “${was}” and is gone`;
  });
  return `${told.join("; ")}.`;
}

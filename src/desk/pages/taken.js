// What came of a file that was taken in: orders that the shop calls cancelled first, with a button for each
// that is still here; then what changed, and everything that was found. It stays until it is put away.

import { act, refusal } from "./acts.js";
import { aboutWords, makeFound } from "./found.js";
import { isOut, parcelsOf } from "./line.js";
import { fieldWords } from "./map.js";
import { counted, make, makeButton } from "./dom.js";

/** @import { Outcome, Parcel, State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */

/**
 * @typedef {object} Arrived what became of an order
 * @property {string} id
 * @property {string} [state]
 * @property {number} [number] its parcel
 * @property {string} [reason]
 * @property {string} [since]
 * @property {string} [was] whom another order of its id is for, and what is in it
 * @property {string} [is] whom this one is for then
 * @property {string} [hazard_before] what was noted of its parcel's hazards and no longer holds
 * @property {{ path: string, was: string, is: string }[]} [differences]
 */

/** Why an order is taken off. */
const BECAUSE = "cancelled in the shop's export";

/** What was taken in last: another page of the desk may be opened in between. */
let last = /** @type {{ name: string, outcome: Outcome } | null} */ (null);

/**
 * @param {HTMLElement} part where it is shown
 * @param {Desk} desk
 */
export function makeTaken(part, desk) {
  /** Takes the first order off that does not go. */
  const keys = (/** @type {KeyboardEvent} */ event) => {
    const first = part.querySelector("button[aria-keyshortcuts]");
    if (!event.altKey || event.code !== "KeyT" || !(first instanceof HTMLElement)) return;
    event.preventDefault();
    first.click();
  };
  document.addEventListener("keydown", keys);

  let shown = "";

  /** @param {State} state */
  function show(state) {
    const places = last?.outcome.answer?.not_going?.map((/** @type {Arrived} */ it) =>
      placeNow(state, it.id),
    );
    // What is shown already stays, with the focus in it.
    const text = JSON.stringify([last, places]);
    if (text === shown) return;
    shown = text;
    part.replaceChildren();
    part.hidden = !last;
    if (!last) return;
    const { name, outcome } = last;
    const answer = outcome.answer ?? {};
    const remarks = outcome.remarks.filter((it) => it.message ?? it.said);
    part.append(make("h2", {}, outcome.exit === 0 ? `What ${name} says` : `What is wrong with ${name}`));
    const notGoing = /** @type {Arrived[]} */ (answer.not_going ?? []);
    if (notGoing.length > 0) part.append(makeNotGoing(state, notGoing));
    const another = /** @type {Arrived[]} */ (answer.another ?? []);
    if (another.length > 0) part.append(makeAnother(another));
    const told = [...(answer.changed ?? []).map(changedWords), ...(answer.gone ?? []).map(goneWords)];
    if (told.length > 0) part.append(make("ul", { class: "found" }, ...told.map((it) => make("li", {}, it))));
    // The seller has this file; its map and what it became lie elsewhere.
    const about = (/** @type {import("./acts.js").Remark} */ it) =>
      it.order || it.place?.file === name ? aboutWords(it) : "";
    part.append(makeFound(remarks, about));
    part.append(
      makeButton("Seen, put it away", () => {
        last = null;
        show(state);
      }),
    );
  }

  /**
   * Orders that do not go by what the export says, and what became of each since.
   * @param {State} state
   * @param {Arrived[]} orders
   */
  function makeNotGoing(state, orders) {
    const list = make("ul", { class: "found", id: "not-going" });
    let isFirst = true;
    for (const { id } of orders) {
      const { words, does } = placeNow(state, id);
      const line = make("li", { class: does ? "wrong" : "" }, make("strong", {}, id), ` ${words} `);
      if (does) line.append(makeOff(state, id, does, isFirst));
      if (does) isFirst = false;
      list.append(line);
    }
    const head = make("h3", {}, "Cancelled, or left out by the map, and still here");
    return make("div", {}, head, list);
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
      const outcome = await takeOff(id, parcelOf(state, id));
      if (outcome.exit === 0) desk.say(`${id} is taken off. ${papersWords(parcelOf(state, id))}`, "right");
      else desk.say(refusal(outcome), "wrong");
      await desk.refresh();
      button.disabled = false;
    });
    if (!isFirst) return button;
    button.append(make("kbd", { "aria-hidden": "true" }, "Alt T"));
    button.setAttribute("aria-keyshortcuts", "Alt+T");
    return button;
  }

  return {
    show,
    /**
     * @param {string} name the file
     * @param {Outcome} outcome
     */
    tell(name, outcome) {
      const { not_going, changed, gone, another } = outcome.answer ?? {};
      const told = [not_going, changed, gone, another, outcome.remarks].some((it) => it?.length > 0);
      last = told ? { name, outcome } : null;
      const state = desk.state();
      if (state) show(state);
    },
    close() {
      document.removeEventListener("keydown", keys);
    },
  };
}

/**
 * Takes an order off: with its parcel, or out of it when others go in it.
 * @param {string} id
 * @param {Parcel | undefined} parcel
 */
async function takeOff(id, parcel) {
  if (parcel && parcel.orders.length === 1)
    return act("take-off", { what: [String(parcel.number)], because: BECAUSE });
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
 * @param {string} id
 * @returns {{ words: string, does: string }}
 */
function placeNow(state, id) {
  const parcel = parcelOf(state, id);
  if (parcel?.state === "handed over") return { words: "was handed over.", does: "" };
  if (parcel) {
    const named = `${parcel.number} ${parcel.tag}`;
    const does = parcel.orders.length === 1 ? `Take ${named} off` : `Take ${id} out of ${named}`;
    return { words: `is in your line, ${named}, ${parcel.state}.`, does };
  }
  const orders = [...(state.waiting.answer?.orders ?? []), ...(state.held_back.answer?.orders ?? [])];
  if (orders.some((order) => order.id === id))
    return { words: "waits to be lined up.", does: `Take ${id} off` };
  return { words: "is taken off.", does: "" };
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
 * Orders that were not taken in, because others have their numbers.
 * @param {Arrived[]} orders
 */
function makeAnother(orders) {
  const lines = orders.map(({ id, was, is }) => {
    const words = ` is for ${is} here; the ${id} that you have is for ${was}.`;
    return make("li", { class: "wrong" }, make("strong", {}, id), words);
  });
  return make(
    "div",
    {},
    make("h3", {}, "Not taken in: another order has this number"),
    make("ul", { class: "found", id: "another" }, ...lines),
    make(
      "p",
      { class: "small" },
      "If they come from two shops, let one put a letter before its numbers, and drop its file again.",
    ),
  );
}

/** @param {Arrived} order */
function changedWords(order) {
  const where = order.number ? `, in parcel ${order.number}` : "";
  const noted = order.hazard_before;
  const again = noted
    ? ` “${noted}”, which you noted, no longer holds: open the parcel and declare it again.`
    : "";
  return `${order.id}${where} has changed: ${differenceWords(order)}${again}`;
}

/** @param {Arrived} order */
function goneWords(order) {
  const state = [order.state, order.reason].filter(Boolean).join(": ");
  const since = order.since ? ` on ${order.since.slice(0, 10)}` : "";
  const changed = order.differences?.length ? ` Changed since: ${differenceWords(order)}` : "";
  return `${order.id}: ${state}${since}; it does not go again.${changed}`;
}

/**
 * In what an order differs from what it said before.
 * @param {Arrived} order
 */
function differenceWords({ differences }) {
  const told = (differences ?? []).map(({ path, was, is }) => {
    const field = fieldWords(path.replace(/\[\d+\]/g, ""));
    if (!was) return `${field} is “${is}” now`;
    return is ? `${field} was “${was}”, is “${is}”` : `${field} was “${was}” and is gone`;
  });
  return `${told.join("; ")}.`;
}

/**
 * How many orders do not go and are still here, in words.
 * @param {any} answer
 */
export function notGoingWords(answer) {
  const count = answer?.not_going?.length ?? 0;
  const are = count === 1 ? "is" : "are";
  return count > 0
    ? ` ${counted(count, "order")} here ${are} cancelled or left out there: look at once.`
    : "";
}

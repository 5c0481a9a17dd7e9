// What came of a file that was taken in: waiting orders that changed, what went before, and everything that was
// found. It stays until it is put away. What concerns the line stands above every page (`notices`).

import { aboutFile, makeFound } from "./found.js";
import { counted, make, makeButton } from "./dom.js";
import { differenceWords } from "./notices.js";

/** @import { Outcome } from "./acts.js" */

/**
 * @typedef {object} Arrived what became of an order
 * @property {string} id
 * @property {string} [state]
 * @property {number} [number] its parcel
 * @property {string} [reason]
 * @property {string} [since]
 * @property {string} [was] whom another order of its id is for, and what is in it
 * @property {string} [is] whom this one is for then
 * @property {string} [as_of] when it came in as an older file has it
 * @property {string} [changed_since] when it changed after that
 * @property {number} [weight_before] what the scale said of its parcel, in grams, and no longer holds
 * @property {string} [hazard_before] what was noted of its parcel's hazards and no longer holds
 * @property {import("./notices.js").Difference[]} [differences]
 */

/** @typedef {{ drop: number, map: string }} Rest what the good orders of a file are taken in by */

/**
 * @typedef {(name: string, from: Rest, id: string) => Promise<void>} TakeSame takes a file in once more, in which an order
 * is the same as the one that has its number
 */

/** What was taken in last: another page of the desk may be opened in between. */
let last = /** @type {{ name: string, outcome: Outcome, rest?: Rest, from?: Rest } | null} */ (null);

/**
 * @param {HTMLElement} part where it is shown
 * @param {(name: string, rest: Rest) => HTMLElement} makeRest the button that takes the good orders in
 * @param {TakeSame} takeSame
 */
export function makeTaken(part, makeRest, takeSame) {
  function show() {
    part.replaceChildren();
    part.hidden = !last;
    if (!last) return;
    const { name, outcome, rest, from } = last;
    const told = rest ? [] : toldOf(outcome);
    part.append(make("h2", {}, outcome.exit === 0 ? `What ${name} says` : `What is wrong with ${name}`));
    const another = /** @type {Arrived[]} */ (outcome.answer?.another ?? []);
    const same = from && ((/** @type {string} */ id) => takeSame(name, from, id));
    if (another.length > 0) part.append(makeAnother(another, same));
    const older = /** @type {Arrived[]} */ (rest ? [] : (outcome.answer?.older ?? []));
    if (older.length > 0) part.append(makeOlder(older, same));
    if (told.length > 0) part.append(make("ul", { class: "found" }, ...told.map((it) => make("li", {}, it))));
    part.append(makeFound(remarksOf(outcome), aboutFile(name)));
    if (rest) part.append(makeRest(name, rest));
    part.append(
      makeButton("Seen, put it away", () => {
        last = null;
        show();
        document.getElementById("search")?.focus();
      }),
    );
  }

  show();
  return {
    /**
     * Shows what is wrong with some orders of a file, and the button that takes in the rest of them.
     * @param {string} name the file
     * @param {Outcome} outcome
     * @param {Rest} rest
     */
    ask(name, outcome, rest) {
      last = { name, outcome, rest };
      show();
      part.querySelector("button")?.focus();
    },
    /**
     * @param {string} name the file
     * @param {Outcome} outcome
     * @param {Rest} [from] what it is taken in once more by
     */
    tell(name, outcome, from) {
      const isNews =
        toldOf(outcome).length > 0 ||
        [outcome.answer?.another, outcome.answer?.older].some((orders) => orders?.length > 0) ||
        remarksOf(outcome).length > 0;
      last = isNews ? { name, outcome, from } : null;
      show();
    },
  };
}

/** @param {Outcome} outcome */
function remarksOf(outcome) {
  return outcome.remarks.filter((it) => it.message ?? it.said);
}

/**
 * What is told of single orders; those that changed in the line stand above the page, but for what was declared
 * or weighed of them and no longer holds.
 * @param {Outcome} outcome
 */
function toldOf({ answer }) {
  const changed = /** @type {Arrived[]} */ (answer?.changed ?? []).filter(
    (order) => !order.number || order.hazard_before || order.weight_before,
  );
  return [...changed.map(changedWords), ...(answer?.gone ?? []).map(goneWords)];
}

/**
 * Orders that were not taken in, because others have their numbers.
 * @param {Arrived[]} orders
 * @param {(id: string) => Promise<void>} [same] says that one is the order that has its number
 */
function makeAnother(orders, same) {
  const lines = orders.map(({ id, was, is }) => {
    const words = ` is for ${is} here; the ${id} that you have is for ${was}. `;
    const line = make("li", { class: "wrong" }, make("strong", {}, id), words);
    if (!same) return line;
    const button = makeButton("It is the same order", async () => {
      button.disabled = true;
      await same(id);
      button.disabled = false;
    });
    button.setAttribute("aria-label", `${id}: it is the same order, and says this now`);
    line.append(button);
    return line;
  });
  return make(
    "div",
    {},
    make("h3", {}, "Not taken in: another order has this number"),
    make("ul", { class: "found", id: "another" }, ...lines),
    make(
      "p",
      { class: "small" },
      "If they come from two shops, let one put a letter before its numbers, and drop its file again. If it is " +
        "the same order, what this file says holds from now on.",
    ),
  );
}

/**
 * Orders that the file has as they were before they changed.
 * @param {Arrived[]} orders
 * @param {(id: string) => Promise<void>} [same] takes what the file says of one
 */
function makeOlder(orders, same) {
  const minute = (/** @type {string | undefined} */ at) => (at ?? "").slice(0, 16).replace("T", " ");
  const lines = orders.map((order) => {
    const words =
      ` stays as it is: this file has it as it was on ${minute(order.as_of)}, before it changed on ` +
      `${minute(order.changed_since)}. `;
    const line = make("li", {}, make("strong", {}, order.id), words);
    if (!same) return line;
    const button = makeButton("Take what this file says", async () => {
      button.disabled = true;
      await same(order.id);
      button.disabled = false;
    });
    button.setAttribute("aria-label", `${order.id}: take what this file says`);
    line.append(button);
    return line;
  });
  return make("ul", { class: "found", id: "older" }, ...lines);
}

/** @param {Arrived} order */
function changedWords(order) {
  const where = order.number ? `, in parcel ${order.number}` : "";
  const noted = order.hazard_before;
  const again = noted
    ? ` “${noted}”, which you noted, no longer holds: open the parcel and declare it again.`
    : "";
  const weigh = order.weight_before
    ? ` The ${order.weight_before} g were of other contents: open the parcel and weigh it again.`
    : "";
  return `${order.id}${where} has changed: ${differenceWords(order.differences ?? [])}${again}${weigh}`;
}

/** @param {Arrived} order */
function goneWords(order) {
  const state = [order.state, order.reason].filter(Boolean).join(": ");
  const since = order.since ? ` on ${order.since.slice(0, 10)}` : "";
  const changed = order.differences?.length ? ` Changed since: ${differenceWords(order.differences)}` : "";
  return `${order.id}: ${state}${since}; it does not go again.${changed}`;
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

// The line as it lies on the bench: a slip a parcel, from left to right, wrapping like text.

import { draw, make } from "./dom.js";

/** @import { Computed, Order, Parcel, State } from "./acts.js" */

/**
 * The parcels of the open sitting, as they lie.
 * @param {State} state
 * @returns {Parcel[]}
 */
export function parcelsOf(state) {
  return state.line.answer?.parcels ?? [];
}

/**
 * What the rules make of a parcel; nothing for one that does not go.
 * @param {State} state
 * @param {number} number
 * @returns {Computed | undefined}
 */
export function computedOf(state, number) {
  return state.line.answer?.computed?.[String(number)];
}

/**
 * The orders of a parcel.
 * @param {State} state
 * @param {Parcel} parcel
 * @returns {Order[]}
 */
export function ordersOf(state, parcel) {
  const orders = /** @type {Order[]} */ (state.line.answer?.orders ?? []);
  return orders.filter((order) => parcel.orders.includes(order.id));
}

/** @param {Parcel} parcel */
export function isOut(parcel) {
  return parcel.state === "taken off" || parcel.state === "set aside";
}

/**
 * A time of day of one that the ledger tells.
 * @param {string} time
 */
export function clockOf(time) {
  return time.slice(11, 16);
}

/**
 * A parcel's slip: number, tag, what is inside, and its tally along the lower edge. What is missing is
 * written on it in words.
 * @param {State} state
 * @param {Parcel} parcel
 */
export function makeSlip(state, parcel) {
  const computed = computedOf(state, parcel.number);
  const slip = make("li", { class: `slip ${parcel.state.replace(" ", "-")}` });
  slip.dataset.number = String(parcel.number);
  const head = make("span", { class: "slip-head" }, make("span", { class: "number" }, String(parcel.number)));
  head.append(make("span", { class: "state" }, stateWords(parcel)));
  const isDone = isOut(parcel) || parcel.state === "matched" || parcel.state === "handed over";
  const button = make("button", { type: "button", class: "slip-face", tabindex: "-1" }, head);
  button.append(make(isDone ? "s" : "span", { class: "tag" }, parcel.tag));
  const orders = ordersOf(state, parcel);
  const items = orders.flatMap((order) => order.items).join(", ");
  if (!isOut(parcel)) {
    button.append(make("span", { class: "inside" }, items || parcel.orders.join(", ")));
    button.append(make("span", { class: "missing" }, missing(parcel, computed).join(" · ")));
  }
  slip.append(button);
  if (computed?.tally) slip.append(drawTally(computed.tally));
  return slip;
}

/**
 * What is still to be said of a parcel, in words.
 * @param {Parcel} parcel
 * @param {Computed | undefined} computed
 */
function missing(parcel, computed) {
  if (!computed || parcel.state === "handed over") return [];
  const weight = parcel.weight_g ?? computed.weight_g;
  return [
    weight
      ? `${weight} g`
      : parcel.weight_before
        ? `weigh it again, ${parcel.weight_before} g were of other contents`
        : `not weighed${computed.expected_weight ? `, should weigh ${computed.expected_weight}` : ""}`,
    computed.weight_doubt ? "weigh it again" : "",
    computed.hazard_open ? (parcel.hazard_before ? "declare it again" : "nothing declared yet") : "",
    computed.hazard_doubt ? "its order declares goods" : "",
    computed.service ? "" : "no service",
    parcel.tracking,
  ].filter(Boolean);
}

/** @param {Parcel} parcel */
function stateWords(parcel) {
  if (isOut(parcel)) return [parcel.state, parcel.reason].filter(Boolean).join(": ");
  if (parcel.state === "printed" && parcel.printed) return `printed ${clockOf(parcel.printed)}`;
  return parcel.state;
}

/**
 * A row of black and white cells, as it stands on the parcel's papers.
 * @param {string} cells a 1 for each black one
 */
export function drawTally(cells) {
  const drawing = draw("svg", { class: "tally", viewBox: `0 0 ${cells.length} 1`, "aria-hidden": "true" });
  drawing.setAttribute("preserveAspectRatio", "none");
  drawing.setAttribute("shape-rendering", "crispEdges");
  [...cells].forEach((cell, at) => {
    if (cell === "1") drawing.append(draw("rect", { x: at, y: 0, width: 1, height: 1 }));
  });
  return drawing;
}

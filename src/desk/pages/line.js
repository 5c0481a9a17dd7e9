// The line as it lies on the bench: a slip a parcel, from left to right.

import { draw, make } from "./dom.js";

/** @import { Parcel, State } from "./acts.js" */

/**
 * The parcels of the open sitting, as they lie.
 * @param {State} state
 * @returns {Parcel[]}
 */
export function parcelsOf(state) {
  return state.line.answer?.parcels ?? [];
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
 * A slip. What is missing is written where the number would go.
 * @param {Parcel} parcel
 * @param {string[]} notes what is said below its tag
 */
export function makeSlip(parcel, notes) {
  const slip = make("li", { class: `slip ${parcel.state.replace(" ", "-")}`, id: `parcel-${parcel.number}` });
  const head = make("p", { class: "slip-head" }, make("span", { class: "number" }, String(parcel.number)));
  head.append(make("span", { class: "state" }, stateWords(parcel)));
  const tag = make(
    isOut(parcel) || parcel.state === "handed over" ? "s" : "span",
    { class: "tag" },
    parcel.tag,
  );
  slip.append(head, tag);
  for (const note of notes) slip.append(make("p", { class: "note" }, note));
  return slip;
}

/** @param {Parcel} parcel */
function stateWords(parcel) {
  if (isOut(parcel)) return `${parcel.state}: ${parcel.reason ?? ""}`;
  if (parcel.state === "printed" && parcel.printed) return `printed ${clockOf(parcel.printed)}`;
  return parcel.state;
}

/**
 * A row of black and white cells, as it stands on the parcel's papers.
 * @param {string} cells a 1 for each black one
 */
export function drawTally(cells) {
  const drawing = draw("svg", {
    class: "tally",
    viewBox: `0 0 ${cells.length} 2`,
    preserveAspectRatio: "none",
  });
  drawing.setAttribute("aria-hidden", "true");
  [...cells].forEach((cell, at) => {
    if (cell === "1") drawing.append(draw("rect", { x: at, y: 0, width: 1, height: 2 }));
  });
  return drawing;
}

// The line as something to work on: slips that are opened, moved and taken off by keys, or dragged.

import { make } from "./dom.js";
import { makeSlip, parcelsOf } from "./line.js";

/** @import { Parcel, State } from "./acts.js" */

/**
 * @typedef {object} LineActs
 * @property {(parcel: Parcel) => void} open
 * @property {(number: number, before: number | null) => void} move before none is to the end
 * @property {(parcel: Parcel) => void} takeOff
 */

/**
 * @param {LineActs} acts
 * @param {HTMLElement} undo what takes the last thing back
 */
export function makeLine(acts, undo) {
  const list = make("ol", { id: "line", "aria-label": "Parcels as they lie" });
  const head = make("h2", { id: "line-head" }, "The line");
  const keys = make(
    "p",
    { class: "small" },
    "Arrows go along the line, Enter opens, Alt with an arrow moves, Delete takes off.",
  );
  const part = make("div", {}, make("div", { class: "bench-head" }, head, undo), list, keys);
  /** @type {Parcel[]} */
  let parcels = [];
  /** The parcel whose slip Tab leads to. */
  let here = 0;
  /** @type {number | null} */
  let chosen = null;

  /** @param {number} number */
  const slipOf = (number) =>
    /** @type {HTMLElement | null} */ (list.querySelector(`[data-number="${number}"] .slip-face`));

  function mark() {
    for (const slip of list.children) {
      const number = Number(/** @type {HTMLElement} */ (slip).dataset.number);
      slip.classList.toggle("chosen", number === chosen);
      slip.querySelector(".slip-face")?.setAttribute("tabindex", number === here ? "0" : "-1");
    }
  }

  /** @param {number} number */
  function focus(number) {
    here = number;
    mark();
    slipOf(number)?.focus();
  }

  /**
   * The parcel that one lies before after a step; none at the end.
   * @param {number} at
   * @param {number} step
   */
  function stepTo(at, step) {
    return step < 0 ? parcels[at - 1]?.number : parcels[at + 2]?.number;
  }

  list.addEventListener("keydown", (event) => {
    const at = parcels.findIndex((parcel) => parcel.number === here);
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (at < 0) return;
    if (step && event.altKey) {
      if (parcels[at + step]) acts.move(here, stepTo(at, step) ?? null);
    } else if (step) focus(parcels[at + step]?.number ?? here);
    else if (event.key === "Delete") acts.takeOff(parcels[at]);
    else return;
    event.preventDefault();
  });

  /**
   * A slip that can be opened and dragged.
   * @param {State} state
   * @param {Parcel} parcel
   */
  function lay(state, parcel) {
    const slip = makeSlip(state, parcel);
    slip.draggable = true;
    slip.querySelector("button")?.addEventListener("click", () => {
      here = parcel.number;
      acts.open(parcel);
    });
    slip.addEventListener("dragstart", (event) => {
      event.dataTransfer?.setData("text/x-slipwright-parcel", String(parcel.number));
    });
    slip.addEventListener("dragover", (event) => {
      if (event.dataTransfer?.types.includes("text/x-slipwright-parcel")) event.preventDefault();
    });
    slip.addEventListener("drop", (event) => {
      const number = Number(event.dataTransfer?.getData("text/x-slipwright-parcel"));
      if (!number || number === parcel.number) return;
      event.preventDefault();
      event.stopPropagation();
      acts.move(number, parcel.number);
    });
    return slip;
  }

  return {
    part,
    focus,
    /** @param {number | null} number */
    choose(number) {
      chosen = number;
      mark();
    },
    /** @param {State} state */
    show(state) {
      const focused = list.contains(document.activeElement);
      parcels = parcelsOf(state);
      head.textContent =
        parcels.length > 0 ? "The line" : "The line is empty. Enter in the field opens what it finds.";
      keys.hidden = parcels.length === 0;
      list.replaceChildren(...parcels.map((parcel) => lay(state, parcel)));
      if (!parcels.some((parcel) => parcel.number === here)) here = parcels[0]?.number ?? 0;
      mark();
      if (focused) slipOf(here)?.focus();
    },
  };
}

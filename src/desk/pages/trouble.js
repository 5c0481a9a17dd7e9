// What stands in place of every page when the ledger cannot be used: why, large, and nothing to be done here.

import { refusal } from "./acts.js";
import { make } from "./dom.js";

/** @import { State } from "./acts.js" */

export const trouble = { name: "trouble", word: "The ledger cannot be used", open };

/**
 * Why nothing can be done; nothing when all is well.
 * @param {State} state
 */
export function troubleOf(state) {
  return state.trouble ? refusal(state.trouble) : "";
}

/** @param {HTMLElement} room */
function open(room) {
  const why = make("p", { id: "trouble-why" });
  const part = make("section", { class: "trouble", role: "alert" }, make("h2", {}, trouble.word), why);
  part.append(
    make("p", {}, "Nothing can be done on these pages until it can. They go on by themselves then."),
  );
  room.append(part);
  return {
    /** @param {State} state */
    show(state) {
      why.textContent = troubleOf(state);
    },
  };
}

// Taking back what was done last: the button says what that is, and what was done on another page, or by a
// command, is taken back only when it is pressed once more.

import { act, quoted, refusal, wasAsked } from "./acts.js";
import { make, makeButton } from "./dom.js";
import { clockOf } from "./line.js";

/** @import { LastAct, State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */

/** The most things of one act that are named. */
const NAMED = 2;

/** The most letters that are shown of what was done. */
const LONGEST = 60;

/**
 * @param {Desk} desk
 * @param {object} how
 * @param {(last: LastAct) => Promise<unknown>} [how.takeBack] does it and says so
 * @param {(last: LastAct) => boolean} [how.isMeant] whether this page takes such an act back
 */
export function makeUndo(desk, { takeBack = (last) => undo(desk, last), isMeant = () => true } = {}) {
  const words = make("span");
  const button = makeButton("", () => press());
  button.append(words, make("kbd", { "aria-hidden": "true" }, "Ctrl Z"));
  button.id = "undo";
  button.setAttribute("aria-keyshortcuts", "Control+Z");
  /** @type {LastAct | null} */
  let last = null;
  /** The act of another page that was asked about. */
  let asked = 0;

  async function press() {
    // What was done a moment ago is not shown yet.
    await desk.refresh();
    if (!last) return desk.say("There is nothing that could be taken back.");
    if (!wasAsked(last.request) && asked !== last.act) {
      asked = last.act;
      return desk.say(
        `${saysOf(last)}: that was done at ${clockOf(last.at)}, not on this page. Undo once more to take it back all the same.`,
        "wrong",
      );
    }
    await takeBack(last);
  }

  return {
    button,
    press,
    /** @param {State} state */
    show(state) {
      const newest = state.line.answer?.last_act ?? null;
      last = newest && isMeant(newest) ? newest : null;
      button.hidden = !last;
      if (!last) return;
      const elsewhere = wasAsked(last.request) ? "" : `, not from here`;
      words.textContent = `Undo: ${shorten(saysOf(last))}${elsewhere}`;
    },
  };
}

/**
 * Takes an act back if it is still the last one, and says what it was.
 * @param {Desk} desk
 * @param {LastAct} last
 */
async function undo(desk, last) {
  const outcome = await act("undo", { only: last.act });
  if (outcome.exit === 0) desk.say(`Taken back: ${saysOf(last)}.`, "right");
  else desk.say(refusal(outcome), "wrong");
  await desk.refresh();
}

/**
 * What an act did.
 * @param {LastAct} last
 */
function saysOf({ says }) {
  const more = says.length > NAMED ? ` and ${says.length - NAMED} more` : "";
  return says.slice(0, NAMED).map(quoted).join(", ") + more;
}

/** @param {string} words */
function shorten(words) {
  return words.length > LONGEST ? `${words.slice(0, LONGEST - 1)}…` : words;
}

// Taking in what is dropped on the page: orders, or a shop's export.

import { readOutcome, refusal } from "./acts.js";
import { make } from "./dom.js";
import { openMap } from "./map.js";
import { makeTaken, notGoingWords } from "./taken.js";

/** @import { State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */

/**
 * @param {HTMLElement} room what files are dropped on
 * @param {HTMLElement} hand where a map is shown
 * @param {Desk} desk
 * @param {() => void} done
 */
export function makeDrop(room, hand, desk, done) {
  const file = make("input", { id: "file", type: "file", class: "aside" });
  const pick = make(
    "label",
    { for: "file", class: "pick" },
    "Drop the shop's export or orders here, or choose the file",
  );
  const map = make("div", { id: "map" });
  const part = make("section", { id: "taken", "aria-label": "What came of the file" });
  const taken = makeTaken(part, desk);
  hand.prepend(part);
  hand.append(make("div", { class: "drop" }, make("h2", {}, "Take in the first orders"), file, pick), map);

  /** @param {File} given */
  async function take(given) {
    desk.say(`Reading ${given.name} …`);
    map.replaceChildren();
    const address = `/drop?name=${encodeURIComponent(given.name)}`;
    const answer = await fetch(address, { method: "POST", body: given }).catch(() => null);
    if (!answer?.ok) return desk.say(refusal(await readOutcome(answer)), "wrong");
    const told = await answer.json();
    if (told.taken) return tell(told.taken, given.name);
    desk.say("This export is not known yet: look at what its columns become.");
    openMap(
      map,
      told,
      (outcome) => tell(outcome, given.name),
      () => {
        map.replaceChildren();
        desk.say("Put away: nothing was taken in.");
        done();
      },
    );
  }

  /**
   * @param {import("./acts.js").Outcome} outcome
   * @param {string} name the file
   */
  async function tell(outcome, name) {
    taken.tell(name, outcome);
    if (outcome.exit !== 0) return desk.say("Nothing was taken in: look at what is wrong with it.", "wrong");
    map.replaceChildren();
    const isWhole = !outcome.answer?.another?.length;
    desk.say(countWords(outcome.answer) + notGoingWords(outcome.answer), isWhole ? "right" : "wrong");
    await desk.refresh();
    // A card that was opened meanwhile keeps what is typed in it.
    if (!document.getElementById("card")) done();
  }

  const over = (/** @type {DragEvent} */ event) => {
    if (event.dataTransfer?.types.includes("Files")) event.preventDefault();
  };
  const drop = (/** @type {DragEvent} */ event) => {
    const given = event.dataTransfer?.files[0];
    if (!given) return;
    event.preventDefault();
    take(given);
  };
  document.addEventListener("dragover", over);
  document.addEventListener("drop", drop);
  file.addEventListener("change", () => {
    if (file.files?.[0]) take(file.files[0]);
    file.value = "";
  });
  return {
    /** @param {State} state */
    show(state) {
      taken.show(state);
      const nothing = (state.waiting.answer?.orders.length ?? 0) === 0;
      const wasNothing = hand.classList.contains("nothing");
      const isNothing = nothing && !state.line.answer;
      hand.classList.toggle("nothing", isNothing);
      // The question that was hidden takes the keys at once: news may show its finds before the answer is here.
      if (wasNothing && !isNothing && document.activeElement === document.body)
        document.getElementById("search")?.focus();
    },
    close() {
      document.removeEventListener("dragover", over);
      document.removeEventListener("drop", drop);
      taken.close();
    },
  };
}

/**
 * What became of the orders of a file.
 * @param {any} answer
 */
export function countWords(answer) {
  const kinds = {
    new: "new",
    changed: "changed",
    known: "known",
    gone: "gone before",
    held_back: "held back",
    another: "not taken in",
  };
  const counts = Object.entries(kinds).filter(([kind]) => answer[kind]?.length > 0);
  const words = counts.map(([kind, word]) => `${answer[kind].length} ${word}`).join(", ");
  return words ? `Orders: ${words}.` : "There was no order in it.";
}

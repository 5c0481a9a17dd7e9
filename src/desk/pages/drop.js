// Taking in what is dropped on the page: orders, or a shop's export.

import { post, readOutcome, refusal } from "./acts.js";
import { counted, make, makeButton } from "./dom.js";
import { openMap } from "./map.js";
import { makeTaken, notGoingWords } from "./taken.js";

/** @import { Outcome, State } from "./acts.js" */
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
  const taken = makeTaken(part, makeRest, takeSame);
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
    if (told.taken) return tell(told.taken, given.name, told.drop ? told : undefined);
    if (told.partly) return askRest(told);
    desk.say("This export is not known yet: look at what its columns become.");
    openMap(
      map,
      told,
      (outcome, map) => tell(outcome, given.name, { drop: told.drop, map }),
      () => desk.say("Nothing was taken in: look at what is wrong below.", "wrong"),
      () => {
        map.replaceChildren();
        desk.say("Put away: nothing was taken in.");
        done();
      },
    );
  }

  /**
   * Asks what becomes of the orders that something is wrong with.
   * @param {{ drop: number, name: string, map: string, partly: Outcome }} dropped
   */
  function askRest({ drop, name, map, partly }) {
    const count = counted(partly.answer.rows_aside.orders, "order");
    desk.say(`Nothing was taken in: something is wrong with ${count}.`, "wrong");
    taken.ask(name, partly, { drop, map });
  }

  /**
   * @param {string} name
   * @param {import("./taken.js").Rest} rest
   */
  function makeRest(name, rest) {
    const button = makeButton("Take in the rest, set these aside", async () => {
      button.disabled = true;
      await tell(await post("/drop/rest", rest), name, rest);
      button.disabled = false;
    });
    button.append(make("kbd", { "aria-hidden": "true" }, "Alt R"));
    button.setAttribute("aria-keyshortcuts", "Alt+R");
    return button;
  }

  /** @type {import("./taken.js").TakeSame} */
  async function takeSame(name, { drop, map }, id) {
    const outcome = await post("/drop/same", { drop, map, same: [id] });
    if (!outcome.answer) return desk.say(refusal(outcome), "wrong");
    await tell(outcome, name, { drop, map });
    part.querySelector("button")?.focus();
  }

  /**
   * @param {Outcome} outcome
   * @param {string} name the file
   * @param {import("./taken.js").Rest} [from] what it is taken in once more by
   */
  async function tell(outcome, name, from) {
    taken.tell(name, outcome, from);
    if (!outcome.answer) return desk.say("Nothing was taken in: look at what is wrong with it.", "wrong");
    map.replaceChildren();
    const isWhole = !outcome.answer?.another?.length;
    const words = [countWords(outcome.answer), asideWords(outcome.answer), notGoingWords(outcome.answer)];
    await desk.refresh();
    // A card that was opened meanwhile keeps what is typed in it.
    if (!document.getElementById("card")) done();
    desk.say(words.join(""), isWhole ? "right" : "wrong");
  }

  /** Takes in the rest, where that is asked. */
  const keys = (/** @type {KeyboardEvent} */ event) => {
    const rest = part.querySelector('[aria-keyshortcuts="Alt+R"]');
    if (!event.altKey || event.code !== "KeyR" || !(rest instanceof HTMLElement)) return;
    event.preventDefault();
    rest.click();
  };
  document.addEventListener("keydown", keys);
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
      document.removeEventListener("keydown", keys);
    },
  };
}

/**
 * What was set aside, in words.
 * @param {any} answer
 */
function asideWords({ rows_aside: aside }) {
  if (!aside) return "";
  const rows = `The rows of ${counted(aside.orders, "order")} are in ${aside.file}`;
  return ` ${rows} in the desk's folder: mend them and drop that file.`;
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

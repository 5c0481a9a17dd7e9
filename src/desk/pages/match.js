// Match: every label with its bench card, by a scanner, by a camera or by eye. What a scan is, and what is
// right, the ledger says; the page shows it so that it is seen from two metres.

import { act, refusal } from "./acts.js";
import { makeCamera } from "./camera.js";
import { make, makeButton } from "./dom.js";
import { isOut, parcelsOf } from "./line.js";
import { isLoud, playNotes, setLoud } from "./notes.js";
import { makeUndo } from "./undo.js";
import { showVerdict } from "./verdict.js";

/** @import { Outcome, Parcel, State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */
/** @import { Verdict } from "./verdict.js" */

/** Where what the last answer left open is kept, so that it outlives a reload. */
const OPEN = "slipwright-match";

export const match = { name: "match", word: "Match", open };

/**
 * @param {HTMLElement} room
 * @param {Desk} desk
 */
function open(room, desk) {
  const field = make("input", { id: "scan", type: "text", autocomplete: "off", spellcheck: "false" });
  field.placeholder = "a bench card or a label, either first; or undo, or finish";
  const verdict = make("section", { id: "verdict", role: "status", "aria-atomic": "true" });
  const left = make("ol", { id: "unmatched", "aria-label": "Not matched" });
  const count = make("h2", { id: "left-count" });
  const camera = makeCamera(scan, isHalfHeld);
  const loud = makeButton("", () => switchSound());
  loud.id = "loud";
  loud.setAttribute("aria-keyshortcuts", "Alt+S");
  // A match that is taken back is shown where it was shown.
  const undo = makeUndo(desk, { takeBack: () => take("undo"), isMeant: ({ by }) => by === "ledger match" });
  room.append(
    make("div", { class: "scan" }, make("label", { for: "scan" }, "Scan"), field),
    make("div", { class: "tools" }, undo.button, camera.button, loud),
    verdict,
    make("div", { class: "left" }, camera.picture, count, left),
  );
  field.focus();
  showSound();

  /** Scans are taken one after another, however fast they come. */
  let taken = Promise.resolve();

  /** @param {string} text */
  function scan(text) {
    taken = taken.then(() => take(text));
    return taken;
  }

  /** What was scanned before it is taken first. */
  function undoLast() {
    taken = taken.then(undo.press);
    return taken;
  }

  /** @param {string} text */
  async function take(text) {
    const { held, after } = getOpen();
    const outcome = await act("match", { scan: text, held, after });
    if (!outcome.answer) return tell({ verdict: "refused", good: false, says: refusal(outcome) });
    if (outcome.answer.before) return tell(readBefore(outcome));
    setOpen(outcome.answer);
    tell(outcome.answer.verdicts[0]);
  }

  /** @param {Parcel} parcel */
  async function matchByEye(parcel) {
    const outcome = await act("match", { "by-eye": [parcel.number] });
    const { number, tag } = parcel;
    if (outcome.exit !== 0) return tell({ verdict: "refused", good: false, says: refusal(outcome) });
    tell({ verdict: "right", good: true, number, tag, says: `matched by eye: ${number} ${tag}` });
    field.focus();
  }

  /**
   * What was done before an answer was lost on its way.
   * @param {Outcome} outcome
   * @returns {Verdict}
   */
  function readBefore(outcome) {
    const { number } = outcome.answer.entries[0].event;
    setOpen({ after: number });
    const state = desk.state();
    const parcel = state && parcelsOf(state).find((it) => it.number === number);
    return { verdict: "right", good: true, number, tag: parcel?.tag ?? "", says: `${number} is matched` };
  }

  /** @param {Verdict} told */
  function tell(told) {
    showVerdict(verdict, told);
    playNotes(told);
    desk.refresh();
  }

  function showSound() {
    loud.replaceChildren(isLoud() ? "Sound is on" : "Sound is off");
    loud.append(make("kbd", { "aria-hidden": "true" }, "Alt S"));
    loud.setAttribute("aria-pressed", String(isLoud()));
  }

  function switchSound() {
    setLoud(!isLoud());
    showSound();
  }

  field.addEventListener("keydown", (event) => {
    if (event.key === "Escape") field.value = "";
    if (event.key !== "Enter" || !field.value.trim()) return;
    event.preventDefault();
    scan(field.value);
    field.value = "";
  });

  /**
   * A scanner types wherever the focus is: its first letter brings the focus back.
   * @param {KeyboardEvent} event
   */
  function hearKey(event) {
    if (event.altKey && event.code === "KeyS") {
      event.preventDefault();
      return switchSound();
    }
    if (event.ctrlKey && event.key === "z" && !field.value) {
      event.preventDefault();
      return void undoLast();
    }
    const types = event.key.length === 1 && event.key !== " " && !event.ctrlKey && !event.metaKey;
    if (types && !event.altKey && event.target !== field) field.focus();
  }
  document.addEventListener("keydown", hearKey);

  /** @param {State} state */
  function show(state) {
    const parcels = parcelsOf(state).filter((parcel) => !isOut(parcel));
    const missing = parcels.filter(({ state }) => state === "lined up" || state === "printed");
    undo.show(state);
    count.textContent = countWords(parcels, missing);
    left.replaceChildren(...missing.map((parcel) => makeLeft(parcel, () => matchByEye(parcel))));
    if (!verdict.firstChild) showVerdict(verdict, emptyVerdict(parcels, missing));
  }

  function close() {
    document.removeEventListener("keydown", hearKey);
    camera.stop();
  }
  return { show, close };
}

/** What the last answer left open: the half of a pair, and the parcel that a tracking number may follow. */
function getOpen() {
  return JSON.parse(sessionStorage.getItem(OPEN) ?? "{}");
}

/** @param {{ held?: string | null, after?: number | null }} answer */
function setOpen({ held, after }) {
  sessionStorage.setItem(OPEN, JSON.stringify({ held, after }));
}

/** Whether a half of a pair is waiting for the other. */
function isHalfHeld() {
  return Boolean(getOpen().held);
}

/**
 * @param {Parcel[]} parcels
 * @param {Parcel[]} missing
 */
function countWords(parcels, missing) {
  if (parcels.length === 0) return "Nothing is lined up";
  if (missing.length === 0) return `All ${parcels.length} are matched`;
  return `${missing.length} of ${parcels.length} not matched`;
}

/**
 * What is shown before the first scan.
 * @param {Parcel[]} parcels
 * @param {Parcel[]} missing
 * @returns {Verdict}
 */
function emptyVerdict(parcels, missing) {
  const printed = missing.some(({ state }) => state === "printed");
  if (parcels.length === 0) return { verdict: "", good: true, says: "line orders up first" };
  if (missing.length === 0)
    return { verdict: "", good: true, says: "every parcel is matched: hand them over" };
  if (!printed) return { verdict: "", good: true, says: "print the papers first" };
  return { verdict: "", good: true, says: "scan a bench card, then the label for its parcel" };
}

/**
 * @param {Parcel} parcel
 * @param {() => void} matchByEye
 */
function makeLeft(parcel, matchByEye) {
  const name = make("span", { class: "name" }, `${parcel.number} ${parcel.tag}`);
  if (parcel.state !== "printed") {
    return make("li", {}, name, make("span", { class: "small" }, "not printed"));
  }
  const button = makeButton("match by eye", matchByEye);
  button.setAttribute("aria-label", `match by eye: ${parcel.number} ${parcel.tag}`);
  return make("li", {}, name, button);
}

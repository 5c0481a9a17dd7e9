// What a scan came to, shown by word, shape and size: two halves that have become one, one half that waits,
// or two that stand apart.

import { sentence } from "./acts.js";
import { make } from "./dom.js";

/**
 * @typedef {object} Half
 * @property {"label" | "card"} side
 * @property {number} number
 * @property {string} tag
 */

/**
 * @typedef {object} Verdict as `slipwright ledger match --json` tells it
 * @property {string} verdict
 * @property {boolean} good
 * @property {string} says
 * @property {number} [number]
 * @property {string} [tag]
 * @property {Half[]} [two]
 */

/** The word for a verdict, large above the tag.
 * @type {Record<string, string>} */
const WORDS = {
  right: "Right",
  half: "One half",
  tracking: "Tracking number",
  "tracking-replaced": "Another tracking number",
  undone: "Taken back",
  complete: "Complete",
  incomplete: "Not complete",
  "two-labels": "Two labels",
  "two-cards": "Two cards",
  "": "",
};

/** The part of the screen's height that a tag may fill. */
const TALLEST = 1 / 3;

/**
 * Shows a verdict in place of the one before.
 * @param {HTMLElement} room
 * @param {Verdict} told
 */
export function showVerdict(room, told) {
  const kind = kindOf(told);
  room.className = kind;
  const word = make("p", { class: "word" }, WORDS[told.verdict] ?? "Wrong");
  room.replaceChildren(word, makeShape(told, kind), make("p", { class: "says" }, sentence(told.says)));
  fitTags(room);
}

/** @param {Verdict} told */
function kindOf(told) {
  if (told.verdict === "") return "nothing";
  if (told.verdict === "half") return "half";
  return told.good ? "right" : "wrong";
}

/**
 * @param {Verdict} told
 * @param {string} kind
 */
function makeShape(told, kind) {
  const shape = make("div", { class: "halves" });
  if (told.two) {
    for (const half of told.two) shape.append(makeHalf(half.number, half.tag, half.side));
  } else if (told.tag !== undefined && told.number !== undefined) {
    shape.append(makeHalf(told.number, told.tag, ""));
    if (kind === "half") shape.append(make("div", { class: "gap", "aria-hidden": "true" }));
  }
  return shape;
}

/**
 * @param {number} number
 * @param {string} tag
 * @param {"label" | "card" | ""} side
 */
function makeHalf(number, tag, side) {
  const name = { label: "label", card: "bench card", "": "" }[side];
  const head = make("p", { class: "which" }, [name, String(number)].filter(Boolean).join(" "));
  return make("div", { class: "piece" }, head, make("p", { class: "tag" }, tag));
}

/**
 * Gives every tag the largest type that its room has.
 * @param {HTMLElement} room
 */
function fitTags(room) {
  for (const tag of room.querySelectorAll(".tag")) {
    if (!(tag instanceof HTMLElement)) continue;
    tag.style.fontSize = "100px";
    const [wide, room] = [tag.scrollWidth, tag.parentElement?.clientWidth ?? 0];
    const inner = room - 32;
    const size = Math.min(window.innerHeight * TALLEST, (100 * inner) / Math.max(wide, 1));
    tag.style.fontSize = `${Math.max(Math.floor(size), 24)}px`;
  }
}

window.addEventListener("resize", () => {
  const room = document.getElementById("verdict");
  if (room) fitTags(room);
});

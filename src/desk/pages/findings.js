// What was found, in the order in which it was told, each a button that leads to its spot and line.

import { counted, find, make } from "./dom.js";

/** @import { Finding, Look } from "./look.js" */

/**
 * Lists the findings.
 * @param {Look} look
 * @param {number | null} chosen
 * @param {(finding: number) => void} choose
 */
export function listFindings(look, chosen, choose) {
  const focused = document.activeElement?.closest("#findings li");
  const before = focused ? [...find("findings").children].indexOf(focused) : -1;
  const items = look.findings.map((finding, place) => makeItem(finding, place + 1, chosen, choose));
  if (items.length === 0) items.push(make("li", {}, "Nothing: it would print as it is."));
  find("findings").replaceChildren(...items);
  // The list is made anew at every save; whoever stands in it stays there.
  if (before >= 0) items[Math.min(before, items.length - 1)].querySelector("button")?.focus();
}

/**
 * How many there are, in words.
 * @param {Look} look
 */
export function countFindings(look) {
  const count = (/** @type {string} */ of) => look.findings.filter((it) => it.severity === of).length;
  const parts = ["error", "warning", "note"].filter((of) => count(of) > 0);
  return parts.map((of) => counted(count(of), of)).join(", ") || "nothing wrong";
}

/**
 * @param {Finding} finding
 * @param {number} number
 * @param {number | null} chosen
 * @param {(finding: number) => void} choose
 */
function makeItem(finding, number, chosen, choose) {
  const what = make("span", { class: "what" }, `${number} ${finding.severity}: `);
  const button = make("button", { type: "button" }, what, finding.message);
  if (chosen === number) button.setAttribute("aria-current", "true");
  for (const detail of finding.details ?? []) button.append(make("span", { class: "hint" }, detail));
  for (const hint of finding.hints) button.append(make("span", { class: "hint" }, `→ ${hint}`));
  const place = finding.place;
  const words = [place && `${place.file}:${place.line}`, finding.order && `order ${finding.order}`];
  const said = words.filter(Boolean).join(", ");
  if (said) button.append(make("span", { class: "place hint" }, said));
  button.addEventListener("click", () => choose(number));
  return make("li", { class: finding.severity }, button);
}

// What was found, each with what it is about: errors first and apart from the rest.

import { makeRemark } from "./card.js";
import { counted, make } from "./dom.js";

/** @import { Remark } from "./acts.js" */

/** How grave findings are, the gravest first, and what stands above them. */
const GRAVITY = [
  { severity: "error", noun: "error" },
  { severity: "warning", noun: "warning" },
  { severity: "note", noun: "note" },
];

/**
 * A list for each gravity that something was found of.
 * @param {Remark[]} remarks
 * @param {(remark: Remark) => string} [about] what a finding is about
 */
export function makeFound(remarks, about = aboutWords) {
  const part = make("div");
  for (const { severity, noun } of GRAVITY) {
    const some = remarks.filter((it) => (it.severity ?? "note") === severity);
    if (some.length === 0) continue;
    const lines = some.map((remark) => {
      const line = makeRemark(remark);
      const words = about(remark);
      if (words) line.prepend(make("strong", {}, `${words}: `));
      return line;
    });
    part.append(make("h3", {}, counted(some.length, noun)));
    part.append(make("ul", { class: `found ${noun}s` }, ...lines));
  }
  return part;
}

/**
 * What a finding in a file that the seller has is about: its order and its line there. Other files, such as the
 * map and what orders became, lie elsewhere.
 * @param {string} name the file
 * @returns {(remark: Remark) => string}
 */
export function aboutFile(name) {
  return (remark) => {
    if (remark.place?.file !== name) return remark.order ? aboutWords(remark) : "";
    return [remark.order ?? "", `line ${remark.place.line}`].filter(Boolean).join(", ");
  };
}

/**
 * What a finding is about where its words do not say it: its order, or its place in a file.
 * @param {Remark} remark
 */
export function aboutWords({ message, order, place }) {
  if (order) return message?.includes(`\`${order}\``) ? "" : order;
  return place ? `${place.file.split("/").pop()}, line ${place.line}` : "";
}

// The rules of a map, in words, each of which can be left out: which rows are no parcels, and what is taken apart.

import { make } from "./dom.js";

/**
 * The part of the map that each line stands in, such as `rows` or `fields`.
 * @param {string[]} lines
 */
export function partsOf(lines) {
  let part = "";
  return lines.map((line) => {
    part = /^(\w+):/.exec(line)?.[1] ?? part;
    return part;
  });
}

/**
 * The rules in words; what is not understood stands as it is written.
 * @param {string[]} lines
 * @param {string[]} parts
 */
function ruleWords(lines, parts) {
  return lines.flatMap((line, at) => {
    const rule = /^ {2}- (.*)$/.exec(line)?.[1];
    if (!rule || (parts[at] !== "rows" && parts[at] !== "patterns")) return [];
    return [{ at, words: parts[at] === "rows" ? rowWords(rule) : patternWords(rule) }];
  });
}

/**
 * The rules as boxes that are ticked; nothing when there are none.
 * @param {string[]} lines
 * @param {string[]} parts
 * @param {(at: number, line: string) => void} change
 */
export function makeRules(lines, parts, change) {
  const rules = ruleWords(lines, parts);
  if (rules.length === 0) return [];
  const list = make("ul", { id: "map-rules" });
  for (const { at, words } of rules) {
    const id = `rule-${at}`;
    const line = lines[at];
    const box = make("input", { type: "checkbox", id });
    box.checked = true;
    box.addEventListener("change", () => change(at, box.checked ? line : ""));
    list.append(make("li", {}, box, make("label", { for: id }, words)));
  }
  return [make("h3", {}, "What this map does with rows and cells"), list];
}

/**
 * The lines without a head that nothing stands below.
 * @param {string[]} lines
 */
export function withoutEmptyParts(lines) {
  const said = lines.filter((line) => line !== "");
  const isEmpty = (/** @type {string} */ line, /** @type {number} */ at) =>
    /^(rows|patterns):/.test(line) && !said[at + 1]?.startsWith("  - ");
  return said.filter((line, at) => !isEmpty(line, at));
}

/** What a rule of a row asks of a cell, in words. */
const ASKED = { is: "is", not: "is not", starts: "begins with", below: "is below", above: "is above" };

/**
 * A rule that leaves rows out.
 * @param {string} rule as it is written, with the count of its rows
 */
function rowWords(rule) {
  const parts = /^\{column: (.+), (\w+): (.+)\}(?: +# (.*))?$/.exec(rule);
  if (!parts) return `Rows are left out: ${rule}`;
  const [, column, asks, value, count] = parts;
  const words = asks in ASKED ? ASKED[/** @type {keyof typeof ASKED} */ (asks)] : "";
  const said = value
    .replace(/^\[(.*)\]$/, "$1")
    .replaceAll('"', "")
    .replaceAll(", ", " or ");
  const counted = count ? ` (${count.replaceAll('"', "")})` : "";
  if (words) return `Left out are rows where ${plain(column)} ${words} ${said}${counted}.`;
  if (asks === "filled") return `Left out are rows where ${plain(column)} says something${counted}.`;
  if (asks === "empty") return `Left out are rows where ${plain(column)} says nothing${counted}.`;
  return `Rows are left out: ${rule}`;
}

/**
 * A rule that takes cells apart.
 * @param {string} rule
 */
function patternWords(rule) {
  const parts = /^\{column: (.+), pattern: "(.+)"\}$/.exec(rule);
  return parts ? `${plain(parts[1])} is taken apart into ${parts[2].replace(/[{}]/g, "")}.` : rule;
}

/**
 * A column's name without the quotation marks of the file.
 * @param {string} name
 */
function plain(name) {
  return name.replace(/^"(.*)"$/, "$1");
}

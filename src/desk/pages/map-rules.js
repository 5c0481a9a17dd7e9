// The rules of a map that a page shows and never touches: which rows are no parcels, and what is taken apart.

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
export function ruleWords(lines, parts) {
  return lines.flatMap((line, at) => {
    const rule = /^ {2}- (.*)$/.exec(line)?.[1];
    if (!rule || (parts[at] !== "rows" && parts[at] !== "patterns")) return [];
    return [parts[at] === "rows" ? rowWords(rule) : patternWords(rule)];
  });
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

// The lines of the file that a finding or a block is about.

import { find, make } from "./dom.js";

/** @import { Block, Finding, Look, Page } from "./look.js" */

/** Lines that are shown before and behind the one that is meant. */
const AROUND = 5;

/**
 * Shows a finding's line.
 * @param {Look} look
 * @param {Finding} finding
 */
export function showFindingLine(look, finding) {
  if (!finding.place) return showNoLine("This is about no line of a file.");
  const { file, line } = finding.place;
  const quote = finding.quote ?? { first: line, lines: [] };
  if (look.sources[file]) showLine(file, line, look.sources[file], 1);
  else showLine(file, line, quote.lines, quote.first);
}

/**
 * Shows a block's line.
 * @param {Look} look
 * @param {Block} block
 */
export function showBlockLine(look, block) {
  showLine(block.file, block.line, look.sources[block.file] ?? [], 1);
}

/**
 * Says that there is none.
 * @param {string} words
 */
export function showNoLine(words) {
  find("lines").replaceChildren(make("p", {}, words));
}

/**
 * @param {string} file
 * @param {number} line
 * @param {string[]} lines
 * @param {number} first the number of the first of them
 */
function showLine(file, line, lines, first) {
  const list = make("ol", { class: "source" });
  const from = Math.max(first, line - AROUND);
  const to = Math.min(first + lines.length - 1, line + AROUND);
  for (let number = from; number <= to; number += 1) {
    const item = make("li", {}, make("span", { class: "number-of-line" }, String(number)));
    item.append(lines[number - first]);
    if (number === line) {
      item.className = "it";
      item.setAttribute("aria-current", "true");
    }
    list.append(item);
  }
  find("lines").replaceChildren(make("p", {}, `${file}, line ${line}`), list);
}

/**
 * Lists the blocks of a page: all that a mouse can choose on it.
 * @param {Page | undefined} page
 * @param {number | null} chosen
 * @param {(block: number) => void} choose
 */
export function listBlocks(page, chosen, choose) {
  const items = (page?.blocks ?? []).map((block, number) => {
    const line = make("span", { class: "place" }, ` line ${block.line}`);
    const button = make("button", { type: "button" }, block.name, line);
    if (chosen === number) button.setAttribute("aria-current", "true");
    button.addEventListener("click", () => choose(number));
    return make("li", {}, button);
  });
  find("blocks").replaceChildren(...items);
}

// What the server said last of the files. Lengths are millimetres from the page's left upper corner.

/** @typedef {[x: number, y: number, width: number, height: number]} Box */

/**
 * @typedef {object} Block
 * @property {string} name
 * @property {Box} rect
 * @property {string} file
 * @property {number} line
 */

/**
 * @typedef {object} Page
 * @property {string} title
 * @property {number | null} parcel
 * @property {number} width
 * @property {number} height
 * @property {number} dots_per_mm
 * @property {[top: number, right: number, bottom: number, left: number]} edge
 * @property {number} odd how far its blocks lie from where they lie on most pages
 * @property {Block[]} blocks
 * @property {Box[]} quiet
 * @property {[finding: number, block: number][]} spots findings count from 1, blocks from 0
 * @property {number} look
 * @property {boolean} old
 */

/**
 * @typedef {object} Finding
 * @property {"error" | "warning" | "note"} severity
 * @property {string} message
 * @property {string[]} hints
 * @property {string[]} [details]
 * @property {{ file: string, line: number, column: number }} [place]
 * @property {{ first: number, lines: string[] }} [quote]
 * @property {string} [order]
 */

/**
 * @typedef {object} Look
 * @property {number} look
 * @property {string} layout
 * @property {string} orders
 * @property {string | null} remark
 * @property {Page[]} pages
 * @property {Finding[]} findings
 * @property {Record<string, string[]>} sources
 * @property {{ open: string, names: string[] }} [layouts] on the desk: which others there are
 */

/**
 * What the server says now; nothing when it is gone.
 * @returns {Promise<Look | null>}
 */
export async function getLook() {
  const answer = await fetch("/preview/look").catch(() => null);
  return answer?.ok ? answer.json() : null;
}

/** Asks for a new look at the files. */
export async function askAgain() {
  await fetch("/preview/again", { method: "POST" }).catch(() => null);
}

/**
 * Shows another layout of the desk's.
 * @param {string} layout
 */
export async function openLayout(layout) {
  await fetch("/preview/open", { method: "POST", body: JSON.stringify({ layout }) }).catch(() => null);
}

/**
 * The address of a page's picture; another one whenever it is made anew.
 * @param {Page} page
 * @param {number} place
 * @param {boolean} dots
 */
export function pictureOf(page, place, dots) {
  return `/preview/pages/${place}.${dots ? "png" : "svg"}?look=${page.look}`;
}

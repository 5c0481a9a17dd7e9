// The papers on the bench. A picture takes the place of the one before only when it is there: the last
// good page never disappears.

import { find, make } from "./dom.js";
import { pictureOf } from "./look.js";
import { drawOverlay } from "./overlay.js";

/** @import { Look, Page } from "./look.js" */
/** @import { Shown } from "./overlay.js" */

/**
 * @typedef {object} Bench
 * @property {number[]} places which pages lie there
 * @property {boolean} dots
 * @property {Shown} shown
 * @property {number | null} chosenPage the page of the chosen block
 * @property {boolean} single whether one page has the whole bench
 */

/** @type {Map<number, { figure: HTMLElement, sheet: HTMLElement, caption: HTMLElement, address: string }>} */
const papers = new Map();

/**
 * Lays out the pages; ready when all pictures in sight are new.
 * @param {Look} look
 * @param {Bench} bench
 * @param {(page: number, block: number) => void} choose
 * @param {(page: number) => void} open
 */
export async function layOut(look, bench, choose, open) {
  const room = find("bench");
  room.classList.toggle("single", bench.single);
  const pictures = [];
  for (const [place, paper] of papers) {
    if (bench.places.includes(place)) continue;
    paper.figure.remove();
    papers.delete(place);
  }
  for (const place of bench.places) {
    const page = look.pages[place];
    const paper = papers.get(place) ?? makePaper();
    papers.set(place, paper);
    room.append(paper.figure);
    size(paper.sheet, page, bench.shown.scale);
    paper.figure.classList.toggle("old", page.old);
    paper.caption.replaceChildren(caption(page, place, bench, open));
    const block = bench.chosenPage === place ? bench.shown.block : null;
    const over = drawOverlay(page, { ...bench.shown, block }, (number) => choose(place, number));
    paper.sheet.querySelector("svg")?.remove();
    paper.sheet.append(over);
    pictures.push(swap(paper, page, place, bench.dots));
  }
  await Promise.all(pictures);
}

/** A paper without a picture. */
function makePaper() {
  const sheet = make("div", { class: "sheet" });
  const caption = make("figcaption");
  const figure = make("figure", { class: "paper" }, sheet, caption);
  return { figure, sheet, caption, address: "" };
}

/**
 * @param {HTMLElement} sheet
 * @param {Page} page
 * @param {number} scale
 */
function size(sheet, page, scale) {
  sheet.style.width = `${page.width * scale}px`;
  sheet.style.height = `${page.height * scale}px`;
}

/**
 * What stands below a page: of many, a button that shows it alone.
 * @param {Page} page
 * @param {number} place
 * @param {Bench} bench
 * @param {(page: number) => void} open
 */
function caption(page, place, bench, open) {
  const old = page.old ? ": not drawn again because of the errors, as it was before" : "";
  const words = `${page.title}${old}`;
  if (bench.single) return make("span", {}, words);
  const button = make("button", { type: "button" }, words);
  button.addEventListener("click", () => open(place));
  return button;
}

/**
 * Puts the new picture where the old one is, once it can be painted.
 * @param {{ sheet: HTMLElement, address: string }} paper
 * @param {Page} page
 * @param {number} place
 * @param {boolean} dots
 */
async function swap(paper, page, place, dots) {
  const address = pictureOf(page, place, dots);
  if (paper.address === address) return;
  paper.address = address;
  const picture = make("img", { alt: `The page ${page.title}` });
  if (dots) picture.className = "dots";
  picture.src = address;
  // One that is not to be had any more is followed by another look.
  await picture.decode().catch(() => null);
  if (paper.address !== address) return;
  const old = paper.sheet.querySelector("img");
  if (old) old.replaceWith(picture);
  else paper.sheet.prepend(picture);
}

// Print: what would be printed now and on which paper, page by page as it will look, findings first; and the
// papers that are made.

import { act, getJson, refusal } from "./acts.js";
import { counted, find, make, makeButton } from "./dom.js";
import { aboutWords, makeFound } from "./found.js";
import { isOut, parcelsOf } from "./line.js";
import { plain } from "./names.js";
import { makeSender } from "./sender.js";

/** @import { Outcome, Remark, State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */

/**
 * @typedef {object} DrawnDocument
 * @property {string} file
 * @property {string} stock the paper
 * @property {{ title: string, width: number, height: number }[]} pages
 */

/**
 * @typedef {object} ToPrint
 * @property {Outcome} plan
 * @property {number} drawing
 * @property {{ documents: DrawnDocument[], findings: Remark[] } | null} drawn
 * @property {{ folder: string, files: string[] }[]} made
 */

/** How large a page is drawn: pixels a millimetre. */
const SCALE = 2;

export const print = { name: "print", word: "Print", open };

/**
 * @param {HTMLElement} room
 * @param {Desk} desk
 */
function open(room, desk) {
  const head = make("h2", { id: "print-head" }, "Looking at what has to be printed …");
  const why = make("ul", { id: "print-why" });
  const found = make("div", { id: "print-found" });
  const button = makeButton("Make the papers", () => makePapers());
  button.className = "do";
  button.id = "print-do";
  const anew = makeButton("Make all papers again", () => makePapers({ anew: true }));
  anew.id = "print-anew";
  anew.hidden = true;
  const made = make("section", { id: "made", "aria-label": "Papers that are made" });
  const pages = make("section", { id: "pages", "aria-label": "As it would be printed" });
  const doing = make("div", { class: "doing" }, button, anew);
  room.append(head, why, found, doing, pages, made);

  /** @type {Map<string, string>} */
  const stocks = new Map();
  let turn = 0;
  /** What was said of papers that were made; it holds until there is something to print again. */
  let saidMade = "";

  async function look() {
    const mine = ++turn;
    const told = /** @type {ToPrint | null} */ (await getJson("/print"));
    if (!told || mine !== turn) return;
    show(told);
  }

  /** @param {ToPrint} told */
  function show({ plan, drawing, drawn, made: folders }) {
    const prints = plan.answer?.prints ?? [];
    const some = prints.filter((/** @type {any} */ it) => it.documents.length > 0).length;
    if (some > 0 && saidMade) {
      if (find("said").textContent === saidMade) desk.say("");
      saidMade = "";
    }
    head.textContent = plan.answer ? headWords(plan.answer.first, some) : refusal(plan);
    why.replaceChildren(...(plan.answer?.first ? [] : prints.map(makeReason)));
    const heavy = plan.answer ? heavyOnes([...plan.remarks, ...(drawn?.findings ?? [])]) : [];
    showFound(heavy);
    // Nothing is made while something is wrong: the errors say what to mend first.
    button.hidden = prints.length === 0 || heavy.some((it) => it.severity === "error");
    anew.hidden = !plan.remarks.some((it) => it.rule === "kit-gone");
    button.textContent = some > 0 ? `Make the papers of ${counted(some, "parcel")}` : "Note it";
    for (const { file, stock } of drawn?.documents ?? []) stocks.set(file, stock);
    showMade(folders);
    const documents = (drawn?.documents ?? [])
      .map((it, at) => ({ it, at }))
      .filter(({ it }) => it.pages.length > 0);
    pages.replaceChildren(...documents.map(({ it, at }) => makeDocument(it, `/print/${drawing}/${at}`)));
    room.dataset.drawing = String(drawing);
  }

  /** @param {Remark[]} remarks */
  function showFound(remarks) {
    const state = desk.state();
    found.replaceChildren(
      makeFound(remarks, (remark) => (state && parcelWords(state, remark)) || aboutWords(remark)),
    );
  }

  /**
   * Shows what is made; a tile that waits for its printer stays as long as its document is there.
   * @param {ToPrint["made"]} folders
   */
  function showMade(folders) {
    const printers = desk.state()?.shop.printers ?? [];
    const text = JSON.stringify([folders, [...stocks], printers]);
    if (made.dataset.shown === text) return;
    made.dataset.shown = text;
    const at = made.contains(document.activeElement) ? document.activeElement?.getAttribute("href") : null;
    made.replaceChildren(...folders.map((folder) => makeFolder(folder, stocks, printers)));
    if (folders.length > 0 && printers.length === 0) made.prepend(makeDialogHints());
    if (at) /** @type {HTMLElement | null} */ (made.querySelector(`a[href="${CSS.escape(at)}"]`))?.focus();
  }

  /** The look that is under way. */
  let looking = Promise.resolve();

  /** Waits until what is there now is shown: a look may be overtaken by another. */
  async function settle() {
    let seen = null;
    while (seen !== looking) {
      seen = looking;
      await seen;
    }
  }

  /** @param {Record<string, unknown>} [what] which papers, where it is not what is due */
  async function makePapers(what = {}) {
    button.disabled = true;
    desk.say("Making the papers: every code is read back before anything is written …");
    const outcome = await act("print", what);
    if (outcome.exit !== 0) {
      button.disabled = false;
      desk.say("Nothing was made: look at what is wrong below.", "wrong");
      showFound(heavyOnes(outcome.remarks));
      return;
    }
    const lines = /** @type {string[]} */ (outcome.answer.made ?? []);
    saidMade = lines.length > 0 ? `Made: ${counted(lines.length, "document")}. Print them now.` : "Noted.";
    desk.say(saidMade, "right");
    await desk.refresh();
    await settle();
    button.disabled = false;
    made.querySelector("a")?.focus();
  }

  return {
    /** @param {State} _state */
    show(_state) {
      looking = look();
    },
  };
}

/**
 * What is to be mended or looked at, each once; how well each code reads back is no news.
 * @param {Remark[]} remarks
 */
function heavyOnes(remarks) {
  const heavy = remarks.filter((it) => it.severity && it.severity !== "note");
  const texts = heavy.map(({ message, position, order }) => JSON.stringify([message, position, order]));
  return heavy.filter((_, at) => texts.indexOf(texts[at]) === at);
}

/**
 * The parcels that a finding is about; its place on the bench is its parcel's number.
 * @param {State} state
 * @param {Remark} remark
 */
function parcelWords(state, { position, order, others }) {
  const numbers = [position, ...(others ?? [])];
  const isMeant = (/** @type {import("./acts.js").Parcel} */ parcel) =>
    numbers.includes(parcel.number) || (!position && order && parcel.orders.includes(order));
  const parcels = parcelsOf(state).filter((parcel) => !isOut(parcel) && isMeant(parcel));
  return parcels.map(({ number, tag }) => `${number} ${tag}`).join(", ");
}

/**
 * @param {boolean} first
 * @param {number} count
 */
function headWords(first, count) {
  if (count === 0) return "All papers are made and up to date.";
  return first ? `The whole kit: ${counted(count, "parcel")}` : `${counted(count, "parcel")} to print`;
}

/**
 * Why something of a parcel is printed, and what is thrown away.
 * @param {{ number: number, tag: string, why: string, documents: string[], withdrawn: string[] }} parcel
 */
function makeReason(parcel) {
  const { number, tag, why, documents, withdrawn } = parcel;
  const words = documents.length > 0 ? ` ${why}: ${documents.map(plain).join(", ")}` : "";
  const line = make("li", {}, make("strong", {}, `${number} ${tag}`), words);
  if (withdrawn.length > 0) line.append(` Throw away its ${withdrawn.map(plain).join(", ")}.`);
  return line;
}

/** What matters in the dialog of a viewer that prints. */
function makeDialogHints() {
  const hints = make("ul", { class: "hints" });
  hints.append(
    make("li", {}, "Paper: the one that stands beside the document."),
    make("li", {}, "Scale: 100 %, never fitted to the page."),
    make("li", {}, "Sides: one, unless the layout has a back; then both."),
  );
  return make("div", {}, make("h2", {}, "Three settings matter in the printer's dialog"), hints);
}

/**
 * The documents of one print: each can be opened, and printed where the shop has a printer with a queue.
 * @param {{ folder: string, files: string[] }} made
 * @param {Map<string, string>} stocks
 * @param {string[]} printers
 */
function makeFolder({ folder, files }, stocks, printers) {
  const list = make("ul", { class: "files" });
  for (const file of files) {
    const address = `/papers/${folder}/${file}`;
    const link = make("a", { href: address, target: "_blank", rel: "noopener" }, `Open ${plain(file)}`);
    const stock = stocks.get(file);
    const item = make("li", {}, link, make("span", { class: "small" }, stock ? ` on ${stock}` : ""));
    if (printers.length > 0) item.append(makeSender(`${folder}/${file}`, printers));
    list.append(item);
  }
  return make("div", {}, make("h2", {}, plain(folder).replace("/", ", ")), list);
}

/**
 * A document's pages as they would be printed.
 * @param {DrawnDocument} document
 * @param {string} address
 */
function makeDocument({ file, stock, pages }, address) {
  const head = make("h2", {}, `${plain(file)}: ${counted(pages.length, "page")} on ${stock}`);
  const row = make("div", { class: "sheets", role: "group", "aria-label": plain(file), tabindex: "0" });
  pages.forEach((page, at) => {
    const [width, height] = [page.width * SCALE, page.height * SCALE].map(Math.round);
    const size = { width: String(width), height: String(height) };
    row.append(make("img", { src: `${address}/${at}.svg`, loading: "lazy", alt: page.title, ...size }));
  });
  return make("div", {}, head, row);
}

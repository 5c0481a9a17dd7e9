// The preview: asks what the server sees, and shows it. Nothing is kept here but what the seller chose to
// look at.

import { showDesk } from "./back.js";
import { counted, find } from "./dom.js";
import { countFindings, listFindings } from "./findings.js";
import { askAgain, getLook } from "./look.js";
import { listen } from "./news.js";
import { layOut } from "./papers.js";
import { listBlocks, showBlockLine, showFindingLine, showNoLine } from "./source.js";
import { freshenTools, keysTool, showTools } from "./tools.js";

/** @import { Look } from "./look.js" */

/** Pixels of the screen a millimetre at true size, as browsers count. */
const TRUE_SIZE = 96 / 25.4;

/** The largest scale: eight pixels a dot of a head with eight dots a millimetre. */
const LARGEST = 64;

/** What is shown, and what the seller chose. */
const view = {
  /** @type {Look | null} */ look: null,
  /** @type {"one" | "all" | "odd"} */ mode: "one",
  page: 0,
  /** @type {Set<string>} */ tools: new Set(),
  /** Zero: as large as fits. */ scale: 0,
  /** @type {number | null} */ finding: null,
  /** @type {{ page: number, block: number } | null} */ block: null,
};

/** Fetches what is new; a second call while one is under way waits for its turn. */
let fetching = Promise.resolve();

function refresh() {
  fetching = fetching.then(async () => {
    const look = await getLook();
    if (!look || look.look === view.look?.look) return;
    showDesk(look);
    view.look = look;
    if (view.finding && view.finding > look.findings.length) view.finding = null;
    if (view.block && !look.pages[view.block.page]?.blocks[view.block.block]) view.block = null;
    await show();
    document.documentElement.dataset.look = String(look.look);
  });
}

/** Shows everything anew. */
async function show() {
  const look = view.look;
  if (!look) return;
  view.page = Math.min(view.page, Math.max(look.pages.length - 1, 0));
  const old = look.pages.filter((page) => page.old).length;
  find("layout").textContent = look.layout;
  find("orders").textContent = [look.orders, look.remark].filter(Boolean).join(", ");
  find("status").textContent = [
    look.pages.length > 0 ? counted(look.pages.length, "page") : "no page yet",
    countFindings(look),
    old > 0 ? `${old} shown as before the errors` : "",
  ]
    .filter(Boolean)
    .join(" · ");
  document.title = `${look.layout}: ${countFindings(look)}`;
  const laid = layOut(look, makeBench(look), chooseBlock, openPage);
  listFindings(look, view.finding, chooseFinding);
  listBlocks(look.pages[view.page], view.block?.page === view.page ? view.block.block : null, (block) =>
    chooseBlock(view.page, block),
  );
  showLine(look);
  freshenTools();
  await laid;
}

/** @param {Look} look */
function makeBench(look) {
  const single = view.mode !== "all";
  if (view.mode === "odd") view.page = findOdd(look);
  const places = single
    ? look.pages.slice(view.page, view.page + 1).map(() => view.page)
    : [...look.pages.keys()];
  const shown = {
    tools: view.tools,
    scale: view.scale || fit(look, single),
    finding: view.finding,
    block: view.block?.block ?? null,
    rulers: single,
  };
  return { places, dots: view.tools.has("dots"), shown, chosenPage: view.block?.page ?? null, single };
}

/**
 * The scale at which a page fits on the bench, or some side by side.
 * @param {Look} look
 * @param {boolean} single
 */
function fit(look, single) {
  const page = look.pages[single ? view.page : 0];
  if (!page) return TRUE_SIZE;
  const bench = find("bench");
  const [width, height] = [bench.clientWidth - 90, Math.max(bench.clientHeight, 480) - 110];
  const whole = Math.min(width / page.width, height / page.height);
  return Math.max(single ? whole : Math.min(whole, 260 / page.width), 0.5);
}

/** @param {Look} look */
function findOdd(look) {
  const most = Math.max(...look.pages.map((page) => page.odd));
  return Math.max(
    look.pages.findIndex((page) => page.odd === most),
    0,
  );
}

/** @param {Look} look */
function showLine(look) {
  if (view.finding) return showFindingLine(look, look.findings[view.finding - 1]);
  const block = view.block && look.pages[view.block.page].blocks[view.block.block];
  if (block) return showBlockLine(look, block);
  showNoLine("Choose a finding, or a block on the page: its line stands here.");
}

/**
 * Frames a finding's blocks and shows its line; on another page if it is there.
 * @param {number} finding
 */
function chooseFinding(finding) {
  view.finding = finding;
  view.block = null;
  const pages = view.look?.pages ?? [];
  const has = (/** @type {number} */ place) => pages[place]?.spots.some(([number]) => number === finding);
  const place = [...pages.keys()].find(has);
  if (view.mode !== "all" && !has(view.page) && place !== undefined) openPage(place);
  else show();
}

/**
 * Frames a block and shows its line; its finding is marked if it has one.
 * @param {number} page
 * @param {number} block
 */
function chooseBlock(page, block) {
  view.block = { page, block };
  const spot = view.look?.pages[page].spots.find(([, number]) => number === block);
  view.finding = spot ? spot[0] : null;
  show();
}

/** @param {number} page */
function openPage(page) {
  view.page = page;
  view.mode = "one";
  show();
}

/** @param {number} by */
function turn(by) {
  const count = view.look?.pages.length ?? 0;
  if (count > 0) openPage((view.page + by + count) % count);
}

/** @param {number} by */
function step(by) {
  const count = view.look?.findings.length ?? 0;
  if (count > 0) chooseFinding((((view.finding ?? (by > 0 ? 0 : 1)) - 1 + by + count) % count) + 1);
}

/**
 * Changes the scale; what lies under a point of the bench stays there.
 * @param {number} scale
 * @param {number} [x]
 * @param {number} [y]
 */
async function zoom(scale, x, y) {
  const look = view.look;
  if (!look) return;
  const bench = find("bench");
  const before = view.scale || fit(look, view.mode !== "all");
  const area = bench.getBoundingClientRect();
  const [left, top] = [(x ?? area.x + area.width / 2) - area.x, (y ?? area.y + area.height / 2) - area.y];
  view.scale = scale && Math.min(Math.max(scale, 0.5), LARGEST);
  const by = (view.scale || before) / before;
  const [scrolledX, scrolledY] = [bench.scrollLeft, bench.scrollTop];
  await show();
  bench.scrollTo((scrolledX + left) * by - left, (scrolledY + top) * by - top);
}

/** @param {number} by */
function zoomBy(by) {
  if (view.look) zoom((view.scale || fit(view.look, view.mode !== "all")) * by);
}

/**
 * A tool that lays something over the pages, or takes it off.
 * @param {string} word
 * @param {string} key
 */
function toggle(word, key) {
  const act = () => {
    if (!view.tools.delete(word)) view.tools.add(word);
    show();
  };
  return { word, key, act, on: () => view.tools.has(word) };
}

/**
 * A tool that chooses which pages are shown.
 * @param {"one" | "all" | "odd"} mode
 * @param {string} word
 * @param {string} key
 */
function modeTool(mode, word, key) {
  const act = () => {
    view.mode = mode;
    view.scale = 0;
    show();
  };
  return { word, key, act, on: () => view.mode === mode };
}

showTools({
  "What is laid over the pages": [
    toggle("frames", "f"),
    toggle("grid", "g"),
    toggle("edges", "e"),
    toggle("white", "w"),
    toggle("dots", "d"),
  ],
  "Which pages are shown": [
    modeTool("one", "one", "1"),
    modeTool("all", "all", "2"),
    modeTool("odd", "the odd one", "3"),
    { word: "back", key: "ArrowLeft", act: () => turn(-1) },
    { word: "on", key: "ArrowRight", act: () => turn(1) },
  ],
  "How large": [
    { word: "smaller", key: "-", act: () => zoomBy(1 / 1.5) },
    { word: "larger", key: "+", act: () => zoomBy(1.5) },
    { word: "whole", key: "0", act: () => zoom(0) },
    { word: "true size", key: "=", act: () => zoom(TRUE_SIZE) },
  ],
  "What was found": [
    { word: "next finding", key: "n", act: () => step(1) },
    { word: "look again", key: "r", act: askAgain },
    keysTool,
  ],
});

find("bench").addEventListener(
  "wheel",
  (event) => {
    if (!event.ctrlKey || !view.look) return;
    event.preventDefault();
    const scale = view.scale || fit(view.look, view.mode !== "all");
    zoom(scale * (event.deltaY < 0 ? 1.2 : 1 / 1.2), event.clientX, event.clientY);
  },
  { passive: false },
);
window.addEventListener("resize", () => show());
listen(refresh, (there) => {
  if (!there)
    find("status").textContent = "The command was stopped. Start it again and open its new address.";
  else refresh();
});
refresh();

// The desk's shell: its pages, what the server said last, and news. A page is a module with a name, a word
// for its tab and what opens it; it gets a room to build itself in and is shown every state.

import { getState } from "./acts.js";
import { find, make, selectWhatStands } from "./dom.js";
import { first } from "./first.js";
import { handOver } from "./hand-over.js";
import { lineUp } from "./line-up.js";
import { match } from "./match.js";
import { listen } from "./news.js";
import { makeNotices } from "./notices.js";
import { print } from "./print.js";
import { trouble, troubleOf } from "./trouble.js";

/** @import { State } from "./acts.js" */

/**
 * @typedef {object} OpenPage
 * @property {(state: State) => void} show called with every new state
 * @property {() => void} [close] called when another page is opened
 */

/**
 * @typedef {object} Page
 * @property {string} name what stands behind the # of its address
 * @property {string} word
 * @property {(room: HTMLElement, desk: Desk) => OpenPage} open
 */

/**
 * @typedef {object} Desk what pages may ask of the shell
 * @property {(words: string, kind?: "right" | "wrong" | "") => void} say tells the seller something, until the next
 * @property {() => Promise<void>} refresh fetches the state anew at once, after an act
 * @property {() => State | null} state
 */

/** @type {Page[]} */
const pages = [lineUp, print, match, handOver];

/** @type {State | null} */
let state = null;

/** @type {{ page: Page, shown: OpenPage } | null} */
let open = null;

/** Fetches what is new; a second call while one is under way waits for its turn. */
let fetching = Promise.resolve();

/** @type {Desk} */
const desk = {
  say(words, kind = "") {
    const said = find("said");
    said.className = kind;
    said.textContent = words;
  },
  refresh() {
    fetching = fetching.then(async () => {
      state = (await getState()) ?? state;
      showState();
    });
    return fetching;
  },
  state: () => state,
};

/** What stands above every page. */
const notices = makeNotices(find("notices"), desk);

/** Shows the state on the open page. */
function showState() {
  if (!state) return;
  const line = state.line.answer;
  const none = troubleOf(state) ? "" : "no sitting is open";
  const words = [line ? `sitting ${line.sitting.number}, ${line.sitting.name}` : none, state.folder];
  find("evening").textContent = words.filter(Boolean).join(" · ");
  openPage();
  notices.show(state);
  open?.shown.show(state);
}

/** Opens the page that the address names; without a shop file there is only the first, and without a
 * ledger that can be used none. */
function openPage() {
  const name = location.hash.slice(1);
  const named = pages.find((it) => it.name === name) ?? pages[0];
  const begun = state?.has_shop === false ? first : named;
  const page = state && troubleOf(state) ? trouble : begun;
  if (open?.page === page) return;
  open?.shown.close?.();
  desk.say("");
  const room = find("room");
  room.replaceChildren();
  room.className = page.name;
  for (const tab of find("tabs").children) {
    if (tab.getAttribute("href") === `#${page.name}`) tab.setAttribute("aria-current", "page");
    else tab.removeAttribute("aria-current");
  }
  find("page-name").textContent = page.word;
  document.title = `${page.word} · Slipwright`;
  open = { page, shown: page.open(room, desk) };
  if (state) open.shown.show(state);
}

const keys = pages.map((page, place) => ({ page, key: String(place + 1) }));
for (const { page, key } of keys) {
  const tab = make("a", { href: `#${page.name}`, "aria-keyshortcuts": `Alt+${key}` }, page.word);
  tab.append(make("kbd", { "aria-hidden": "true" }, `Alt ${key}`));
  find("tabs").append(tab);
}
// The layouts have a page of their own, which leads back here.
const layouts = make("a", { href: "/preview", "aria-keyshortcuts": `Alt+${pages.length + 1}` }, "Layouts");
layouts.append(make("kbd", { "aria-hidden": "true" }, `Alt ${pages.length + 1}`));
find("tabs").append(layouts);
document.addEventListener("keydown", (event) => {
  if (event.altKey && event.code === `Digit${pages.length + 1}`) {
    event.preventDefault();
    layouts.click();
  }
  const hit = event.altKey && keys.find(({ key }) => event.code === `Digit${key}`);
  if (!hit) return;
  event.preventDefault();
  location.hash = hit.page.name;
});
selectWhatStands();
window.addEventListener("hashchange", openPage);
openPage();
desk.refresh();
listen(desk.refresh, (there) => {
  if (there) desk.refresh();
  else
    desk.say(
      "The desk does not answer. Start it again with slipwright desk, and open its new address.",
      "wrong",
    );
});

// Hand over: tick parcels off the list as they go, see what they come to, close the sitting, tell the shop.

import { act, getJson, post, refusal } from "./acts.js";
import { askReason } from "./ask.js";
import { counted, make, makeButton } from "./dom.js";
import { computedOf, isOut, ordersOf, parcelsOf } from "./line.js";
import { isCalledOff } from "./notices.js";
import { makeSender } from "./sender.js";
import { makeUndo } from "./undo.js";

/** @import { Parcel, State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */

/** What is no declaration of goods. */
const NOTHING_DECLARED = ["", "none"];

export const handOver = { name: "hand-over", word: "Hand over", open };

/**
 * @param {HTMLElement} room
 * @param {Desk} desk
 */
function open(room, desk) {
  const head = make("h2", { id: "counter-head" });
  const list = make("ol", { id: "counter", "aria-label": "Parcels to hand over" });
  const ask = make("div", { id: "ask" });
  const totals = make("div", { id: "totals" });
  const all = makeButton("", () =>
    change("hand-over", { "all-matched": true }, () => "All that were matched are handed over."),
  );
  const undo = makeUndo(desk);
  const close = makeButton("Close the sitting", closeSitting);
  close.id = "close";
  const shop = makeShopTable(desk);
  const counter = makeCounterList(desk);
  const doing = make("div", { class: "doing" }, all, undo.button, close);
  const what = make("section", {}, totals, counter.part, shop.part);
  room.append(make("section", {}, head, list, doing, ask), what);

  /**
   * @param {string} verb
   * @param {Record<string, unknown>} given
   * @param {() => string} words
   */
  async function change(verb, given, words) {
    const outcome = await act(verb, given);
    const kept = /** @type {{ says: string }[]} */ (outcome.answer?.kept_back ?? []);
    if (outcome.exit === 0) desk.say(words(), "right");
    else if (kept.length > 0) desk.say(kept.map((parcel) => `${parcel.says}.`).join(" "), "wrong");
    else desk.say(refusal(outcome), "wrong");
    await desk.refresh();
  }

  async function closeSitting() {
    // What was ticked off a moment ago must not be asked about.
    await desk.refresh();
    const state = desk.state();
    const left = state ? parcelsOf(state).filter(stays) : [];
    const done = () => "The sitting is closed.";
    if (left.length === 0) return change("close", {}, done);
    const named = left.map((parcel) => `${parcel.number} ${parcel.tag}`).join(", ");
    const question = `${counted(left.length, "parcel")} did not go: ${named}. Why do they stay?`;
    askReason(ask, question, "Set them aside and close", (leave) => change("close", { leave }, done));
  }

  /**
   * @param {State} state
   * @param {Parcel} parcel
   */
  function makeRow(state, parcel) {
    const computed = computedOf(state, parcel.number);
    const order = ordersOf(state, parcel)[0];
    const id = `goes-${parcel.number}`;
    const box = make("input", { type: "checkbox", id });
    box.checked = parcel.state === "handed over";
    box.disabled = parcel.state !== "matched";
    box.addEventListener("change", () =>
      change(
        "hand-over",
        { numbers: [parcel.number] },
        () => `${parcel.number} ${parcel.tag} is handed over.`,
      ),
    );
    const weight = parcel.weight_g ?? computed?.weight_g;
    const words = [
      order ? `${order.name}, ${order.town} ${order.country}` : "",
      computed?.service ?? "",
      weight ? `${weight} g` : "not weighed",
      computed?.price ?? "",
      parcel.tracking,
      isCalledOff(state, parcel) ? "cancelled in the shop's export" : "",
      parcel.state === "matched" ? "" : parcel.state === "handed over" ? "gone" : "not matched yet",
    ];
    const goods = parcel.hazard ?? computed?.hazard ?? "";
    const label = make("label", { for: id }, make("span", { class: "number" }, String(parcel.number)));
    label.append(make(box.checked ? "s" : "strong", {}, parcel.tag));
    label.append(make("span", { class: "small" }, words.filter(Boolean).join(" · ")));
    if (!NOTHING_DECLARED.includes(goods))
      label.append(make("span", { class: "goods" }, `Declared goods: ${goods}`));
    return make("li", { class: parcel.state.replace(" ", "-") }, box, label);
  }

  const keys = (/** @type {KeyboardEvent} */ event) => {
    const isWriting = event.target instanceof HTMLTextAreaElement || event.target instanceof HTMLInputElement;
    const field = isWriting && /** @type {HTMLInputElement} */ (event.target).type !== "checkbox";
    if (event.key !== "z" || !(event.ctrlKey || event.metaKey) || field) return;
    event.preventDefault();
    undo.press();
  };
  document.addEventListener("keydown", keys);

  return {
    close() {
      document.removeEventListener("keydown", keys);
    },
    /** @param {State} state */
    show(state) {
      const parcels = parcelsOf(state).filter((parcel) => !isOut(parcel));
      const matched = parcels.filter((parcel) => parcel.state === "matched").length;
      const gone = parcels.filter((parcel) => parcel.state === "handed over").length;
      const closed = state.newest?.answer?.sitting;
      head.textContent = state.line.answer
        ? `${matched} to hand over, ${gone} of ${parcels.length} gone`
        : closed
          ? `Sitting ${closed.number}, ${closed.name}, is closed`
          : "No sitting is open: line up an order, that begins one.";
      const here = document.activeElement?.id ?? "";
      list.replaceChildren(...parcels.map((parcel) => makeRow(state, parcel)));
      if (here.startsWith("goes-")) focusNear(list, here);
      all.textContent = `Hand over all ${matched} that are matched`;
      all.hidden = matched === 0;
      undo.show(state);
      close.hidden = !state.line.answer;
      totals.replaceChildren(...makeTotals((state.line.answer ?? state.newest?.answer)?.postage ?? []));
      counter.show(matched + gone > 0 && state.line.answer !== null);
      shop.show();
    },
  };
}

/**
 * Gives the focus to a box, or when that is ticked to the next one that is not.
 * @param {HTMLElement} list
 * @param {string} id
 */
function focusNear(list, id) {
  const boxes = /** @type {HTMLInputElement[]} */ ([...list.querySelectorAll("input")]);
  const at = boxes.findIndex((box) => box.id === id);
  const free = (/** @type {HTMLInputElement} */ box) => !box.disabled;
  (boxes.slice(Math.max(at, 0)).find(free) ?? boxes.find(free))?.focus();
}

/** @param {Parcel} parcel */
function stays(parcel) {
  return !isOut(parcel) && parcel.state !== "handed over";
}

/**
 * What goes, by service and price.
 * @param {{ service: string | null, parcels: number, weight_g: number, unweighed: number, price: string | null, unpriced: number }[]} rows
 */
function makeTotals(rows) {
  if (rows.length < 2) return [];
  const table = make("table", {}, make("caption", {}, "What is matched or went"));
  const cells = (/** @type {string[]} */ words, /** @type {"th" | "td"} */ kind) =>
    words.map((word, at) => make(at === 0 ? "th" : kind, at === 0 ? { scope: "row" } : {}, word));
  const heads = ["Service", "Parcels", "Weight", "Postage"].map((word) => make("th", { scope: "col" }, word));
  table.append(make("thead", {}, make("tr", {}, ...heads)));
  const body = make("tbody");
  for (const row of rows) {
    const weights = [
      row.weight_g > 0 ? `${row.weight_g} g` : "",
      row.unweighed > 0 ? `${row.unweighed} not weighed` : "",
    ];
    const weight = weights.filter(Boolean).join(", ");
    const price = [row.price ?? "", row.unpriced > 0 ? `${row.unpriced} without a price` : ""];
    const words = [row.service ?? "Together", String(row.parcels), weight, price.filter(Boolean).join(", ")];
    body.append(make("tr", { class: row.service === null ? "sum" : "" }, ...cells(words, "td")));
  }
  table.append(body);
  return [table];
}

/**
 * The list on paper of what goes to the counter.
 * @param {Desk} desk
 */
function makeCounterList(desk) {
  const made = make("div", { id: "counter-list" });
  const button = makeButton("Make the handover list", send);
  const part = make("div", { class: "doing" }, button, made);

  async function send() {
    button.disabled = true;
    const outcome = await post("/counter-list", {});
    button.disabled = false;
    if (outcome.exit !== 0) return desk.say(refusal(outcome), "wrong");
    desk.say("The list is made, as things are now. Print it for the counter.", "right");
    const address = `/papers/${outcome.document}`;
    const link = make("a", { href: address, target: "_blank", rel: "noopener" }, "Open the handover list");
    made.replaceChildren(link);
    const printers = desk.state()?.shop.printers ?? [];
    if (printers.length > 0) made.append(makeSender(outcome.document, printers));
    link.focus();
  }

  return {
    part,
    /** @param {boolean} isOffered */
    show(isOffered) {
      part.hidden = !isOffered;
    },
  };
}

/**
 * The shop's table: made by its map, downloaded.
 * @param {Desk} desk
 */
function makeShopTable(desk) {
  const part = make("div", { id: "shop-table" });
  const tell = makeButton("Make the shop's table of what went", () => send({}));
  const again = makeButton("Once more, all of the last sitting", () => send({ again: true }));
  const download = make("p", { id: "table" });
  const text = make("textarea", { id: "shop-map", rows: "8", spellcheck: "false" });
  const label = make("label", { for: "shop-map" }, "Its columns: our field, and what the shop calls it");
  const map = make("details", {}, make("summary", {}, "The columns of the shop's table"), label, text);
  part.append(make("h2", {}, "The shop"), make("div", { class: "doing" }, tell, again), download, map);
  let known = "";

  async function show() {
    const told = await getJson("/shop-map");
    if (!told || document.activeElement === text) return;
    if (text.value === known) text.value = told.map;
    known = told.map;
    if (!told.kept) map.open = true;
  }

  /** @param {Record<string, unknown>} given */
  async function send(given) {
    const isNew = text.value !== known || map.open;
    const outcome = await post("/tell-shop", { ...given, ...(isNew ? { map: text.value } : {}) });
    if (outcome.exit !== 0) return desk.say(refusal(outcome), "wrong");
    known = text.value;
    const count = outcome.answer.told.length;
    if (!outcome.table) return desk.say("The shop knows of all that went.", "right");
    desk.say(`The table has ${counted(count, "order")}. Download it and give it to the shop.`, "right");
    const link = make(
      "a",
      { href: `/tables/${outcome.table}`, download: outcome.table },
      `Download ${outcome.table}`,
    );
    const bare = outcome.answer.told.filter((/** @type {any} */ order) => !order.tracking).length;
    download.replaceChildren(link, bare > 0 ? ` ${counted(bare, "order")} without a tracking number` : "");
    link.focus();
  }
  return { part, show };
}

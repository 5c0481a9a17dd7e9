// Line up: what is in your hand, and the line as it lies.

import { act, refusal } from "./acts.js";
import { askReason } from "./ask.js";
import { asking, knownOf, openCard } from "./card.js";
import { make, makeButton } from "./dom.js";
import { makeDrop } from "./drop.js";
import { computedOf, ordersOf, parcelsOf } from "./line.js";
import { makeLine } from "./line-view.js";
import { makeSearch } from "./search.js";
import { makeUndo } from "./undo.js";

/** @import { Order, Outcome, Parcel, State } from "./acts.js" */
/** @import { Desk } from "./evening.js" */

export const lineUp = { name: "line-up", word: "Line up", open };

/**
 * @param {HTMLElement} room
 * @param {Desk} desk
 */
function open(room, desk) {
  const place = make("div", { id: "place" });
  const ask = make("div", { id: "ask" });
  const search = makeSearch(
    (order) => take(order),
    (words) => desk.say(words, "wrong"),
  );
  const undo = makeUndo(desk);
  const line = makeLine({ open: openParcel, move, takeOff }, undo.button);
  const held = make("div", { id: "held" });
  const hand = make(
    "section",
    { class: "hand", "aria-label": "In your hand" },
    search.part,
    ask,
    place,
    held,
  );
  const bench = make("section", { class: "bench", "aria-label": "The line" }, line.part);
  room.append(hand, bench);
  const drop = makeDrop(room, hand, desk, putAway);

  /** Closes the card; the field has the focus again. */
  function putAway() {
    place.replaceChildren();
    search.part.hidden = false;
    line.choose(null);
    search.clear();
  }

  /**
   * Does something, and says that it is done or why not.
   * @param {string} verb
   * @param {Record<string, unknown>} given
   * @param {(answer: any) => string} words
   */
  async function change(verb, given, words) {
    const outcome = await act(verb, given);
    if (outcome.exit === 0) desk.say(words(outcome.answer), "right");
    else desk.say(refusal(outcome), "wrong");
    await desk.refresh();
  }

  /**
   * Takes an order into the hand: a waiting one is lined up, one in the line is opened there.
   * @param {Order & { number?: number }} order
   */
  function take(order) {
    desk.say("");
    const state = desk.state();
    if (!state) return;
    if (order.state === "waiting") return openOrders(state, [order]);
    const parcel = parcelsOf(state).find((it) => it.number === order.number && it.orders.includes(order.id));
    if (order.state === "in line" && parcel) return openParcel(parcel);
    askReason(
      ask,
      `${order.id} is ${order.may_be ? `held back, as it may be ${order.may_be} once more` : order.state}. Why does it go all the same?`,
      "Let it wait",
      (because) =>
        change("again", { order: order.id, because }, () => `${order.id} waits.`).then(search.clear),
      () => search.field.focus(),
    );
  }

  /**
   * An order that is held back until the seller says that it is another one.
   * @param {Order} order
   */
  function makeHeld(order) {
    const words = `${order.id} for ${order.name} is held back: it may be ${order.may_be} once more. `;
    const because = `it is not ${order.may_be} once more`;
    const letGo = () => change("again", { order: order.id, because }, () => `${order.id} waits.`);
    const again = `it is ${order.may_be} once more`;
    const takeOff = () =>
      change("take-off", { order: [order.id], because: again }, () => `${order.id} is taken off: ${again}.`);
    const buttons = [
      makeButton("It is another order", letGo),
      " ",
      makeButton(`It is ${order.may_be} once more`, takeOff),
    ];
    return make("p", { class: "held" }, words, ...buttons);
  }

  /**
   * The card of orders that become one parcel.
   * @param {State} state
   * @param {Order[]} orders
   */
  function openOrders(state, orders) {
    const ids = orders.map((order) => order.id);
    search.part.hidden = true;
    const first = orders[0];
    const what = { orders: ids, ...(ids.length > 1 ? { combine: true } : {}) };
    const ask = asking("line-up", what);
    /** @type {string[]} */
    let mates = [];
    openCard(place, state, {
      head: `${first.name}, ${[first.town, first.country].filter(Boolean).join(" ")} · ${ids.join(" + ")}`,
      lines: orders.flatMap((order) => order.items),
      known: knownOf(),
      does: "Line it up",
      ask: async (said, dry) => {
        const outcome = await ask(said, dry);
        mates = outcome.answer?.mates?.[0]?.orders ?? mates;
        return outcome;
      },
      done: (outcome) => lined(outcome),
      away: () => {
        putAway();
        desk.say("Put away: nothing was kept.");
      },
      join: () => {
        const waiting = /** @type {Order[]} */ (state.waiting.answer?.orders ?? []);
        const others = waiting.filter((order) => mates.includes(order.id) && !ids.includes(order.id));
        if (others.length > 0) openOrders(state, [...orders, ...others]);
      },
      more: [joinLine(state, ids)],
    });
  }

  /**
   * What puts an order into a parcel that lies in the line already.
   * @param {State} state
   * @param {string[]} orders
   */
  function joinLine(state, orders) {
    const open = parcelsOf(state).filter((parcel) => ["lined up", "printed"].includes(parcel.state));
    const choice = make("select", { id: "join", "aria-label": "Put it into a parcel of the line" });
    choice.append(make("option", { value: "" }, "or put it into a parcel of the line …"));
    for (const { number, tag } of open)
      choice.append(make("option", { value: String(number) }, `${number} ${tag}`));
    const button = makeButton("Put it there", join);
    const told = make("p", { class: "doubt", id: "join-said", role: "status" });
    const part = make("div", { id: "joining" }, make("div", { class: "doing" }, choice, button), told);
    part.hidden = open.length === 0;
    choice.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      event.stopPropagation();
      join();
    });
    /** The parcel that these orders were refused for, which another Enter puts them into all the same. */
    let refused = 0;
    let busy = false;

    async function join() {
      const number = Number(choice.value);
      if (busy) return;
      if (!number) return void (told.textContent = "Choose a parcel first.");
      busy = true;
      const outcome = await act("join", { number, orders, elsewhere: refused === number });
      busy = false;
      if (outcome.exit !== 0) {
        const canGo = outcome.remarks.some((it) => it.hints?.some((hint) => hint.includes("`--elsewhere`")));
        refused = canGo ? number : 0;
        const more = canGo ? " If it is right all the same, Enter puts it there." : "";
        told.textContent = refusal(outcome) + more;
        return;
      }
      putAway();
      desk.say(`${orders.join(" + ")} is in parcel ${number} now. Weigh it again.`, "right");
      await desk.refresh();
    }
    return part;
  }

  /** @param {Outcome} outcome */
  async function lined(outcome) {
    const [parcel] = outcome.answer.parcels;
    putAway();
    desk.say(`${parcel.number} ${parcel.tag} is lined up.`, "right");
    await desk.refresh();
  }

  /**
   * The card of a parcel that lies in the line.
   * @param {Parcel} parcel
   */
  function openParcel(parcel) {
    const state = desk.state();
    if (!state) return;
    search.part.hidden = true;
    line.choose(parcel.number);
    const orders = ordersOf(state, parcel);
    openCard(place, state, {
      head: `${parcel.number} ${parcel.tag} · ${parcel.state}`,
      lines: orders.flatMap((order) => [
        `${order.id}, ${order.name}, ${order.town} ${order.country}`,
        ...order.items,
      ]),
      known: knownOf(parcel),
      computed: computedOf(state, parcel.number),
      does: "Note it",
      ask: asking("note", { number: parcel.number }),
      done: async () => {
        putAway();
        desk.say(`Noted for ${parcel.number} ${parcel.tag}.`, "right");
        await desk.refresh();
      },
      away: putAway,
      more: [makeMore(parcel)],
    });
  }

  /**
   * What else can be done with a parcel.
   * @param {Parcel} parcel
   */
  function makeMore(parcel) {
    const named = `${parcel.number} ${parcel.tag}`;
    const more = make("div", { class: "more", role: "group", "aria-label": "More to do with it" });
    more.append(makeButton("Take it off", () => takeOff(parcel)));
    more.append(
      makeButton("Set it aside", () =>
        askReason(ask, `Why does ${named} not go tonight?`, "Set it aside", (because) =>
          change("set-aside", { numbers: [parcel.number], because }, () => `${named} is set aside.`).then(
            putAway,
          ),
        ),
      ),
    );
    for (const order of parcel.orders.length > 1 ? parcel.orders : []) {
      const part = () =>
        change("part", { number: parcel.number, order }, () => `${order} waits again.`).then(putAway);
      more.append(makeButton(`Part ${order}`, part));
    }
    return more;
  }

  /** @param {Parcel} parcel */
  function takeOff(parcel) {
    const named = `${parcel.number} ${parcel.tag}`;
    askReason(ask, `Why is ${named} taken off?`, `Take ${named} off`, (because) =>
      change("take-off", { what: [parcel.pair], because }, () => `${named} is taken off.`).then(putAway),
    );
  }

  /**
   * Puts a parcel elsewhere in the line.
   * @param {number} number
   * @param {number | null} before
   */
  async function move(number, before) {
    await change(
      "move",
      before ? { number, before } : { number, last: true },
      () => `Parcel ${number} lies elsewhere now.`,
    );
    line.focus(number);
  }

  /** Ctrl+Z in an empty field is the line's; in a field with words the browser's. */
  const keys = (/** @type {KeyboardEvent} */ event) => {
    const field = event.target instanceof HTMLInputElement ? event.target.value : "";
    if (event.key !== "z" || !(event.ctrlKey || event.metaKey) || field) return;
    event.preventDefault();
    undo.press();
  };
  document.addEventListener("keydown", keys);
  search.field.focus();
  return {
    /** @param {State} state */
    show(state) {
      search.show(state);
      line.show(state);
      drop.show(state);
      undo.show(state);
      const orders = /** @type {Order[]} */ (state.held_back.answer?.orders ?? []);
      held.replaceChildren(...orders.map(makeHeld));
    },
    close() {
      document.removeEventListener("keydown", keys);
      drop.close();
    },
  };
}

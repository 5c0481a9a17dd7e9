// A parcel's card: what must be known of it, asked in the hand's order. Enter goes to the next question that
// is open and lines up behind the last; all that is proposed is skipped and can be reached by Tab.

import { act, quoted, refusal, remarkWords } from "./acts.js";
import { forgetKept, keepingKeys } from "./ahead.js";
import { make, makeButton } from "./dom.js";
import { makeFields, NOTHING, saidBy, showProposal } from "./fields.js";

/** @import { Computed, Outcome, Remark, State } from "./acts.js" */
/** @import { Known } from "./fields.js" */

/**
 * @typedef {object} CardPurpose what a card is for
 * @property {string} head
 * @property {string[]} lines what is inside
 * @property {Known} known
 * @property {string} does the word of its button
 * @property {(said: Record<string, unknown>, dry: boolean) => Promise<Outcome>} ask
 * @property {(outcome: Outcome) => Promise<void>} done
 * @property {() => void} away
 * @property {() => void} [join] puts the buyer's other orders into it
 * @property {Node[]} [more] further things to do with it
 * @property {Computed} [computed] what the rules made of it when it was opened
 */

/** How long the ledger is not asked while somebody types, in milliseconds. */
const PAUSE = 180;

/**
 * Opens a card in a room; its first open question has the focus.
 * @param {HTMLElement} room
 * @param {State} state
 * @param {CardPurpose} purpose
 */
export function openCard(room, state, purpose) {
  const card = makeFields(state.shop, purpose.known);
  const { fields } = card;
  const mates = make("p", { class: "mates" });
  const found = make("ul", { class: "found", id: "card-found", "aria-live": "polite" });
  const button = makeButton(purpose.does, () => keepingKeys(() => once(finish)));
  button.className = "do";
  const form = make("form", { id: "card", "aria-label": purpose.head }, make("h2", {}, purpose.head));
  form.append(
    make("ul", { class: "inside" }, ...purpose.lines.map((line) => make("li", {}, line))),
    mates,
    ...makeDoubt(purpose.computed),
    found,
  );
  form.append(...[...fields.values()].map((field) => field.row), card.extras);
  form.append(
    make(
      "div",
      { class: "doing" },
      button,
      makeButton("Put away", () => leave(purpose.away)),
    ),
  );
  const keys = "Enter goes on, Shift+Enter back, Escape puts the card away unsaved.";
  form.append(...(purpose.more ?? []), make("p", { class: "small" }, keys));
  room.replaceChildren(form);

  /** What was said when the ledger was asked last, and what it found. */
  let asked = { said: "", warnings: "", refused: false, answer: /** @type {any} */ (null) };
  /** Warnings that the seller has seen and was asked about. */
  let seen = "";
  let timer = 0;
  let number = 0;
  /** Whether an answer is waited for that leads on; nothing else is begun until it is there. */
  let busy = false;
  /** Whether the parcel is being lined up or noted, which nothing calls back. */
  let doing = false;
  /** Whether the card was put away, or its parcel is done. */
  let over = false;

  /**
   * Does what leads on, unless such a thing is under way.
   * @param {() => Promise<void>} work
   */
  async function once(work) {
    if (busy || over) return;
    busy = true;
    try {
      await work();
    } finally {
      busy = false;
    }
  }

  /**
   * Leaves the card, unless its parcel is being lined up or noted.
   * @param {() => void} to
   */
  function leave(to) {
    if (doing || over) return;
    over = true;
    clearTimeout(timer);
    to();
  }

  /** Asks the ledger what would come of it, and shows that. */
  async function look() {
    clearTimeout(timer);
    const said = saidBy(card, purpose.known);
    const text = JSON.stringify(said);
    const turn = ++number;
    const outcome = await purpose.ask(said, true);
    if (turn !== number || over) return;
    show(outcome);
    const [warnings, refused] = [warningsOf(outcome), outcome.exit !== 0];
    asked = { said: text, warnings, refused, answer: outcome.answer ?? asked.answer };
  }

  /** @param {Outcome} outcome */
  function show(outcome) {
    const remarks = outcome.exit === 0 ? outcome.remarks.filter((it) => it.severity !== "note") : [];
    const lines = remarks.map((remark) => makeRemark(remark));
    if (outcome.exit !== 0) lines.push(make("li", { class: "wrong" }, refusal(outcome)));
    const doubt = outcome.answer?.tag_doubt;
    if (doubt) lines.push(make("li", { class: "wrong" }, `This tag is a poor one: ${quoted(doubt)}.`));
    found.replaceChildren(...lines);
    const parcel = outcome.answer?.parcels?.[0];
    const computed = parcel && outcome.answer.computed?.[String(parcel.number)];
    if (computed) {
      showProposal(fields, parcel.tag, computed);
      form.dataset.number = String(parcel.number);
    }
    showMates(outcome.answer?.mates?.[0]);
  }

  /** @param {{ orders: string[], parcels: number[] } | undefined} mate */
  function showMates(mate) {
    mates.replaceChildren();
    if (!mate || !purpose.join || mate.orders.length === 0) return;
    mates.append(`${mate.orders.join(" and ")} goes to the same person and address. `);
    const { join: joinIt } = purpose;
    const join = makeButton("Put it into this parcel", () => leave(joinIt));
    join.append(make("kbd", { "aria-hidden": "true" }, "+"));
    join.setAttribute("aria-keyshortcuts", "+");
    mates.append(join);
  }

  /** The questions that are open: the scale is always asked, the rest where it must be answered. */
  function questions() {
    const parcel = asked.answer?.parcels?.[0];
    const computed = parcel && asked.answer.computed?.[String(parcel.number)];
    const open = ["weight"];
    if (computed?.hazard_open && !fields.get("hazard")?.input.value) open.push("hazard");
    if (asked.answer?.tag_doubt) open.unshift("tag");
    return open;
  }

  /** Goes on from a field; behind the last open question the card is done. */
  async function goOn(/** @type {string} */ from) {
    await look();
    if (over) return;
    if (asked.refused) return goToFault();
    const names = [...fields.keys()];
    const next = questions().find((name) => names.indexOf(name) > names.indexOf(from));
    if (next) fields.get(next)?.input.focus();
    else await finish();
  }

  /**
   * Goes to the field that a refusal quotes, to be typed anew; what was typed meanwhile was meant for another
   * question.
   */
  function goToFault() {
    forgetKept();
    const said = found.textContent ?? "";
    const inputs = [...fields.values()].map(({ input }) => input);
    const at = inputs.find((input) => input.value.trim() && said.includes(`“${input.value.trim()}”`));
    const focused = inputs.find((input) => input === document.activeElement);
    const input = at ?? focused;
    input?.focus();
    if (input instanceof HTMLInputElement) input.select();
  }

  /** @param {string} from */
  function goBack(from) {
    const names = [...fields.keys()];
    fields.get(names[Math.max(names.indexOf(from) - 1, 0)])?.input.focus();
  }

  /**
   * Does it. What the ledger warns of is shown first, and asked about once; keys that were typed before it
   * was seen are no answer to it.
   */
  async function finish() {
    const said = saidBy(card, purpose.known);
    if (JSON.stringify(said) !== asked.said || asked.refused) await look();
    if (over) return;
    if (asked.refused) return goToFault();
    if (asked.warnings && asked.warnings !== seen) {
      seen = asked.warnings;
      goToFault();
      found.append(make("li", {}, `Look at this first; then Enter does it all the same.`));
      return;
    }
    doing = true;
    const outcome = await purpose.ask(said, false);
    doing = false;
    over = outcome.exit === 0;
    if (over) return purpose.done(outcome);
    show(outcome);
    goToFault();
  }

  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = window.setTimeout(look, PAUSE);
  });
  form.addEventListener("keydown", (event) => {
    const field = event.target instanceof HTMLElement ? event.target : form;
    const name = field.getAttribute("name") ?? "";
    const isText = name === "tag" || name === "hazard" || name === "because";
    if (event.key === "Escape") leave(purpose.away);
    else if (event.key === "+" && purpose.join && !isText) leave(purpose.join);
    else if (event.key === "Enter" && fields.has(name))
      event.shiftKey ? goBack(name) : keepingKeys(() => once(() => goOn(name)));
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  if (purpose.computed) showProposal(fields, purpose.known.tag, purpose.computed);
  fields.get("weight")?.input.focus();
  look();
  return { form, look };
}

/**
 * That a weight or a declaration that was noted is not as it should be, as long as it stands.
 * @param {Computed} [computed]
 */
function makeDoubt(computed) {
  const doubts = [computed?.weight_doubt, computed?.hazard_doubt].filter((it) => it !== undefined);
  return doubts.map((doubt) => make("p", { class: "doubt" }, `As noted: ${quoted(doubt)}`));
}

/**
 * What must be looked at before something is done, as one text.
 * @param {Outcome} outcome
 */
function warningsOf(outcome) {
  if (outcome.exit !== 0) return "";
  const warnings = outcome.remarks.filter((remark) => remark.severity === "warning" && !isAsked(remark));
  return [...warnings.map((remark) => remark.message), outcome.answer?.tag_doubt ?? ""]
    .filter(Boolean)
    .join("\n");
}

/**
 * Whether a remark is a question that the card asks anyway.
 * @param {Remark} remark
 */
function isAsked(remark) {
  return remark.rule === "undeclared-hazard";
}

/** @param {Remark} remark */
export function makeRemark(remark) {
  const line = make("li", { class: remark.severity ?? "" }, remarkWords(remark));
  for (const detail of remark.details ?? []) line.append(make("span", { class: "small" }, quoted(detail)));
  return line;
}

/**
 * What is known of nothing yet, or by what was noted of a parcel.
 * @param {import("./acts.js").Parcel} [parcel]
 * @returns {Known}
 */
export function knownOf(parcel) {
  if (!parcel) return NOTHING;
  return {
    tag: parcel.tag,
    weight: parcel.weight_g ? String(parcel.weight_g) : "",
    size: parcel.size_mm?.join("x") ?? "",
    pack: parcel.pack ?? "",
    service: parcel.service ?? "",
    extras: parcel.extras ?? [],
    hazard: parcel.hazard ?? "",
  };
}

/**
 * Lines up orders or notes something of a parcel, for a card.
 * @param {"line-up" | "note"} verb
 * @param {Record<string, unknown>} what
 * @returns {(said: Record<string, unknown>, dry: boolean) => Promise<Outcome>}
 */
export function asking(verb, what) {
  return async (said, dry) => {
    // There is nothing to note while nothing is said; then nothing is wrong with it either.
    if (verb === "note" && Object.keys(said).length === 0) return { exit: 0, answer: null, remarks: [] };
    return act(verb, { ...what, ...said, ...(dry ? { "dry-run": true } : {}) });
  };
}

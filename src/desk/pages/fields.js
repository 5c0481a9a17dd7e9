// The fields of a parcel's card, in the hand's order, and what they say to the ledger.

import { make } from "./dom.js";

/** @import { Computed, Shop } from "./acts.js" */

/**
 * @typedef {object} Field
 * @property {string} name as the ledger's verbs call it
 * @property {HTMLElement} row
 * @property {HTMLInputElement | HTMLSelectElement} input
 * @property {HTMLElement} hint what we expect, or what is wrong with it
 */

/**
 * @typedef {object} Known what is known of a parcel before its card is opened
 * @property {string} tag
 * @property {string} weight
 * @property {string} size
 * @property {string} pack
 * @property {string} service
 * @property {string[]} extras
 * @property {string} hazard
 */

/** @type {Known} */
export const NOTHING = { tag: "", weight: "", size: "", pack: "", service: "", extras: [], hazard: "" };

/** What each field is called, in the hand's order. */
const WORDS = {
  tag: "Tag",
  pack: "Pack",
  weight: "Weight",
  size: "Size, your own box",
  hazard: "Declared goods",
  service: "Service",
};

/** The unit behind a field. */
const UNITS = { weight: "g", size: "mm, as 220x110x40" };

/**
 * The fields of a card.
 * @param {Shop} shop
 * @param {Known} known
 */
export function makeFields(shop, known) {
  /** @type {Map<string, Field>} */
  const fields = new Map();
  for (const [name, word] of Object.entries(WORDS)) {
    const choices =
      name === "pack" ? shop.packs : name === "service" ? shop.services.map((it) => it.name) : [];
    const field = makeField(name, word, choices);
    field.input.value = String(known[/** @type {keyof Known} */ (name)]);
    fields.set(name, field);
  }
  const hazard = fields.get("hazard");
  if (hazard) hazard.hint.textContent = "n for none, or what it is; then Enter";
  const extras = makeExtras(shop, known.extras);
  return { fields, extras };
}

/**
 * @param {string} name
 * @param {string} word
 * @param {string[]} choices
 * @returns {Field}
 */
function makeField(name, word, choices) {
  const id = `field-${name}`;
  const common = { id, name, autocomplete: "off", "aria-describedby": `${id}-hint` };
  const input = choices.length > 0 ? make("select", common) : make("input", { ...common, type: "text" });
  if (input instanceof HTMLSelectElement) {
    input.append(make("option", { value: "" }, "as proposed"));
    for (const choice of choices) input.append(make("option", { value: choice }, choice));
  }
  if (name === "weight") input.setAttribute("inputmode", "decimal");
  const hint = make("span", { class: "hint", id: `${id}-hint` });
  const unit = name in UNITS ? UNITS[/** @type {keyof typeof UNITS} */ (name)] : "";
  const entry = make("div", { class: "entry" }, input, make("span", { class: "unit" }, unit));
  const row = make("div", { class: "field" }, make("label", { for: id }, word), entry, hint);
  return { name, row, input, hint };
}

/**
 * The extras that the shop's services have, each to be switched on.
 * @param {Shop} shop
 * @param {string[]} on
 */
function makeExtras(shop, on) {
  const names = [...new Set(shop.services.flatMap((service) => service.extras))];
  const group = make("fieldset", { class: "field extras", id: "field-extras" }, make("legend", {}, "Extras"));
  for (const name of names) {
    const box = make("input", { type: "checkbox", value: name });
    box.checked = on.includes(name);
    group.append(make("label", {}, box, ` ${name}`));
  }
  group.hidden = names.length === 0;
  return group;
}

/**
 * What the fields say that is not as it was known, as arguments of a verb; an n alone declares that nothing
 * hazardous is inside. What was taken out again cannot be said to the ledger and stays.
 * @param {ReturnType<typeof makeFields>} card
 * @param {Known} known
 */
export function saidBy(card, known) {
  /** @type {Record<string, string | string[]>} */
  const said = {};
  for (const [name, { input }] of card.fields) {
    const typed = input.value.trim();
    const value = name === "hazard" && /^n$/i.test(typed) ? "none" : typed;
    if (value && value !== known[/** @type {keyof Known} */ (name)]) said[name] = value;
  }
  const boxes = /** @type {HTMLInputElement[]} */ ([...card.extras.querySelectorAll("input")]);
  const on = boxes.filter((box) => box.checked).map((box) => box.value);
  if (on.join() !== known.extras.join()) said.extra = on.length > 0 ? on : ["none"];
  return said;
}

/**
 * Shows what the ledger proposes and expects.
 * @param {Map<string, Field>} fields
 * @param {string} tag
 * @param {Computed} computed
 */
export function showProposal(fields, tag, computed) {
  const tell = (/** @type {string} */ name, /** @type {string} */ words) => {
    const field = fields.get(name);
    if (field) field.hint.textContent = words;
  };
  const propose = (/** @type {string} */ name, /** @type {string} */ value) => {
    const input = fields.get(name)?.input;
    if (input instanceof HTMLSelectElement) input.options[0].text = value || "none fits";
    else if (input instanceof HTMLInputElement) input.placeholder = value;
  };
  propose("tag", tag);
  propose("pack", computed.pack);
  propose("service", computed.service);
  propose("hazard", computed.hazard);
  const typed = fields.get("weight")?.input.value;
  const says = computed.weight_g && !typed ? `${computed.weight_g} g by its order` : "";
  const should = computed.expected_weight ? `should weigh ${computed.expected_weight}` : "";
  tell("weight", [should, says].filter(Boolean).join(", "));
  if (computed.pack_reason) tell("pack", computed.pack_reason);
  tell("service", computed.price ?? "no price is known");
}

// The first start: who sends, in six fields. Nothing else can be done before there is a shop file.

import { readOutcome, refusal } from "./acts.js";
import { make } from "./dom.js";

/** @import { Desk } from "./evening.js" */

/** What is asked for: a name of the shop file's, the words before the field, what browsers know of it, and whether
 * it may be left empty. */
const FIELDS = [
  { name: "name", words: "The shop's name", known: "organization", free: false },
  { name: "street", words: "Street and number", known: "street-address", free: false },
  { name: "postcode", words: "Postcode", known: "postal-code", free: true },
  { name: "city", words: "Town", known: "address-level2", free: false },
  { name: "country", words: "Country", known: "country", free: false },
  { name: "contact", words: "E-mail or web page for buyers (may stay empty)", known: "email", free: true },
];

export const first = { name: "first", word: "Begin", open };

/**
 * @param {HTMLElement} room
 * @param {Desk} desk
 */
function open(room, desk) {
  const form = make("form", { id: "first", novalidate: "" }, make("h2", {}, "Who sends?"));
  form.append(make("p", {}, "This stands on every label. It is kept as shop.yaml in the desk's folder."));
  /** @type {Record<string, HTMLInputElement | HTMLSelectElement>} */
  const fields = {};
  for (const { name, words, known, free } of FIELDS) {
    const about = { id: `first-${name}`, name, autocomplete: known };
    const field = name === "country" ? make("select", about) : make("input", { type: "text", ...about });
    if (!free) field.required = true;
    fields[name] = field;
    form.append(make("p", {}, make("label", { for: field.id }, words), field));
  }
  form.append(make("button", { type: "submit" }, "Begin the first evening"));
  room.append(form);
  fields.name.focus();
  listCountries(fields.country);

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const body = Object.fromEntries(Object.entries(fields).map(([name, field]) => [name, field.value]));
    const asked = fetch("/first/shop", { method: "POST", body: JSON.stringify(body) });
    const outcome = await readOutcome(await asked.catch(() => null));
    if (outcome.exit !== 0) desk.say(refusal(outcome), "wrong");
    await desk.refresh();
  });
  return { show() {} };
}

/**
 * Lists the countries by their names; the one that the browser's language is of is chosen.
 * @param {HTMLElement} field
 */
async function listCountries(field) {
  const answer = await fetch("/first/countries").catch(() => null);
  /** @type {string[]} */
  const codes = answer?.ok ? await answer.json() : [];
  const names = new Intl.DisplayNames(["en"], { type: "region" });
  const countries = codes.map((code) => ({ code, name: names.of(code) ?? code }));
  countries.sort((one, other) => one.name.localeCompare(other.name, "en"));
  const likely = new Intl.Locale(navigator.language).region;
  field.append(make("option", { value: "" }, "choose"));
  for (const { code, name } of countries) {
    const option = make("option", { value: code }, name);
    option.selected = code === likely;
    field.append(option);
  }
}

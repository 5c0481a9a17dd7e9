// The first start: who sends, in six fields; the country proposes the language and currency of papers. Nothing else can be done before there is a shop file.

import { getJson, post, refusal, remarkWords } from "./acts.js";
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
  const language = make("select", { id: "first-language", name: "language" });
  const currency = make("select", { id: "first-currency", name: "currency" });
  fields.language = language;
  fields.currency = currency;
  form.append(
    make(
      "p",
      { class: "proposed" },
      make("span", {}, make("label", { for: language.id }, "Papers are in"), language),
      make("span", {}, make("label", { for: currency.id }, "Prices are in"), currency),
    ),
  );
  form.append(make("button", { type: "submit" }, "Begin the first evening"));
  room.append(form);
  fields.name.focus();
  listChoices(fields.country, language, currency);
  /** The answers that something was said against: sent once more, they are meant. */
  let doubted = "";

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const answers = Object.fromEntries(Object.entries(fields).map(([name, field]) => [name, field.value]));
    const text = JSON.stringify(answers);
    const outcome = await post("/first/shop", { ...answers, sure: text === doubted });
    const warnings = outcome.remarks.filter((remark) => remark.severity === "warning");
    const isDoubted = outcome.exit !== 0 && warnings.length === outcome.remarks.length;
    doubted = isDoubted ? text : "";
    if (isDoubted) {
      desk.say(`${warnings.map(remarkWords).join(" ")} If it is right, begin once more.`, "wrong");
      fields.postcode.focus();
    } else if (outcome.exit !== 0) desk.say(refusal(outcome), "wrong");
    await desk.refresh();
  });
  return { show() {} };
}

/**
 * Lists what can be chosen. The country that the browser's language is of is chosen, and each country proposes
 * the language and the currency that are usual there, until the seller chooses others.
 * @param {HTMLInputElement | HTMLSelectElement} country
 * @param {HTMLSelectElement} language
 * @param {HTMLSelectElement} currency
 */
async function listChoices(country, language, currency) {
  const told = await getJson("/first/countries");
  /** @type {{ code: string, currency: string | null }[]} */
  const countries = told?.countries ?? [];
  /** @type {string[]} */
  const languages = told?.languages ?? [];
  fill(
    country,
    "region",
    "choose",
    countries.map(({ code }) => code),
  );
  fill(language, "language", "", languages);
  fill(currency, "currency", "not named: papers show no prices", told?.currencies ?? []);
  const chosen = new Set();
  for (const field of [language, currency]) field.addEventListener("change", () => chosen.add(field));

  function propose() {
    const at = countries.find(({ code }) => code === country.value);
    const spoken = at ? new Intl.Locale(`und-${at.code}`).maximize().language : "en";
    const tags = [`${spoken}-${at?.code}`, spoken, "en"];
    if (!chosen.has(language)) language.value = tags.find((tag) => languages.includes(tag)) ?? "en";
    if (!chosen.has(currency)) currency.value = at?.currency ?? "";
  }
  country.addEventListener("change", propose);
  country.value = new Intl.Locale(navigator.language).region ?? "";
  propose();
}

/**
 * Fills a list with what codes stand for, by name.
 * @param {HTMLElement} field
 * @param {"region" | "language" | "currency"} type
 * @param {string} none what stands first for none; empty where one is always chosen
 * @param {string[]} codes
 */
function fill(field, type, none, codes) {
  const names = new Intl.DisplayNames(["en"], { type });
  const choices = codes.map((code) => ({ code, name: names.of(code) ?? code }));
  choices.sort((one, other) => one.name.localeCompare(other.name, "en"));
  if (none) field.append(make("option", { value: "" }, none));
  for (const { code, name } of choices) field.append(make("option", { value: code }, name));
}

// Writes again what every locale writes, by Intl, for tests/outside/languages.py.
//
// Usage: node languages.mjs < QUESTIONS
// Each line is a locale's tag and a question, divided by a tab; each answer stands on a line of its
// own. The first line is the version of the CLDR that Intl has.

import { readFileSync } from "node:fs";

const DATES = {
    long: { day: "numeric", month: "long", year: "numeric" },
    short: { day: "numeric", month: "short", year: "numeric" },
    numeric: { day: "2-digit", month: "2-digit", year: "numeric" },
    month: { month: "long", year: "numeric" },
};

const made = new Map();
function once(key, make) {
    if (!made.has(key)) made.set(key, make());
    return made.get(key);
}

function answer(tag, [kind, ...rest]) {
    if (kind === "money") {
        const [amount, currency] = rest;
        const format = once(`money ${tag} ${currency}`, () =>
            new Intl.NumberFormat(tag, { style: "currency", currency }));
        return format.format(amount);
    }
    if (kind === "number") {
        const format = once(`number ${tag}`, () =>
            new Intl.NumberFormat(tag, { maximumFractionDigits: 20 }));
        return format.format(rest[0]);
    }
    if (kind === "day") {
        const [form, date] = rest;
        // Our English is that of the world where dates are concerned.
        const locale = `${tag === "en" ? "en-001" : tag}-u-ca-gregory`;
        const format = once(`day ${tag} ${form}`, () => form === "long"
            ? new Intl.DateTimeFormat(locale, { dateStyle: "long", timeZone: "UTC" })
            : new Intl.DateTimeFormat(locale, { ...DATES[form], timeZone: "UTC" }));
        return format.format(new Date(`${date}T12:00:00Z`));
    }
    return once(`plural ${tag}`, () => new Intl.PluralRules(tag)).select(Number(rest[0]));
}

const lines = readFileSync(0, "utf8").split("\n").filter((line) => line !== "");
const answers = lines.map((line) => {
    const [tag, question] = line.split("\t");
    return answer(tag, question.split(" "));
});
process.stdout.write([process.versions.cldr, ...answers].join("\n") + "\n");

// Asking the server: a verb of `slipwright ledger` with its arguments, and all that pages show. What comes
// back is what a program gets from the command line; no page has a rule of its own.

/**
 * @typedef {object} Remark something found or said beside an answer
 * @property {"error" | "warning" | "note"} [severity]
 * @property {string} [rule]
 * @property {string} [message]
 * @property {string[]} [details]
 * @property {string[]} [hints]
 * @property {number} [parcel]
 * @property {string} [order]
 * @property {number} [position] the parcel on the bench
 * @property {number[]} [others] further parcels that it is true of
 * @property {{ file: string, line: number }} [place]
 * @property {string} [said]
 */

/**
 * @typedef {object} Outcome
 * @property {number} exit 0 when it was done
 * @property {any} answer the verb's JSON; none when it was refused
 * @property {Remark[]} remarks
 */

/**
 * @typedef {object} Order
 * @property {string} id
 * @property {string} state
 * @property {string} name
 * @property {string} town
 * @property {string} country
 * @property {string[]} items
 * @property {string} [may_be]
 */

/**
 * @typedef {object} Parcel
 * @property {number} number
 * @property {number} place
 * @property {string} tag
 * @property {string} pair
 * @property {"lined up" | "printed" | "matched" | "handed over" | "taken off" | "set aside"} state
 * @property {string} since
 * @property {string[]} orders
 * @property {string} tracking
 * @property {{ document: string }[]} papers
 * @property {number} [weight_g]
 * @property {string} [hazard]
 * @property {number} [weight_before] what the scale said before one of its orders held something else
 * @property {string} [hazard_before] what was noted of them before an order declared something else
 * @property {[number, number, number]} [size_mm]
 * @property {string} [pack]
 * @property {string} [service]
 * @property {string[]} [extras]
 * @property {string} [printed]
 * @property {string} [reason]
 */

/**
 * @typedef {object} Computed what the shop file's rules make of a parcel
 * @property {string | null} expected_weight
 * @property {number | null} weight_g
 * @property {string} pack
 * @property {string} [pack_reason]
 * @property {string} service
 * @property {string | null} price
 * @property {string} hazard
 * @property {boolean} hazard_open it is to be declared: nobody has, and the shop minds, or an order says otherwise now
 * @property {string} [hazard_doubt] what an order declares though it was noted that there is none
 * @property {string} [weight_doubt] what speaks against the weight on the scale
 * @property {string} tally
 */

/**
 * @typedef {object} LastAct what would be taken back
 * @property {number} act
 * @property {string} at
 * @property {string} by
 * @property {string | null} request
 * @property {string[]} says
 */

/**
 * @typedef {object} Shop
 * @property {string} name
 * @property {string[]} packs
 * @property {{ name: string, extras: string[] }[]} services
 * @property {string[]} printers those that have a queue
 */

/**
 * @typedef {object} Sitting
 * @property {number} number
 * @property {string} name
 */

/**
 * @typedef {object} State
 * @property {string} folder
 * @property {boolean} has_shop whether there is a shop file
 * @property {Shop} shop
 * @property {Outcome | null} trouble why the ledger cannot be used; none when it can
 * @property {Outcome} line
 * @property {Outcome} waiting
 * @property {Outcome} held_back
 * @property {Outcome} news what exports say of orders that are here
 * @property {Outcome | null} newest the line of the newest sitting, when none is open
 */

/** What the server answers when it is not there any more. */
const GONE = "The desk does not answer. Start it again with slipwright desk, and open its new address.";

/**
 * Does a verb. It is asked once more when no answer came: its request has a name of its own, so that it is
 * done once all the same.
 * @param {string} verb
 * @param {Record<string, unknown>} given
 * @returns {Promise<Outcome>}
 */
export async function act(verb, given = {}) {
  const asks =
    ["list", "history", "check"].includes(verb) || given["dry-run"] === true || given.finish === true;
  const named = asks ? given : { request: nameRequest(), ...given };
  const ask = () => fetch(`/act/${verb}`, { method: "POST", body: JSON.stringify(named) }).catch(() => null);
  const answer = (await ask()) ?? (await ask());
  return readOutcome(answer);
}

/** Where this page keeps the names of what it asked for, so that a reload does not forget them. */
const REQUESTS = "slipwright-requests";

/** How many of them it keeps. */
const KEPT_REQUESTS = 300;

/** The names of what this page asked for, the oldest first. */
function readRequests() {
  return (sessionStorage.getItem(REQUESTS) ?? "").split(" ").filter(Boolean);
}

/** A new name for a request. */
function nameRequest() {
  const name = crypto.randomUUID();
  sessionStorage.setItem(REQUESTS, [...readRequests(), name].slice(-KEPT_REQUESTS).join(" "));
  return name;
}

/**
 * Whether this page asked for something.
 * @param {string | null} request its name
 */
export function wasAsked(request) {
  return request !== null && readRequests().includes(request);
}

/**
 * What an answer says; a server that is gone or refuses to listen is told like a refusal of the ledger.
 * @param {Response | null} answer
 * @returns {Promise<Outcome>}
 */
export async function readOutcome(answer) {
  if (answer?.ok) return answer.json();
  const message = !answer || answer.status === 401 ? GONE : (await answer.text()).trim();
  return { exit: 3, answer: null, remarks: [{ severity: "error", message, hints: [] }] };
}

/**
 * Sends JSON to an address of the desk's own, and what came of it.
 * @param {string} address
 * @param {unknown} given
 * @returns {Promise<Outcome & Record<string, any>>}
 */
export async function post(address, given) {
  const body = JSON.stringify(given);
  return readOutcome(await fetch(address, { method: "POST", body }).catch(() => null));
}

/**
 * All that pages show; nothing when the server is gone.
 * @returns {Promise<State | null>}
 */
export async function getState() {
  return getJson("/state");
}

/**
 * The JSON at an address; nothing when the server is gone.
 * @param {string} address
 * @returns {Promise<any>}
 */
export async function getJson(address) {
  const answer = await fetch(address).catch(() => null);
  return answer?.ok ? answer.json() : null;
}

/**
 * What stopped an act, in sentences; nothing when it was done.
 * @param {Outcome} outcome
 */
export function refusal(outcome) {
  if (outcome.exit === 0) return "";
  const errors = outcome.remarks.filter((remark) => remark.severity === "error" || remark.said);
  const sentences = errors.map((remark) => remarkWords(remark));
  return sentences.join(" ") || "This was not done.";
}

/**
 * A remark in a sentence, with what helps.
 * @param {Remark} remark
 */
export function remarkWords(remark) {
  // What can only be typed on a command line helps nobody here.
  const hints = (remark.hints ?? []).filter((hint) => !/`[^`]*--\w/.test(hint));
  const words = [remark.message ?? remark.said ?? "", ...hints];
  return words.filter(Boolean).map(sentence).join(" ");
}

/**
 * Words of the ledger as a sentence: they begin small and end without a full stop.
 * @param {string} words
 */
export function sentence(words) {
  const said = quoted(words);
  const end = /[.?!]$/.test(said) ? "" : ".";
  return `${said.charAt(0).toUpperCase()}${said.slice(1)}${end}`;
}

/**
 * Words of the ledger with what they quote in quotation marks.
 * @param {string} words
 */
export function quoted(words) {
  return words.replace(/`([^`]*)`/g, "“$1”");
}

// Sending a document to a printer, and what the printer says of it until it is printed.

import { post, refusal, sentence } from "./acts.js";
import { make, makeButton } from "./dom.js";
import { plain } from "./names.js";

/** How often a printer is asked, in milliseconds. */
const PAUSE = 1000;

/**
 * The button that prints a document, the pages, the printer, and how it is.
 * @param {string} document
 * @param {string[]} printers
 */
export function makeSender(document, printers) {
  const file = document.split("/").at(-1) ?? document;
  const pages = make("input", { type: "text", class: "pages", placeholder: "all pages, or 3,7-9" });
  pages.setAttribute("aria-label", `Pages of ${plain(file)}`);
  const printer = make("select", { "aria-label": `Printer of ${plain(file)}` });
  printer.append(make("option", { value: "" }, "the printer for its paper"));
  for (const name of printers) printer.append(make("option", { value: name }, name));
  const told = make("p", { class: "told", role: "status" });
  const button = makeButton(`Print ${plain(file)}`, send);
  const part = make("div", { class: "sender" }, button, pages, printer, told);

  async function send() {
    button.disabled = true;
    told.textContent = "Asking the printer …";
    const outcome = await post("/send", { document, pages: pages.value, printer: printer.value });
    button.disabled = false;
    if (outcome.exit !== 0) return tell(refusal(outcome), "wrong");
    tell(`At the printer as job ${outcome.answer.job}.`, "");
    await watch(outcome.answer);
  }

  /**
   * Asks how a job is until it is over; printed is what the printer says is printed.
   * @param {{ job: number, printer: string | null }} sent
   */
  async function watch({ job, printer }) {
    while (part.isConnected) {
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
      const { exit, answer, remarks } = await post("/job", { job, printer });
      if (exit !== 0) return tell(refusal({ exit, answer, remarks }), "wrong");
      if (answer.printed) return tell("Printed: the printer says so.", "right");
      const why = (answer.remarks ?? []).join(", ");
      const words = sentence(`job ${job} is ${answer.state}${why ? `: ${why}` : ""}`);
      if (["cancelled", "aborted", "completed"].includes(answer.state)) return tell(words, "wrong");
      tell(words, "");
    }
  }

  /**
   * @param {string} words
   * @param {"right" | "wrong" | ""} kind
   */
  function tell(words, kind) {
    told.className = `told ${kind}`;
    told.textContent = words;
  }
  return part;
}

// A question that stands in the flow and keeps the focus until it is answered or put away.

import { make, makeButton } from "./dom.js";

/**
 * Asks for a reason in words.
 * @param {HTMLElement} room what it stands in; emptied when it is answered
 * @param {string} question
 * @param {string} does what its button does
 * @param {(because: string) => void} answer
 * @param {() => void} [away]
 */
export function askReason(room, question, does, answer, away) {
  const field = make("input", { id: "because", name: "because", type: "text", autocomplete: "off" });
  const form = make("form", { class: "ask" }, make("label", { for: "because" }, question), field);
  const leave = () => {
    room.replaceChildren();
    away?.();
  };
  const give = () => {
    const because = field.value.trim();
    if (!because) return field.focus();
    room.replaceChildren();
    answer(because);
  };
  form.append(makeButton(does, give), makeButton("Put away", leave));
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("keydown", (event) => {
    if (event.key === "Escape") leave();
    else if (event.key === "Enter" && event.target === field) give();
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  room.replaceChildren(form);
  field.focus();
}

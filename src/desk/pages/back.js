// The preview as a page of the desk: which layout is shown, and the way back.

import { find, make } from "./dom.js";
import { openLayout } from "./look.js";

/** @import { Look } from "./look.js" */

/**
 * Shows the way back and the layouts, where there is a desk.
 * @param {Look} look
 */
export function showDesk({ layouts }) {
  if (!layouts) return;
  const room = find("desk");
  const choice = make("select", { id: "layout-choice" });
  for (const name of layouts.names) choice.append(make("option", { value: name }, name));
  choice.value = layouts.open;
  choice.addEventListener("change", () => openLayout(choice.value));
  const label = make("label", { for: "layout-choice" }, "Layout ");
  // Whoever is choosing goes on choosing.
  if (room.contains(document.activeElement)) return;
  room.replaceChildren(make("a", { href: "/" }, "Back to the evening"), label, choice);
  room.hidden = false;
}

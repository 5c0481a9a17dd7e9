// The row of words above the pages, and the keys that do the same.

import { find, make } from "./dom.js";

/**
 * @typedef {object} Tool
 * @property {string} word
 * @property {string} key
 * @property {() => void} act
 * @property {() => boolean} [on] whether it is switched on; none for what only acts
 */

/** Whether single keys act: speech input may take words for keys, so they can be switched off. */
let keysAct = true;

/** @type {{ tool: Tool, button: HTMLButtonElement }[]} */
const shown = [];

/**
 * Shows groups of tools and listens to their keys.
 * @param {Record<string, Tool[]>} groups
 */
export function showTools(groups) {
  const room = find("tools");
  for (const [label, tools] of Object.entries(groups)) {
    const group = make("div", { role: "group", "aria-label": label });
    for (const tool of tools) group.append(makeTool(tool));
    room.append(group);
  }
  document.addEventListener("keydown", (event) => {
    const typing = event.target instanceof HTMLInputElement;
    if (!keysAct || typing || event.ctrlKey || event.metaKey || event.altKey) return;
    const hit = shown.find(({ tool }) => tool.key === event.key);
    if (!hit) return;
    event.preventDefault();
    hit.tool.act();
    freshenTools();
  });
}

/** The tool that switches the keys. */
export const keysTool = {
  word: "single keys",
  key: "",
  act: () => {
    keysAct = !keysAct;
  },
  on: () => keysAct,
};

/** Shows which tools are on. */
export function freshenTools() {
  for (const { tool, button } of shown) {
    if (tool.on) button.setAttribute("aria-pressed", String(tool.on()));
  }
}

/** @param {Tool} tool */
function makeTool(tool) {
  const button = make("button", { type: "button" }, tool.word);
  if (tool.key) {
    const sign = { ArrowLeft: "←", ArrowRight: "→", "-": "−" }[tool.key] ?? tool.key;
    button.append(make("kbd", { "aria-hidden": "true" }, sign));
    button.setAttribute("aria-keyshortcuts", tool.key);
  }
  if (tool.on) button.setAttribute("aria-pressed", String(tool.on()));
  button.addEventListener("click", () => {
    tool.act();
    freshenTools();
  });
  shown.push({ tool, button });
  return button;
}

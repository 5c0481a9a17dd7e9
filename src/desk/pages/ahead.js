// Keys that are typed ahead. While the ledger is asked, keys are kept, and given in their order to whatever
// has the focus then: a practised hand is quicker than any answer.

/** How many answers are waited for. */
let waiting = 0;

/** @type {string[]} */
const kept = [];

document.addEventListener(
  "keydown",
  (event) => {
    const isText = event.key.length === 1 || event.key === "Enter";
    if (waiting === 0 || !isText || event.isComposing || event.ctrlKey || event.metaKey || event.altKey)
      return;
    kept.push(event.key);
    event.preventDefault();
    event.stopPropagation();
  },
  true,
);

/**
 * Does something that takes a moment and may lead the focus elsewhere.
 * @param {() => Promise<unknown>} work
 */
export async function keepingKeys(work) {
  waiting += 1;
  try {
    await work();
  } finally {
    waiting -= 1;
    giveKept();
  }
}

/** Forgets the keys that were kept, when they were typed for something else than what has come. */
export function forgetKept() {
  kept.length = 0;
}

/** Gives the keys that were kept, until one of them has something asked again. */
function giveKept() {
  while (waiting === 0 && kept.length > 0) {
    const key = kept.shift() ?? "";
    const field = document.activeElement ?? document.body;
    const isTaken = !field.dispatchEvent(
      new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }),
    );
    if (isTaken || key.length > 1 || !(field instanceof HTMLInputElement)) continue;
    field.setRangeText(key, field.selectionStart ?? 0, field.selectionEnd ?? 0, "end");
    field.dispatchEvent(new InputEvent("input", { bubbles: true }));
  }
}

// Making elements. Text goes in as text: nothing that a seller, a shop or a buyer wrote is ever markup.

const SVG = "http://www.w3.org/2000/svg";

/**
 * An element of the page, by its id.
 * @param {string} id
 */
export function find(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`the page has no ${id}`);
  return element;
}

/**
 * An element with its attributes and what is in it.
 * @template {keyof HTMLElementTagNameMap} Name
 * @param {Name} name
 * @param {Record<string, string>} attributes
 * @param {(Node | string)[]} inside
 * @returns {HTMLElementTagNameMap[Name]}
 */
export function make(name, attributes = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...inside);
  return element;
}

/**
 * An element of a drawing.
 * @param {string} name
 * @param {Record<string, string | number>} attributes
 * @param {(Node | string)[]} inside
 */
export function draw(name, attributes = {}, ...inside) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  element.append(...inside);
  return element;
}

/**
 * A button that says what it does.
 * @param {string} word
 * @param {() => void} act
 */
export function makeButton(word, act) {
  const button = make("button", { type: "button" }, word);
  button.addEventListener("click", act);
  return button;
}

/**
 * A count with its noun.
 * @param {number} count
 * @param {string} noun
 */
export function counted(count, noun) {
  return count === 1 ? `1 ${noun}` : `${count} ${noun}s`;
}

/**
 * Selects what stands in a field that gets the focus, so that what is typed takes its place; a field that was
 * left for another window goes on as it was.
 */
export function selectWhatStands() {
  /** @type {Element | null} */
  let left = null;
  window.addEventListener("blur", () => (left = document.activeElement));
  document.addEventListener("focusin", ({ target }) => {
    const isBack = target === left;
    left = null;
    if (!isBack && target instanceof HTMLInputElement && target.type === "text") target.select();
  });
}

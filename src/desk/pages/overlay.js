// What is laid over a page: block frames, grid, edges, white of codes, spots of findings, rulers.

import { draw } from "./dom.js";

/** @import { Box, Page } from "./look.js" */

/**
 * @typedef {object} Shown
 * @property {Set<string>} tools which of frames, grid, edges and white are on
 * @property {number} scale pixels of the screen a millimetre
 * @property {number | null} finding the number of the chosen finding
 * @property {number | null} block the number of the chosen block
 * @property {boolean} rulers
 */

/**
 * The drawing over a page.
 * @param {Page} page
 * @param {Shown} shown
 * @param {(block: number) => void} choose
 */
export function drawOverlay(page, shown, choose) {
  const hair = 1 / shown.scale;
  const root = draw("svg", {
    viewBox: `0 0 ${page.width} ${page.height}`,
    preserveAspectRatio: "none",
    "aria-hidden": "true",
    class: shown.tools.has("frames") ? "frames" : "",
  });
  if (shown.tools.has("grid")) root.append(...drawGrid(page, hair));
  if (shown.tools.has("edges")) root.append(drawEdge(page));
  page.blocks.forEach((block, number) => {
    const rect = drawBox(block.rect, "block", hair);
    if (isChosen(page, shown, number)) {
      rect.classList.add("chosen");
      rect.setAttribute("stroke-width", String(3 * hair));
    }
    rect.append(draw("title", {}, `${block.name}, line ${block.line}`));
    rect.addEventListener("click", () => choose(number));
    root.append(rect);
  });
  if (shown.tools.has("white")) root.append(...page.quiet.map((box) => drawBox(box, "white", 2 * hair)));
  root.append(...drawSpots(page, hair));
  if (shown.rulers) root.append(...drawRulers(page, hair));
  return root;
}

/**
 * Whether a block is chosen, or belongs to the chosen finding.
 * @param {Page} page
 * @param {Shown} shown
 * @param {number} number
 */
function isChosen(page, shown, number) {
  if (shown.block === number) return true;
  return page.spots.some(([finding, block]) => finding === shown.finding && block === number);
}

/**
 * @param {Box} box
 * @param {string} kind
 * @param {number} line
 */
function drawBox([x, y, width, height], kind, line) {
  return draw("rect", { x, y, width, height, class: kind, "stroke-width": line });
}

/**
 * Lines every millimetre, stronger ones every ten.
 * @param {Page} page
 * @param {number} hair
 */
function drawGrid(page, hair) {
  const step = (/** @type {number} */ every) => {
    let path = "";
    for (let x = every; x < page.width; x += every) path += `M${x} 0V${page.height}`;
    for (let y = every; y < page.height; y += every) path += `M0 ${y}H${page.width}`;
    return path;
  };
  const lines = [draw("path", { d: step(10), class: "grid tens", "stroke-width": hair })];
  // Closer than three pixels they would only be grey.
  if (hair < 1 / 3) lines.unshift(draw("path", { d: step(1), class: "grid", "stroke-width": hair }));
  return lines;
}

/**
 * The edge that must stay white.
 * @param {Page} page
 */
function drawEdge({ width, height, edge: [top, right, bottom, left] }) {
  const inner = `M${left} ${top}V${height - bottom}H${width - right}V${top}Z`;
  return draw("path", { d: `M0 0H${width}V${height}H0Z${inner}`, "fill-rule": "evenodd", class: "edge" });
}

/**
 * A ring around every spot, with the number of its finding.
 * @param {Page} page
 * @param {number} hair
 */
function drawSpots(page, hair) {
  const size = 20 * hair;
  return page.spots.flatMap(([finding, number], place) => {
    const [x, y, width, height] = page.blocks[number].rect;
    const ring = drawBox([x, y, width, height], "spot", 3 * hair);
    const before = page.spots.slice(0, place).filter(([, other]) => other === number).length;
    const left = x + before * size;
    const flag = drawBox([left, y, size, size], "flag", 0);
    const word = draw(
      "text",
      { x: left + size / 2, y: y + size * 0.75, "font-size": 14 * hair, class: "number" },
      String(finding),
    );
    return [ring, flag, word];
  });
}

/**
 * Millimetres along the upper and the left side.
 * @param {Page} page
 * @param {number} hair
 */
function drawRulers(page, hair) {
  let ticks = "";
  const numbers = [];
  const long = (/** @type {number} */ at) => (at % 10 === 0 ? 14 : at % 5 === 0 ? 9 : 5) * hair;
  const gap = 6 * hair;
  // Closer than three pixels only every fifth is drawn.
  const every = hair < 1 / 3 ? 1 : 5;
  for (let x = 0; x <= page.width; x += every) ticks += `M${x} ${-gap}v${-long(x)}`;
  for (let y = 0; y <= page.height; y += every) ticks += `M${-gap} ${y}h${-long(y)}`;
  const size = { "font-size": 12 * hair, class: "ruler-number" };
  for (let x = 10; x <= page.width; x += 10) {
    numbers.push(draw("text", { x: x - 15 * hair, y: -gap - 10 * hair, ...size }, String(x)));
  }
  for (let y = 10; y <= page.height; y += 10) {
    numbers.push(draw("text", { x: -gap - 30 * hair, y: y - 3 * hair, ...size }, String(y)));
  }
  return [draw("path", { d: ticks, class: "ruler", "stroke-width": hair }), ...numbers];
}

// Draws the pages of a PDF by pdf.js, for tests/outside/pdf_tools.py: one PNG a page, at a number
// of dots in an inch, and what it finds the page to say: a list of {role, alt, text} in reading
// order as s-NUMBER.json. Whatever pdf.js complains about goes to standard error, and nothing else.
//
// Usage: node pdfjs.mjs MODULES FILE.pdf DPI FOLDER
// MODULES is the folder that has pdfjs-dist and @napi-rs/canvas; `.ci/run` makes it.

import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, file, dpi, folder] = process.argv.slice(2);
const complain = (...words) => process.stderr.write(`${words.join(" ")}\n`);
for (const level of ["log", "info", "warn", "error"]) console[level] = complain;

const require = createRequire(pathToFileURL(join(resolve(modules), "x.js")));
const { createCanvas } = require("@napi-rs/canvas");
const { getDocument } = await import(
    pathToFileURL(require.resolve("pdfjs-dist/legacy/build/pdf.mjs")));

// Verbosity 1 tells warnings; fonts of the system would hide that ours are not embedded.
// The elements of a page without those around them, and the text of their pieces.
async function listElements(page) {
    const { items } = await page.getTextContent({ includeMarkedContent: true });
    const pieces = new Map();
    let piece = null;
    for (const item of items) {
        if (item.type === "beginMarkedContentProps") piece = item.id;
        else if (item.type === "endMarkedContent") piece = null;
        else if (piece && "str" in item) pieces.set(piece, (pieces.get(piece) ?? "") + item.str);
    }
    const elements = [];
    const visit = (node) => {
        const content = (node.children ?? []).filter((child) => child.type === "content");
        if (content.length > 0) {
            const text = content.map((child) => pieces.get(child.id) ?? "").join("");
            elements.push({ role: node.role, alt: node.alt ?? "", text });
        }
        (node.children ?? []).filter((child) => child.role).forEach(visit);
    };
    const tree = await page.getStructTree();
    if (tree) visit(tree);
    return elements;
}

const task = getDocument({
    data: new Uint8Array(readFileSync(file)),
    verbosity: 1,
    useSystemFonts: false,
});
const pdf = await task.promise;
for (let number = 1; number <= pdf.numPages; number += 1) {
    const page = await pdf.getPage(number);
    const viewport = page.getViewport({ scale: Number(dpi) / 72 });
    // A page that is no whole number of dots has the whole dots that fit, as everywhere here.
    const [width, height] = [viewport.width, viewport.height].map((it) => Math.floor(it + 0.01));
    const canvas = createCanvas(width, height);
    await page.render({ canvasContext: canvas.getContext("2d"), viewport }).promise;
    const name = `p-${String(number).padStart(6, "0")}.png`;
    writeFileSync(join(folder, name), canvas.toBuffer("image/png"));
    const said = JSON.stringify(await listElements(page));
    writeFileSync(join(folder, name.replace(/^p(.*)png$/, "s$1json")), said);
    page.cleanup();
}
await task.destroy();

// The camera on Match: its pictures go to the server on this machine, which says what codes are in them. Card
// and label held up together are scanned one after the other; a code is scanned once while it is held up.

import { draw, make, makeButton } from "./dom.js";

/**
 * @typedef {object} SeenCode
 * @property {string} text
 * @property {[number, number][]} corners
 */

/** The picture that is asked for and sent: a label held 350 mm away is read in it. */
const WIDTH = 1280;
const HEIGHT = 720;

/** How long after a picture was looked at the next one is taken, in milliseconds. */
const PAUSE = 80;

/** How long a code may be out of sight and still be the same piece of paper held up, in milliseconds. */
const FORGET = 1500;

/** What our own codes begin with; others on a parcel are none of ours. */
const OURS = "SW/";

/**
 * A camera that is off.
 * @param {(text: string) => Promise<void>} scan
 * @param {() => boolean} isHalfHeld whether a half of a pair waits for the other
 */
export function makeCamera(scan, isHalfHeld) {
  const button = makeButton("Use the camera", () => (stream ? stop() : start()));
  button.id = "camera";
  button.setAttribute("aria-pressed", "false");
  const video = make("video", { playsinline: "", muted: "" });
  video.muted = true;
  const marks = draw("svg", { class: "seen", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, "aria-hidden": "true" });
  const words = make("p", { id: "camera-words", class: "small", role: "status" });
  const picture = make("figure", { class: "camera", hidden: "" }, make("div", {}, video, marks), words);
  const canvas = make("canvas", { width: String(WIDTH), height: String(HEIGHT) });
  const pen = canvas.getContext("2d", { willReadFrequently: true });

  /** @type {MediaStream | null} */
  let stream = null;

  /** When each code was seen last, and whether its scan is done with.
   * @type {Map<string, number>} */
  const seen = new Map();

  async function start() {
    picture.hidden = false;
    words.textContent = "Waiting for the camera.";
    try {
      const video = { width: { ideal: WIDTH }, height: { ideal: HEIGHT } };
      stream = await navigator.mediaDevices.getUserMedia({ video });
    } catch (error) {
      words.textContent = whyNot(error);
      return;
    }
    button.setAttribute("aria-pressed", "true");
    words.textContent = "Hold a bench card and its label side by side before the camera.";
    video.srcObject = stream;
    await video.play();
    look(stream);
  }

  function stop() {
    for (const track of stream?.getTracks() ?? []) track.stop();
    stream = null;
    seen.clear();
    marks.replaceChildren();
    picture.hidden = true;
    button.setAttribute("aria-pressed", "false");
  }

  /**
   * Looks at one picture after another, as long as the camera is the one that was begun with.
   * @param {MediaStream} begun
   */
  async function look(begun) {
    while (stream === begun) {
      const codes = await readPicture();
      if (stream !== begun) return;
      if (codes) {
        showSeen(codes);
        await scanNew(codes.filter(({ text }) => text.startsWith(OURS)).map(({ text }) => text));
      }
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
    }
  }

  /**
   * What the server reads in the picture of this moment; nothing when it does not answer.
   * @returns {Promise<SeenCode[] | null>}
   */
  async function readPicture() {
    if (!pen) return null;
    pen.drawImage(video, 0, 0, WIDTH, HEIGHT);
    const body = toGrey(pen.getImageData(0, 0, WIDTH, HEIGHT).data);
    const asked = fetch(`/match/frame?width=${WIDTH}`, { method: "POST", body });
    const answer = await asked.catch(() => null);
    return answer?.ok ? (await answer.json()).codes : null;
  }

  /**
   * Scans what was not held up before. After a pair that was wrong, the half that is still held up is scanned
   * again with the new one.
   * @param {string[]} texts
   */
  async function scanNew(texts) {
    const now = performance.now();
    for (const [text, when] of seen) if (now - when > FORGET) seen.delete(text);
    const fresh = texts.filter((text) => !seen.has(text));
    const again = fresh.length > 0 && !isHalfHeld() ? texts.filter((text) => seen.has(text)) : [];
    for (const text of texts) seen.set(text, now);
    for (const text of [...again, ...fresh]) await scan(text);
  }

  /** @param {SeenCode[]} codes */
  function showSeen(codes) {
    const outline = (/** @type {SeenCode} */ { corners }) =>
      draw("polygon", { points: corners.map((at) => at.join(",")).join(" ") });
    marks.replaceChildren(...codes.map(outline));
  }
  return { button, picture, stop };
}

/**
 * Light alone, a byte a pixel.
 * @param {Uint8ClampedArray} colours
 */
function toGrey(colours) {
  const grey = new Uint8Array(colours.length / 4);
  for (let at = 0; at < grey.length; at += 1) {
    const [red, green, blue] = [colours[4 * at], colours[4 * at + 1], colours[4 * at + 2]];
    grey[at] = (77 * red + 150 * green + 29 * blue) >> 8;
  }
  return grey;
}

/**
 * Why there is no camera, and what helps.
 * @param {unknown} error
 */
function whyNot(error) {
  const name = error instanceof DOMException ? error.name : "";
  if (name === "NotAllowedError") return "The browser may not use the camera. Allow it beside the address.";
  if (name === "NotFoundError") return "There is no camera. Plug one in, or use a scanner.";
  return "The camera cannot be used. Another program may have it.";
}

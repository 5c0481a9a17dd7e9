// What is heard on Match: right is one short low note, wrong are two that fall. Made of sines; no file.

/** @import { Verdict } from "./verdict.js" */

/** Where the seller's choice is kept. */
const CHOICE = "slipwright-sound";

/** How long a note is, in seconds. */
const NOTE = 0.16;

/** @type {AudioContext | null} */
let sound = null;

export function isLoud() {
  return localStorage.getItem(CHOICE) !== "off";
}

/** @param {boolean} loud */
export function setLoud(loud) {
  localStorage.setItem(CHOICE, loud ? "on" : "off");
}

/**
 * Plays what a verdict sounds like; one half has no sound, the scanner has its own.
 * @param {Verdict} told
 */
export function playNotes(told) {
  if (!isLoud() || told.verdict === "half") return;
  sound ??= new AudioContext();
  const notes = told.good ? [196] : [392, 262];
  notes.forEach((pitch, at) => playNote(pitch, at * (NOTE + 0.03)));
}

/**
 * @param {number} pitch
 * @param {number} after
 */
function playNote(pitch, after) {
  if (!sound) return;
  const [source, volume] = [sound.createOscillator(), sound.createGain()];
  const [from, to] = [sound.currentTime + after, sound.currentTime + after + NOTE];
  source.frequency.value = pitch;
  // A note that begins or ends at once clicks.
  volume.gain.setValueAtTime(0, from);
  volume.gain.linearRampToValueAtTime(0.4, from + 0.02);
  volume.gain.linearRampToValueAtTime(0, to);
  source.connect(volume).connect(sound.destination);
  source.start(from);
  source.stop(to);
}

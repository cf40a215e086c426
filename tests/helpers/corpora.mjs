// Families of recipes in every shape that people and programs write them in, for figures and for tests: each is one recipe
// with other numbers in it, sound unless its name says otherwise. Nothing in them is chance, and no shape is the usual one.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parse, stringify } from 'yaml';

const DEMO = readFileSync(fileURLToPath(new URL('../../recipes/tide-gauge-pigtail.yaml', import.meta.url)), 'utf8');

/** The text of the i-th recipe of each family. */
/** @type {Record<string, (i: number) => string>} */
export const CORPORA = {
  'a demo recipe, few values varying': i => friendly(i),
  'block maps, every block different, no cure': i => blockText(noCure(varied(i))),
  'block maps, every block different, a resin that ages': i => blockText(varied(i)),
  'flow maps': i => flowText(noCure(varied(i))),
  'quoted keys, no cure, resin and needle varying': i => quotedText(noCure(varied(i, ['resin', 'needle']))),
  'JSON, every block different': i => `${JSON.stringify(noCure(varied(i)), null, 2)}\n`,
  'JSON on one line': i => `${JSON.stringify(varied(i))}\n`,
  'a remark at every line': i => commented(blockText(varied(i))),
  'air that lags': i => blockText(slowAir(varied(i))),
  'a flow curve as measured': i => blockText(tableResin(varied(i))),
  'a warning each': i => friendly(i).replace('fill: 0.55 mL', 'fill: 2.5 mL'),
};

function friendly(i) {
  const viscosity = 2.2 + (i % 401) / 1000;
  return [
    ['name: Tide-gauge pigtail', `name: Pigtail ${i}`],
    ['2.4 Pa.s', `${viscosity.toFixed(3)} Pa.s`],
    ['1.15 g/mL', `${(1.1 + (i % 777) / 7777).toFixed(4)} g/mL`],
    ['diameter: 1.1 ± 0.01 mm,', `diameter: ${(1.095 + (i % 97) / 10_000).toFixed(4)} ± 0.01 mm,`],
    ['dwell: 0.73 s', `dwell: ${((0.73 * viscosity) / 2.4).toFixed(2)} s`],
  ].reduce((before, [from, to]) => replaced(before, from, to), DEMO);
}

const BLOCKS = ['connector', 'needle', 'resin', 'station', 'process', 'settings'];

/** The data of the recipe, with a number in each of these blocks that hardly two recipes share. */
function varied(i, blocks = BLOCKS) {
  const data = parse(DEMO);
  const share = (i * 0.618_033_988_75) % 1; // spread evenly, and never the same twice
  const has = name => blocks.includes(name);
  data.name = `Pigtail ${i}`;
  if (has('connector')) data.connector.cavity[2].diameter = `${(1.095 + share * 0.01).toFixed(7)} ± 0.01 mm`;
  if (has('needle')) data.needle.length = `${(12.65 + share * 0.1).toFixed(6)} mm`;
  if (has('resin')) data.resin.density = `${(1.14 + share * 0.02).toFixed(7)} g/mL`;
  if (has('resin')) data.resin.rheology.viscosity = `${(2.38 + share * 0.04).toFixed(6)} Pa.s ± 15 %`;
  if (has('station')) data.station.rating = `${(690 + share).toFixed(6)} kPa`;
  if (has('process')) data.process.takt = `${(39.9 + share * 0.2).toFixed(6)} s`;
  if (has('settings')) data.settings.notes = `release ${i}`;
  return data;
}

/** A full syringe of a resin that does not thicken: thousands of shots, each like the one before. */
function noCure(data) {
  data.resin.cure = { model: 'none' };
  delete data.process.stop_at;
  data.station.syringe.fill = '2.9 mL';
  data.settings.dwell = '0.62 s';
  delete data.settings.ramp;
  return data;
}

function slowAir(data) {
  data.station.air = { model: 'first-order', rise: '60 ms', fall: '80 ms', delay: '10 ms' };
  return data;
}

function tableResin(data) {
  const points = [0.1, 1, 10, 100, 1000].map((rate, k) => [`${rate} 1/s`, `${(2.42 - 0.01 * k).toFixed(2)} Pa.s`]);
  data.resin.rheology = { model: 'table', points };
  return data;
}

function blockText(data) {
  return stringify(data, { lineWidth: 0 });
}

/** Each block on one line, as a program with little patience writes them. */
function flowText(data) {
  const line = ([key, value]) => `${key}: ${stringify(value, { collectionStyle: 'flow', lineWidth: 0 }).trimEnd()}`;
  return `${Object.entries(data).map(line).join('\n')}\n`;
}

/** Keys and texts in quotes, the blocks one below the other. */
function quotedText(data) {
  const line = ([key, value]) => `"${key}": ${JSON.stringify(value, null, 2)}`;
  return `${Object.entries(data).map(line).join('\n')}\n`;
}

function commented(text) {
  return text.replace(/^( *)([^\n]+)$/gm, (line, indent) =>
    /[|>][-+]?$|^ *(?!- |[\w]+:)/.test(line) || line.length > 100 ? line : `${indent}# "as" measured: {1, 2}\n${line}`,
  );
}

function replaced(text, from, to) {
  if (!text.includes(from)) throw new Error(`the demo recipe has no "${from}"`);
  return text.replace(from, to);
}

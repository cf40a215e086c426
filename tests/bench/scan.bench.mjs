import { mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { root } from './measure.mjs';

export const title = 'A gauge read back from distorted pictures';

const PICTURES = 12;
const DPI = 300;

/** Pages are drawn, distorted and read by the code of the tests, whose truth is known. */
const ENTRY = `
export { readFonts } from './src/files/fonts.ts';
export { randomSource } from './src/numeric/random.ts';
export { gaugePdf } from './src/report/pdf/gauge-sheet.ts';
export { exampleGauge, exampleInput } from './tests/report/pdf/gauge-example.ts';
export { drawnPage } from './tests/analysis/scan/drawn-page.ts';
export { distortedReading, GAUGE, RINGS } from './tests/analysis/scan/distorted-scan.ts';
`;

export async function rows() {
  const folder = join(root, 'node_modules', '.cache', `scan-bench-${process.pid}`);
  mkdirSync(folder, { recursive: true });
  try {
    const outfile = join(folder, 'pictures.mjs');
    const stdin = { contents: ENTRY, resolveDir: root, loader: 'ts' };
    await build({ stdin, outfile, bundle: true, format: 'esm', platform: 'node', packages: 'external' });
    return errors(await import(pathToFileURL(outfile).href));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function errors({ readFonts, randomSource, gaugePdf, exampleGauge, exampleInput, drawnPage, ...m }) {
  const pdf = await gaugePdf(exampleInput(exampleGauge(m.GAUGE, m.RINGS)), readFonts());
  const page = { page: await drawnPage(pdf, { dpi: DPI }), dpi: DPI };
  const random = randomSource(1);
  const readings = Array.from({ length: PICTURES }, () => m.distortedReading(page, random, [100, 220]));
  const scales = readings.flatMap(r => r.scale ?? []);
  const dots = readings.flatMap(r => r.dots);
  return [
    errorRow(`scale, ${scales.length} of ${PICTURES} pictures`, scales),
    errorRow(`diameter, ${dots.length} of ${3 * PICTURES} dots`, dots),
  ];
}

/** The worst error beside what its reading says that it may be off by. */
function errorRow(figure, list) {
  const worst = list.reduce((a, b) => (b.overDoubt > a.overDoubt ? b : a));
  const ours = 100 * worst.relative;
  return {
    ...{ figure, ours, floor: ours / worst.overDoubt, floorName: 'its stated doubt', unit: '%' },
    ...{ ratio: worst.overDoubt, wanted: { atMost: 3 } },
  };
}

import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { encode } from 'fast-png';
import { beforeAll, expect, it } from 'vitest';
import { gauge } from '../../../src/analysis/dot/gauge.ts';
import { circleMiddle, gaugeGrid } from '../../../src/analysis/dot/gauge-grid.ts';
import { runProgram } from '../../../src/cli/program.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { nodeFileSystem } from '../../../src/files/node-file-system.ts';
import { loadRecipe } from '../../../src/recipe/format/load.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { type DrawnDot, withDots } from '../../analysis/scan/drawn-dots.ts';
import { drawnPage } from '../../analysis/scan/drawn-page.ts';
import { exampleInput } from '../../report/pdf/gauge-example.ts';
import { root } from '../built-program.ts';
import { fakeIo } from '../fake-io.ts';

const DEMO = readFileSync(join(root, 'examples', 'floor', 'pigtail.yaml'), 'utf8');
const DPI = 150;
let picture: Uint8Array;
let shots = 0;
let aim = 0;

beforeAll(async () => {
  const { recipe, digest } = await loadRecipe(join(root, 'examples', 'floor', 'pigtail.yaml'), nodeFileSystem);
  const sheet = gauge(recipe!, {}).result!;
  shots = sheet.shots_per_circle;
  aim = sheet.rings.find(r => r.name === 'aim')!.diameter_mm;
  const page = await drawnPage(await gaugePdf({ ...exampleInput(sheet), digest }, readFonts()), { dpi: DPI });
  const widest = Math.max(...sheet.rings.map(r => r.diameter_mm)) / 1000;
  const grid = gaugeGrid({ paper: 'a4', width: widest, height: widest })!;
  const dots = [1, 2, 3].map((circle): DrawnDot => {
    const { x, y } = circleMiddle(grid, circle - 1);
    const [size, kind] = [aim * (0.99 + 0.005 * circle), 'opaque'] as const;
    return { x: x * 1000 + 0.35, y: y * 1000, across: size, down: size, darkness: 0.6, kind };
  });
  const { width, height, gray } = withDots(page, DPI, dots);
  picture = encode({ width, height, data: gray, channels: 1 });
});

async function run(argv: readonly string[], more: Record<string, string> = {}) {
  const io = fakeIo({ 'pigtail.yaml': DEMO, 'dots.png': picture, ...more });
  const status = await runProgram(argv, io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}

it('releases by the dots of a picture, with their doubt, and keeps the digest of the picture in the log', async () => {
  const names = ['--syringe', 'S-1', '--operator', 'AB', '--time', '2026-03-02T08:00:00Z'];
  const call = ['release', 'pigtail.yaml', '--scan', 'dots.png', '--age', '13 min', '--log', 'checks.csv', ...names];
  const { out, err, written } = await run([...call, '--json']);
  expect(err).toBe('');
  const { result } = JSON.parse(out);
  const sha256 = createHash('sha256').update(picture).digest('hex');
  expect(result).toMatchObject({ shots_per_reading: shots, picture: { file: 'dots.png', sha256 } });
  expect(result.readings).toHaveLength(3);
  for (const { reading } of result.readings) expect(Math.abs(reading / aim - 1)).toBeLessThan(0.03);
  const [header = '', line = ''] = String(written.get('checks.csv')).split('\n');
  expect(header.split(',').slice(-2)).toEqual(['picture', 'reading_error [mm]']);
  expect(line).toContain(sha256);
  expect(line).toContain(`"${result.picture.readings}"`);
  // The same diameters typed in, with the same reading error, decide the same.
  const typed = await run(['release', 'pigtail.yaml', '--dots', result.picture.readings, '--age', '13 min', '--json']);
  const other = JSON.parse(typed.out).result;
  expect(other.mean_uL).toBeCloseTo(result.mean_uL, 3);
  expect(other.picture).toBeNull();
  // Later the check counts with the doubt that it was read with; a log of before takes the recipe's.
  const [kept, error] = [line.slice(0, line.lastIndexOf(',')), Number(line.slice(line.lastIndexOf(',') + 1))];
  expect(error).toBeGreaterThan(0.005);
  expect(error).toBeLessThan(0.1);
  const gainWith = async (log: string) => {
    const { out } = await run(['follow', 'log.csv', 'pigtail.yaml', '--json'], { 'log.csv': log });
    return JSON.parse(out).result.checks[0].gain;
  };
  const older = await gainWith(`${header.slice(0, header.lastIndexOf(','))}\n${kept}\n`);
  expect(await gainWith(`${header}\n${kept},0.1\n`)).toBeCloseTo(older, 12);
  expect(await gainWith(`${header}\n${line}\n`)).toBeGreaterThan(older);
  // In a log of before, the check stands without it, and that is said.
  const again = await run(call, {
    'checks.csv': `${header.slice(0, header.lastIndexOf(','))}\n${kept}\n`,
  });
  expect(again.err).toContain('the log has no column for the reading error; left out');
  expect(String(again.written.get('checks.csv')).split('\n')[2]!.split(',').at(-1)).toBe(sha256);
});

it('refuses a picture of another sheet, and calls that contradict themselves', async () => {
  const other = await run(['release', 'pigtail.yaml', '--scan', 'dots.png', '--set', 'connector.reach.max=12 mm']);
  expect(other).toMatchObject({ status: 1, out: '', err: expect.stringContaining('[scan-other-recipe]') });
  for (const wrong of [
    ['--scan', 'dots.png', '--dots', '5 mm'],
    ['--dots', '5 mm', '--slide', '1 mm', '--distance', '300 mm'],
    ['--scan', 'dots.png', '--slide', '1 mm'],
    ['--scan', 'dots.png', '--readability', '1 mg'],
  ]) {
    expect(await run(['release', 'pigtail.yaml', ...wrong])).toMatchObject({ status: 2 });
  }
});

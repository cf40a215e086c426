import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { openPdf, textOf } from '../../report/pdf/read-pdf.ts';
import { fakeIo } from '../fake-io.ts';

const RECIPE = readFileSync(join(import.meta.dirname, '../../../recipes/tide-gauge-pigtail.yaml'), 'utf8');

async function run(argv: string[], files: Record<string, string>) {
  const io = fakeIo(files);
  const status = await runProgram(argv, io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}

const call = (...argv: string[]) => run(['cavity', 'a.yaml', ...argv], { 'a.yaml': RECIPE });

describe('cavity -o', () => {
  it('draws the section under a name that ends in .svg or .pdf, and prints the text', async () => {
    const svg = await call('-o', 'section.svg');
    expect(svg.status).toBe(0);
    expect(svg.out).toMatch(/needle seats +5\.96 mm/);
    expect(svg.written.get('section.svg')).toMatch(/^<svg [^>]*width="180mm"/);
    expect(svg.written.get('section.svg')).toContain('Section: Tide-gauge pigtail');
    const pdf = await call('-o', 'section.PDF', '--json');
    expect(JSON.parse(pdf.out).result.seat_mm).toBeCloseTo(5.96, 2);
    const text = await textOf(await openPdf(pdf.written.get('section.PDF') as Uint8Array), 1);
    expect(text).toContain('Greatest reach, cable in: backfill 3.39');
    const again = await call('-o', 'section.PDF');
    expect(again.written.get('section.PDF')).toEqual(pdf.written.get('section.PDF'));
  });

  it('writes the text or the JSON under another name, and no picture of pixels', async () => {
    const text = await call('-o', 'notes.txt');
    expect(text.out).toBe('');
    expect(text.written.get('notes.txt')).toMatch(/needle seats +5\.96 mm/);
    const json = await call('--json', '-o', 'cavity.json');
    expect(JSON.parse(json.written.get('cavity.json') as string).result.seat_mm).toBeCloseTo(5.96, 2);
    for (const name of ['section.png', 'section.JPG', 'section.tif']) {
      const refused = await call('-o', name);
      expect([refused.status, refused.written.size]).toEqual([2, 0]);
      expect(refused.err).toContain('a picture ends in .svg or .pdf');
    }
  });

  it('is not asked to put several connectors into one picture', async () => {
    const { status, err } = await run(['cavity', 'a.yaml', 'b.yaml', '-o', 's.svg'], {
      'a.yaml': RECIPE,
      'b.yaml': RECIPE,
    });
    expect(status).toBe(2);
    expect(err).toContain('is one file, but there are 2 recipes');
  });
});

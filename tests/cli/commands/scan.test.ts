import { createHash } from 'node:crypto';
import { copyFileSync, linkSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { readPicture } from '../../../src/data/read-picture.ts';
import { WHOLE } from '../../helpers/part-recipes.ts';
import { root } from '../built-program.ts';
import { type TestFolder, testFolder } from '../folder-io.ts';

const PICTURE = join(root, 'tests', 'fixtures', 'pictures', 'gauge.png');

const DOTS = join(root, 'tests', 'fixtures', 'pictures', 'dots.png');

let folder: TestFolder;
afterEach(() => folder.remove());

function withPicture(files: Readonly<Record<string, string>> = {}): TestFolder {
  const made = testFolder(files);
  copyFileSync(PICTURE, join(made.path, 'gauge.png'));
  return made;
}

describe('scan', () => {
  it('gives scales, rings and what to print next, and the digest of the picture', async () => {
    folder = withPicture();
    const { status, out, err } = await folder.run(['scan', 'gauge.png', '--dpi', '110', '--json']);
    expect({ status, err }).toEqual({ status: 0, err: '' });
    const { result, recipe } = JSON.parse(out);
    expect(recipe).toBeNull();
    expect(result).toMatchObject({ verdict: 'use', ruler: 'resolution', corner_marks: 4, file: 'gauge.png', dpi: 110 });
    expect(Math.abs(result.scale_x - 1)).toBeLessThan(0.001);
    expect(Math.abs(result.scale_y - 1)).toBeLessThan(0.001);
    expect(result.sha256).toBe(createHash('sha256').update(readFileSync(PICTURE)).digest('hex'));
    const text = await folder.run(['scan', 'gauge.png', '--dpi', '110']);
    expect(text.out).toMatch(/^scale across, down +1\.000\d, 1\.000\d ± 0\.0\d %$|^scale across, down +0\.999\d/m);
    expect(text.out).toMatch(/^next print +--scale-x /m);
    for (const line of text.out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('tells no scale of a picture without a resolution', async () => {
    folder = withPicture();
    const { status, out } = await folder.run(['scan', 'gauge.png', '--json']);
    expect(status).toBe(0);
    expect(JSON.parse(out).result).toMatchObject({ scale_x: null, next: null, dpi: null, verdict: 'not known' });
  });

  it('draws what it found over the picture, the same bytes each time', async () => {
    folder = withPicture();
    const bytes = async (name: string) => {
      await folder.run(['scan', 'gauge.png', '-o', name]);
      return new Uint8Array(readFileSync(join(folder.path, name)));
    };
    const [first, second] = [await bytes('a.png'), await bytes('b.png')];
    expect(Buffer.compare(first, second)).toBe(0);
    const { width, height } = readPicture(first);
    const whole = readPicture(new Uint8Array(readFileSync(PICTURE)));
    expect([width, height]).toEqual([whole.width, whole.height]);
  });

  it('measures dots, says how release takes them, and draws what it took', async () => {
    folder = withPicture();
    copyFileSync(DOTS, join(folder.path, 'dots.png'));
    const { status, out, err } = await folder.run(['scan', 'dots.png', '--dots', '-o', 'found.png']);
    expect({ status, err }).toEqual({ status: 0, err: '' });
    expect(out).toMatch(/^for release +--dots "6\.\d{3}, 6\.\d{3}, 6\.\d{3} mm" --reading-error "0\.\d{3} mm"$/m);
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    expect(readPicture(new Uint8Array(readFileSync(join(folder.path, 'found.png')))).width).toBeGreaterThan(800);
    const none = await folder.run(['scan', 'gauge.png', '--dots']);
    expect(none).toMatchObject({ status: 1, out: '', err: expect.stringContaining('[scan-no-dot]') });
    for (const wrong of [
      ['--slide', '1 mm'],
      ['--dots', '--slide', '1 mm'],
      ['--dots', '--slide', '1 mm', '--distance', '5 mm'],
      ['--slide', '1 mm', '--distance', '300 mm'],
    ]) {
      expect(await folder.run(['scan', 'dots.png', ...wrong])).toMatchObject({ status: 2 });
    }
  });

  it('never draws over the picture, by whatever name', async () => {
    folder = withPicture();
    linkSync(join(folder.path, 'gauge.png'), join(folder.path, 'other.png'));
    for (const name of ['gauge.png', 'other.png']) {
      const { status, err } = await folder.run(['scan', 'gauge.png', '-o', name]);
      expect({ status, err }).toEqual({
        status: 3,
        err: expect.stringContaining(`${name} is kept: this call read it`),
      });
      expect(readFileSync(join(folder.path, 'gauge.png'))).toEqual(readFileSync(PICTURE));
    }
    folder.write({ 'checks.png': 'time,recipe,digest,\n', 'recipe.png': 'recipe: 1\n' });
    for (const name of ['checks.png', 'recipe.png']) {
      const { status, err } = await folder.run(['scan', 'gauge.png', '-o', name]);
      expect({ status, err }).toEqual({ status: 3, err: expect.stringContaining(`${name} is kept`) });
    }
  });

  it('refuses the sheet of another recipe, with the place in the picture and without its bytes', async () => {
    folder = withPicture({ 'in.yaml': WHOLE });
    const { status, out, err } = await folder.run(['scan', 'gauge.png', 'in.yaml']);
    expect(status).toBe(1);
    expect(out).toBe('');
    expect(err).toMatch(/^gauge\.png:1:1: error: the sheet carries 3fa94c1e3fa94c1e, .* \[scan-other-recipe\]$/m);
    expect(err).not.toContain('PNG\\');
    const json = await folder.run(['scan', 'gauge.png', 'in.yaml', '--json']);
    expect(JSON.parse(json.out)).toMatchObject({ recipe: 'in.yaml', result: null });
  });

  it.each([
    ['no picture', 'in.yaml', 'is neither PNG nor JPEG', 'scan-picture'],
    ['an empty file', 'empty.png', 'is empty', 'scan-picture'],
    ['a file cut short', 'cut.png', 'is no sound PNG: it ends in the middle', 'scan-picture'],
  ])('ends in words with %s', async (_, name, words, code) => {
    folder = withPicture({ 'in.yaml': WHOLE, 'empty.png': '', 'cut.png': '' });
    writeFileSync(join(folder.path, 'cut.png'), readFileSync(PICTURE).subarray(0, 9000));
    const { status, err } = await folder.run(['scan', name]);
    expect(status).toBe(1);
    expect(err).toContain(`error: the picture ${words} [${code}]`);
  });

  it('says what is wrong with a call', async () => {
    folder = withPicture();
    expect(await folder.run(['scan', 'gone.png'])).toMatchObject({ status: 3 });
    expect(await folder.run(['scan', 'gauge.png', '-o', 'found.jpg'])).toMatchObject({
      status: 2,
      err: expect.stringContaining('a picture ends in .png'),
    });
    expect(await folder.run(['scan', 'gauge.png', '--dpi', '300 dpi'])).toMatchObject({ status: 2 });
    expect(await folder.run(['scan', '-', '-'])).toMatchObject({ status: 2 });
  });
});

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { CHECK_LOG_HEADER, OLDER_LOG_HEADER } from '../../../src/data/release-log.ts';
import { type TestFolder, testFolder } from '../folder-io.ts';

const ROW = '2026-03-02T06:40:00Z,pigtail.yaml,36c2,S-118,L-0412,AB,16,23,9,1.87,1.76,1.99,use,,';
/** The columns of before come first in a log of today. */
const cells = ROW.replace('S-118', 'S-119').split(',');
let folder: TestFolder;
beforeEach(() => {
  folder = testFolder({
    'old.csv': `${OLDER_LOG_HEADER}\n${ROW}\n`,
    'new.csv': `${CHECK_LOG_HEADER}
${[...cells, ...Array(CHECK_LOG_HEADER.split(',').length - cells.length).fill('')].join(',')}
`,
  });
});
afterEach(() => folder.remove());

describe('recall', () => {
  it('reads logs of both kinds together and says where each line stands', async () => {
    const { status, out } = await folder.run(['recall', '--lot', 'L-0412', 'old.csv', 'new.csv', '--json']);
    const { result } = JSON.parse(out);
    expect(status).toBe(0);
    expect(result.complete).toBe(true);
    expect(result.checks.map((c: { file: string; line: number }) => [c.file, c.line])).toEqual([
      ['new.csv', 2],
      ['old.csv', 2],
    ]);
  });

  it('says that the list may be short where a line cannot be read, and still lists the others', async () => {
    folder.write({ 'old.csv': `${OLDER_LOG_HEADER}\n${ROW}\n2026-03-03T06:40:00Z,pigtail.yaml,36c2,S-12` });
    const { status, out, err } = await folder.run(['recall', '--lot', 'L-0412', 'old.csv']);
    expect(status).toBe(1);
    expect(out).toContain('S-118');
    expect(out).toContain('lines that could not be read may hold more');
    expect(err).toContain('old.csv:3:1: error: the row has 4 cells');
  });

  it('takes a line whose numbers are damaged, for it names a syringe', async () => {
    folder.write({ 'old.csv': `${OLDER_LOG_HEADER}\n${ROW.replace('1.87', 'x')}\n` });
    const { status, out } = await folder.run(['recall', '--lot', 'L-0412', 'old.csv', '--json']);
    expect([status, JSON.parse(out).result.syringes.length]).toEqual([0, 1]);
  });

  it('ends with 0 and none found for a lot that no line names', async () => {
    const { status, out } = await folder.run(['recall', '--lot', 'L-0999', 'old.csv']);
    expect(status).toBe(0);
    expect(out).toMatch(/syringes +0, of which 0 used/);
  });

  it('writes the lines as CSV, and refuses a call that names no lot and one that names two things', async () => {
    await folder.run(['recall', '--lot', 'L-0412', 'old.csv', '-o', 'found.csv']);
    expect(folder.read('found.csv').split('\n').slice(0, 2)).toEqual([
      'time,recipe,digest,syringe,lot,operator,decision,match,file,line',
      '2026-03-02T06:40:00Z,pigtail.yaml,36c2,S-118,L-0412,AB,use,named,old.csv,2',
    ]);
    expect((await folder.run(['recall', 'old.csv'])).status).toBe(2);
    expect((await folder.run(['recall', '--lot', 'a', '--syringe', 'b', 'old.csv'])).status).toBe(2);
    expect((await folder.run(['recall', '--lot', 'a', 'trial.csv'])).status).toBe(3);
  });
});

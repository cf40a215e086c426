import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { WHOLE } from '../helpers/part-recipes.ts';
import { BUILD_TIME, build, run } from './built-program.ts';
import { type TestFolder, testFolder } from './folder-io.ts';

// A name can be made to read otherwise than it is: by marks of direction and characters that are not seen. Where people read, they stand
// as escapes; where programs read, the data are what they were.

const NAME = 'Slim\u202e mils \u2066x\u2069\u200b\ufeff\u00ad\u{e0041}end';
const KEY = 'need\u200ble';
const FILE = 'a\u202elmay.yaml';
/** Ends of lines and tabs apart. */
const UNSEEN = /(?![\t\n])[\p{Cc}\p{Bidi_Control}\p{Default_Ignorable_Code_Point}\p{Zl}\p{Zp}]/u;
const SHOWN = 'Slim\\u202e mils \\u2066x\\u2069\\u200b\\ufeff\\u00ad\\U000e0041end';

let folder: TestFolder;
beforeAll(() => {
  build();
  folder = testFolder({
    [FILE]: WHOLE.replace('name: Tide-gauge pigtail', `name: "${NAME}"`),
    'wrong.yaml': `recipe: 1\nname: "${NAME}"\n${KEY}: {gauge: 22}\nneedle: {gauge: "2\u202e2"}\n`,
    'old.yaml': WHOLE,
    'checks\u202e.csv': `mean [uL],lo\u2066t\n${[1.8, 1.9, 1.85, 1.88].map(v => `${v},L\u202e1\n`).join('')}`,
  });
}, BUILD_TIME);
afterAll(() => folder.remove());

const at = (...args: string[]) => run(args, { cwd: folder.path });

describe('characters that are not seen', () => {
  it.each([
    ['cavity', FILE],
    ['shot', FILE],
    ['setpoint', FILE, '--pressure', '200 kPa'],
    ['card', FILE],
    ['gauge', FILE],
    ['batch', FILE, '--connectors', '4'],
    ['check', '.'],
    ['check', '.', '--format', 'github'],
    ['check', '.', '--format', 'junit'],
    ['check', 'wrong.yaml', '--color', 'always'],
    ['cavity', 'wrong.yaml'],
    ['compare', 'old.yaml', FILE],
    ['compare', 'old.yaml', FILE, '--markdown'],
    ['trend', 'checks\u202e.csv', '--by', 'lo\u2066t'],
    ['trend', 'checks\u202e.csv', '--by', 'lot\u2066'],
    ['freeze', FILE],
    ['no\u202ething'],
    ['check', '--no\u2066thing'],
    ['check', 'nowhere\u202e.yaml'],
  ])('are escapes in what people read: %j', (...args) => {
    const { stdout, stderr } = at(...args);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: colours are asked for
    const said = (stdout + stderr).replace(/\u001b\[\d+m/g, '');
    expect(said).not.toMatch(UNSEEN);
    expect(said).toMatch(/\\u(?:202e|2066)/);
    if (['card', 'gauge'].includes(args[0]!)) return; // their `-o` is a PDF
    const file = at(...args, '-o', 'out.txt');
    if (file.status === 0 && folder.has('out.txt')) expect(folder.read('out.txt')).not.toMatch(UNSEEN);
  });

  it('are the data where programs read', () => {
    const cavity = at('cavity', FILE, '--json');
    expect(cavity.stdout).not.toMatch(UNSEEN);
    expect(JSON.parse(cavity.stdout)).toMatchObject({ recipe: FILE, name: NAME });
    for (const format of ['json', 'sarif', 'jsonl']) {
      const { stdout } = at('check', 'wrong.yaml', '--format', format);
      expect(stdout).not.toMatch(UNSEEN);
      const texts = stdout.split(/\n(?=\{"recipe")/).map(text => JSON.stringify(JSON.parse(text)));
      expect(texts.join('')).toContain(KEY);
    }
    expect(at('shot', FILE, '--json', '-o', 'shot.json').status).toBe(0);
    expect(JSON.parse(folder.read('shot.json')).name).toBe(NAME);
  });

  it('reports show what they hide', () => {
    at('check', '.', '--report', 'junit=x.xml', '--report', 'github=x.txt', '--report', 'text=text.txt');
    for (const name of ['x.xml', 'x.txt', 'text.txt']) expect(folder.read(name)).not.toMatch(UNSEEN);
    expect(folder.read('x.xml')).toContain(`(${SHOWN})`);
    expect(folder.read('text.txt')).toContain('need\\u200ble');
    at('compare', 'old.yaml', FILE, '--markdown', '-o', 'x.md');
    expect(folder.read('x.md')).not.toMatch(UNSEEN);
  });

  it('the place under a line is that of what is shown', () => {
    const { stdout } = at('check', 'wrong.yaml');
    const lines = stdout.split('\n');
    const row = lines.findIndex(line => line.includes('need\\u200ble: {'));
    expect(lines[row + 1]!.indexOf('^')).toBe(lines[row]!.indexOf('need'));
    expect(lines[row + 1]!.match(/\^+/)![0]).toHaveLength('need\\u200ble'.length);
  });

  it('a new recipe keeps them, written as escapes', () => {
    const { stdout, status } = at('new', '--name', NAME);
    expect(status).toBe(0);
    expect(stdout).not.toMatch(UNSEEN);
    expect(parse(stdout).name).toBe(NAME);
  });

  it('colours that hide are none', () => {
    folder.write({ 'x\u001b[8my.yaml': 'recipe: 1\nneedel: 1\n' });
    const { stdout } = at('check', 'x\u001b[8my.yaml', '--color', 'always');
    expect(stdout).toContain('x\\u001b[8my.yaml');
    expect(stdout).toContain('\u001b[1m');
  });
});

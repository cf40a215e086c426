import { describe, expect, it } from 'vitest';
import { checkGithub } from '../../../src/report/check/check-github.ts';
import { checkJson } from '../../../src/report/check/check-json.ts';
import { checkJsonLines } from '../../../src/report/check/check-jsonl.ts';
import { checkJunit } from '../../../src/report/check/check-junit.ts';
import { checkText } from '../../../src/report/check/render-check.ts';
import { checked, diagnostic, input } from './check-example.ts';

const warning = diagnostic({ code: 'ramp-missing', severity: 'warning', line: 40, end_line: 42, help: null });

describe('a check as JSON', () => {
  it('is one document for one recipe, with counts and what is silenced', () => {
    const one = checked({ diagnostics: [diagnostic(), warning], silenced: [{ ...warning, reason: 'by hand' }] });
    const document = JSON.parse(checkJson(input(one)));
    expect(document).toMatchObject({ format: 1, command: 'check', recipe: 'line 2/a.yaml' });
    expect(document.result).toMatchObject({
      errors: 1,
      warnings: 1,
      silenced: [{ code: 'ramp-missing', reason: 'by hand' }],
    });
    expect(Object.keys(document.diagnostics[0])).toEqual([
      'code',
      'severity',
      'message',
      'file',
      'line',
      'column',
      'end_line',
      'end_column',
      'path',
      'help',
    ]);
  });
});

describe('a check as JSON lines', () => {
  it('is one finding a line, with its recipe, and nothing for none', () => {
    const text = checkJsonLines(
      input(checked({ file: 'b.yaml', diagnostics: [diagnostic({ message: 'a\nb' }), warning] })),
    );
    const lines = text.split('\n');
    expect(lines).toHaveLength(3);
    expect(JSON.parse(lines[0] ?? '')).toEqual({ recipe: 'b.yaml', ...diagnostic({ message: 'a\nb' }) });
    expect(checkJsonLines(input(checked()))).toBe('');
  });
});

describe('a check as GitHub annotations', () => {
  it('escapes what would end a property or a line', () => {
    const odd = diagnostic({ file: 'a,b:c.yaml', message: '50 %\nmore', help: null });
    expect(checkGithub(input(checked({ file: odd.file, diagnostics: [odd] })))).toBe(
      '::error file=a%2Cb%3Ac.yaml,line=12,endLine=12,col=13,endColumn=18,title=unit-mismatch::50 %25%0Amore\n' +
        '1 recipe checked: 1 error\n',
    );
  });

  it('has no columns where the place is of several lines', () => {
    expect(checkGithub(input(checked({ diagnostics: [warning] })))).toContain(
      '::warning file=line 2/a.yaml,line=40,endLine=42,title=ramp-missing::',
    );
  });

  it('shows ten of each kind, errors first, and says how many more there are', () => {
    const errors = Array.from({ length: 12 }, (_, i) => diagnostic({ line: i + 1, end_line: i + 1 }));
    const warnings = Array.from({ length: 11 }, (_, i) => ({ ...warning, line: i + 1 }));
    const lines = checkGithub(input(checked({ diagnostics: [...warnings, ...errors] }))).split('\n');
    expect(lines.slice(0, 10).every(line => line.startsWith('::error '))).toBe(true);
    expect(lines.slice(10, 20).every(line => line.startsWith('::warning '))).toBe(true);
    expect(lines.slice(20)).toEqual([
      '::notice::2 more errors and 1 more warning: GitHub shows 10 of each kind a step',
      '1 recipe checked: 12 errors, 11 warnings',
      '',
    ]);
  });
});

describe('a check as JUnit XML', () => {
  it('has a suite a recipe and a case a finding: errors fail, warnings speak, silenced ones are skipped', () => {
    const one = checked({
      diagnostics: [diagnostic({ help: null }), warning],
      silenced: [{ ...warning, reason: 'by "hand"' }],
    });
    const two = checked({ file: 'b.yaml', name: null });
    expect(checkJunit(input(one, two))).toBe(
      `<?xml version="1.0" encoding="UTF-8"?>
<testsuites name="dwellbook check" tests="4" failures="1" errors="0" skipped="1">
  <testsuite name="line 2/a.yaml (Tide-gauge pigtail)" tests="3" failures="1" errors="0" skipped="1">
    <testcase classname="line 2/a.yaml" name="unit-mismatch at line 2/a.yaml:12:13">
      <failure type="unit-mismatch" message="&quot;12 mm&quot; is not a pressure">line 2/a.yaml:12:13: error: &quot;12 mm&quot; is not a pressure [unit-mismatch]</failure>
    </testcase>
    <testcase classname="line 2/a.yaml" name="ramp-missing at line 2/a.yaml:40:13">
      <system-out>line 2/a.yaml:40:13: warning: &quot;12 mm&quot; is not a pressure [ramp-missing]</system-out>
    </testcase>
    <testcase classname="line 2/a.yaml" name="ramp-missing at line 2/a.yaml:40:13">
      <skipped message="silenced: by &quot;hand&quot;"/>
    </testcase>
  </testsuite>
  <testsuite name="b.yaml" tests="1" failures="0" errors="0" skipped="0">
    <testcase classname="b.yaml" name="sound"/>
  </testsuite>
</testsuites>
`,
    );
  });

  it('writes as escapes what XML cannot hold', () => {
    const text = checkJunit(
      input(checked({ diagnostics: [diagnostic({ message: 'a\u0000\u001b<b>&\ud800\n\u{1f41f}' })] })),
    );
    expect(text).toContain('message="a\\u0000\\u001b&lt;b&gt;&amp;\\ud800&#10;\u{1f41f}"');
  });
});

describe('a check as text', () => {
  it('counts what was silenced and what was left out', () => {
    const silent = checked({ silenced: [{ ...warning, reason: 'by hand' }] });
    const text = checkText({ ...input(silent, checked({ file: 'b.yaml' })), leftOut: ['parts/slim.yaml'] });
    expect(text).toBe('2 recipes checked: nothing to report (1 silenced); 1 without a `recipe:` key left out\n');
  });

  it('says once what is wrong with a part, with the recipes that start from it', () => {
    const part = diagnostic({ file: 'parts/slim.yaml', help: null });
    const files = ['a.yaml', 'b.yaml', 'c.yaml', 'd.yaml', 'e.yaml'];
    const recipes = files.map(file => checked({ file, diagnostics: [part], sourceLine: () => `  wanted by ${file}` }));
    expect(checkText(input(...recipes))).toBe(
      'parts/slim.yaml:12:13: error: "12 mm" is not a pressure [unit-mismatch]\n' +
        '    12 |   wanted by a.yaml\n' +
        '       |             ^^^^^\n' +
        '    recipes: a.yaml, b.yaml, c.yaml and 2 more\n' +
        '5 recipes checked: 1 error\n',
    );
    expect(checkGithub(input(...recipes))).toContain('%0Arecipes: a.yaml, b.yaml, c.yaml and 2 more\n');
  });

  it('says once what recipes find at one value of a part, each with its own numbers', () => {
    const of = (file: string, ...messages: string[]) =>
      checked({ file, diagnostics: messages.map(message => ({ ...warning, file: 'parts/slim.yaml', message })) });
    const text = checkText(input(of('a.yaml', 'shot 3 is late'), of('b.yaml', 'shot 4 is late')));
    expect(text).toMatch(/: shot 3 is late .*\n(?: {4}help: .*\n)? {4}recipe: a\.yaml\n {4}b\.yaml: shot 4 is late\n/);
    expect(text).toMatch(/^2 recipes checked: 1 warning$/m);
    expect(checkText(input(of('a.yaml', 'shot 3')))).not.toContain('recipe: a.yaml');
    // Two of a kind in one recipe are two causes, and other words are another cause.
    const apart = checkText(input(of('a.yaml', 'shot 3 is late', 'shot 9 is late'), of('b.yaml', 'no shot is late')));
    expect(apart).toMatch(/^2 recipes checked: 3 warnings$/m);
  });

  it('says what follows for each recipe from a change that they have in common', () => {
    const of = (file: string, effect: string) =>
      checked({ file, diagnostics: [diagnostic({ file: 'parts/slim.yaml', help: null, effect })] });
    const recipes = ['a', 'b', 'c', 'd'].map((name, i) => of(`${name}.yaml`, `dwell ${i} → 1`));
    const lines = ['a.yaml: dwell 0 → 1', 'b.yaml: dwell 1 → 1', 'c.yaml: dwell 2 → 1', 'and 1 more recipe'];
    expect(checkText(input(...recipes))).toContain(
      `${lines.map(line => `    ${line}\n`).join('')}4 recipes checked: 1 error`,
    );
    expect(checkGithub(input(...recipes))).toContain(`%0A${lines.join('%0A')}\n`);
    // Alone, and with each recipe of JUnit, it stands for itself.
    expect(checkText(input(of('a.yaml', 'dwell 0 → 1')))).toContain('    moved: dwell 0 → 1\n');
    expect(checkJunit(input(...recipes)).match(/\(moved: dwell \d → 1\)/g)).toHaveLength(4);
  });

  it('underlines the option of an override where the file it stands in is none', () => {
    const place = { file: '--set', line: 2, end_line: 2, column: 16, end_column: 21 };
    const one = checked({
      diagnostics: [diagnostic({ ...place, help: null })],
      sourceLine: (file, line) => (file === '--set' && line === 2 ? 'station.rating=12 mm' : null),
    });
    const github = checkGithub(input(one));
    expect(github).toMatch(/^::error title=unit-mismatch::/);
    const [, option, marks] = github.split('\n')[0]!.split('%0A');
    expect(option).toBe('--set station.rating=12 mm');
    expect(option!.slice(marks!.indexOf('^'), marks!.length)).toBe('12 mm');
  });

  it('does not count the lock file as a recipe', () => {
    const lock = checked({ file: 'dwellbook.lock.yaml', isLock: true, diagnostics: [diagnostic()] });
    expect(checkText(input(checked(), lock))).toMatch(/^1 recipe checked: 1 error$/m);
    expect(checkGithub(input(checked(), lock))).toMatch(/^1 recipe checked: 1 error$/m);
  });
});

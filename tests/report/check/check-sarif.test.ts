import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv, type ValidateFunction } from 'ajv';
import addFormats from 'ajv-formats';
import type { Log } from 'sarif';
import { beforeAll, describe, expect, it } from 'vitest';
import type { CheckInput } from '../../../src/report/check/check-input.ts';
import { checkSarif } from '../../../src/report/check/check-sarif.ts';
import { checked, diagnostic, input } from './check-example.ts';

let validate: ValidateFunction;

beforeAll(() => {
  // The schema that the SARIF committee gave to the schema store for 2.1.0; it is draft-04, and what it uses of that
  // means the same in draft-07 apart from the name of `id`.
  const file = join(import.meta.dirname, '../../fixtures/sarif/sarif-2.1.0-rtm.5.json');
  const { $schema: _draft, id: _id, ...schema } = JSON.parse(readFileSync(file, 'utf8'));
  const ajv = new Ajv({ strict: false, allErrors: true, unicodeRegExp: false });
  (addFormats as unknown as (ajv: Ajv) => void)(ajv);
  validate = ajv.compile(schema);
});

function sarif(given: CheckInput): Log {
  const log = JSON.parse(checkSarif(given)) as Log;
  expect(validate(log), JSON.stringify(validate.errors)).toBe(true);
  return log;
}

const warning = diagnostic({ code: 'ramp-missing', severity: 'warning', line: 40, path: null, help: null });

describe('a check as SARIF', () => {
  it('is held to a schema that can say no', () => {
    const log = JSON.parse(checkSarif(input(checked({ diagnostics: [diagnostic()] }))));
    log.runs[0].results[0].level = 'catastrophe';
    expect(validate(log)).toBe(false);
  });

  it('without findings is a run with no results', () => {
    expect(sarif(input(checked())).runs).toMatchObject([
      { results: [], tool: { driver: { name: 'dwellbook', version: '1.2.3' } } },
    ]);
  });

  it('has level, place, rule and help of each finding, in order of place', () => {
    const [run] = sarif(input(checked({ diagnostics: [warning, diagnostic()] }))).runs;
    expect(run?.results?.map(({ ruleId, level }) => [ruleId, level])).toEqual([
      ['unit-mismatch', 'error'],
      ['ramp-missing', 'warning'],
    ]);
    expect(run?.results?.[0]?.locations?.[0]?.physicalLocation).toEqual({
      artifactLocation: { uri: 'line%202/a.yaml' },
      region: { startLine: 12, startColumn: 13, endLine: 12, endColumn: 18 },
    });
    for (const { ruleId, ruleIndex } of run?.results ?? []) {
      const rule = run?.tool.driver.rules?.[ruleIndex as number];
      expect(rule?.id).toBe(ruleId);
      expect(rule?.help?.text).toContain('Mend it.');
      expect(rule?.defaultConfiguration?.level).toBe(ruleId === 'unit-mismatch' ? 'error' : 'warning');
    }
  });

  it('a fingerprint stays when lines move and the message changes, and is not given twice', () => {
    const print = (...found: ReturnType<typeof diagnostic>[]) =>
      sarif(input(checked({ diagnostics: found }))).runs[0]?.results?.map(
        r => r.partialFingerprints?.['dwellbookFinding/v1'],
      );
    const [first] = print(diagnostic()) ?? [];
    expect(print(diagnostic({ line: 90, end_line: 90, message: '"13 mm" is not a pressure' }))).toEqual([first]);
    expect(print(diagnostic({ path: 'settings.dwell' }))).not.toEqual([first]);
    const both = print(diagnostic(), diagnostic({ column: 1, message: 'another' })) ?? [];
    expect(new Set(both).size).toBe(2);
  });

  it('shows what is silenced as suppressed, with the reason, and then says of every result whether it is', () => {
    const silenced = [{ ...warning, reason: 'trimmed by hand' }];
    const [run] = sarif(input(checked({ diagnostics: [diagnostic()], silenced }))).runs;
    expect(run?.results?.map(({ suppressions }) => suppressions)).toEqual([
      [],
      [{ kind: 'inSource', justification: 'trimmed by hand' }],
    ]);
    expect(sarif(input(checked({ diagnostics: [warning] }))).runs[0]?.results?.[0]?.suppressions).toBeUndefined();
  });

  it('says once what is wrong with a part of several recipes', () => {
    const part = diagnostic({ file: 'parts/slim.yaml' });
    const recipes = ['a.yaml', 'b.yaml'].map(file => checked({ file, diagnostics: [part] }));
    const results = sarif(input(...recipes)).runs[0]?.results;
    expect(results).toHaveLength(1);
    expect(results?.[0]?.relatedLocations?.map(r => r.physicalLocation?.artifactLocation?.uri)).toEqual([
      'a.yaml',
      'b.yaml',
    ]);
  });

  it('what recipes find at a value of a part is one result, and keeps its fingerprint when a recipe goes', () => {
    const of = (file: string, message: string) =>
      checked({ file, diagnostics: [{ ...warning, file: 'parts/slim.yaml', message }] });
    const results = (...recipes: ReturnType<typeof of>[]) => sarif(input(...recipes)).runs[0]?.results ?? [];
    const [both, ...more] = results(of('a.yaml', 'shot 3'), of('b.yaml', 'shot 4'));
    expect(more).toEqual([]);
    expect(both?.relatedLocations?.map(r => [r.physicalLocation?.artifactLocation?.uri, r.message?.text])).toEqual([
      ['a.yaml', 'a recipe it was found with'],
      ['b.yaml', 'shot 4'],
    ]);
    expect(results(of('b.yaml', 'shot 4')).map(r => r.partialFingerprints)).toEqual([both?.partialFingerprints]);
  });

  it('holds the options that findings point into, which no file has', () => {
    const place = { file: '--set', line: 2, end_line: 2, column: 16, end_column: 21 };
    const one = checked({
      diagnostics: [diagnostic(place)],
      sourceLine: (file, line) => (file === '--set' && line === 2 ? 'station.rating=12 mm' : null),
    });
    const [run] = sarif(input(one)).runs;
    const [result] = run?.results ?? [];
    const { uri } = result?.locations?.[0]?.physicalLocation?.artifactLocation ?? {};
    const held = run?.artifacts?.find(({ location }) => location?.uri === uri)?.contents?.text ?? '';
    expect(held.split('\n')[1]?.slice(15, 20)).toBe('12 mm');
    expect(sarif(input(checked({ diagnostics: [diagnostic()] }))).runs[0]?.artifacts).toBeUndefined();
  });

  it('a silence in one recipe does not suppress the finding of another', () => {
    const part = { ...warning, file: 'parts/slim.yaml' };
    const quiet = checked({ file: 'a.yaml', silenced: [{ ...part, reason: 'by hand' }] });
    const loud = checked({ file: 'b.yaml', diagnostics: [part] });
    const results = sarif(input(quiet, loud)).runs[0]?.results ?? [];
    expect(results.filter(({ suppressions }) => suppressions?.length === 0)).toHaveLength(1);
  });

  it.each([
    ['parts/ä #1?.yaml', 'parts/%C3%A4%20%231%3F.yaml'],
    ['/srv/a.yaml', 'file:///srv/a.yaml'],
    ['a:b.yaml', './a%3Ab.yaml'],
    ['-', '-'],
  ])('writes the path %s as the URI %s', (file, uri) => {
    const log = sarif(input(checked({ diagnostics: [diagnostic({ file })] })));
    expect(log.runs[0]?.results?.[0]?.locations?.[0]?.physicalLocation?.artifactLocation?.uri).toBe(uri);
  });

  it('keeps to 25,000 results of a run, errors first, and says how many were left out', () => {
    const many = Array.from({ length: 25_002 }, (_, i) => ({ ...warning, line: i + 1, end_line: i + 1 }));
    const last = diagnostic({ line: 30_000, end_line: 30_000 });
    const log = JSON.parse(checkSarif(input(checked({ diagnostics: [...many, last] })))) as Log;
    const [run] = log.runs;
    expect(log.runs).toHaveLength(1);
    expect(run?.results).toHaveLength(25_000);
    expect(run?.results?.at(-1)?.ruleId).toBe('unit-mismatch');
    expect(run?.invocations?.[0]?.toolExecutionNotifications?.[0]?.message.text).toBe(
      '3 more findings left out: a run holds 25000 results',
    );
  });
});

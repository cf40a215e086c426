import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { fakeIo } from '../fake-io.ts';
import { type TestFolder, testFolder } from '../folder-io.ts';

// What decides on the floor, through the commands as they are called there.

const RECIPE = readFileSync(join(import.meta.dirname, '../../../examples/floor/pigtail.yaml'), 'utf8');

async function run(argv: string[], files: Record<string, string> = {}) {
  const io = fakeIo({ 'a.yaml': RECIPE, ...files });
  const status = await runProgram(argv, io);
  return { status, out: io.out(), err: io.err() };
}
async function json(argv: string[], files: Record<string, string> = {}) {
  return JSON.parse((await run([...argv, '--json'], files)).out);
}

describe('release', () => {
  it('rejects readings that scatter by a fifth, whatever their mean, and shows how far single shots may then be off', async () => {
    const call = ['release', 'a.yaml', '--masses', '1.70, 2.60, 1.75, 2.55, 2.1, 2.2 mg', '--shots', '1'];
    const { status, out } = await run(call);
    expect(status).toBe(1);
    expect(out).toContain('Decision: reject');
    expect(out).toContain('The readings scatter by 17.77 %');
    const { result } = await json(call);
    expect(result.reasons.map(({ code }: { code: string }) => code)).toEqual(['scatter']);
    expect(result.scatter.p).toBeLessThan(1e-6);
    // 2.15 mg at 1.15 g/mL is the mean; k of six readings 4.4140 (ISO 16269-6:2014, 95 % with 95 %), s = 0.3821 mg by hand.
    expect(result.mean_uL).toBeCloseTo(2.15 / 1.15, 6);
    expect(result.content_uL[0]).toBeCloseTo((2.15 - 4.414 * 0.3821) / 1.15, 2);
    expect(result.content_uL[1]).toBeCloseTo((2.15 + 4.414 * 0.3821) / 1.15, 2);
  });

  it('two equal weighings are not without doubt', async () => {
    const { result } = await json(['release', 'a.yaml', '--masses', '2.1, 2.1 mg', '--shots', '1']);
    const [low, high] = result.interval_uL;
    // No narrower than the last digit of both: 0.1 mg is at least ±0.05 mg of one, over √2.
    expect(high - low).toBeGreaterThan((2 * 0.05) / Math.SQRT2 / 1.15);
    expect(result.decision).toBe('use');
  });
});

describe('shot', () => {
  it('shows both windows of the hold-back where the plunger rubs, the safe one first', async () => {
    const { out } = await run(['shot', 'a.yaml']);
    const safe = out.indexOf('full, safe');
    expect(safe).toBeGreaterThan(0);
    expect(out.indexOf('full, plunger at rest')).toBeGreaterThan(safe);
  });
});

describe('a released ramp that changes from every 7 to every 6', () => {
  let folder: TestFolder;
  afterEach(() => folder.remove());

  it('is told by `compare` and by `check --frozen`', async () => {
    const changed = RECIPE.replace('every: 7', 'every: 6');
    expect(changed).not.toBe(RECIPE);
    folder = testFolder({ 'a.yaml': RECIPE, 'old.yaml': RECIPE, '.git/HEAD': '' });
    await folder.run(['freeze', 'a.yaml']);
    folder.write({ 'a.yaml': changed });
    const frozen = await folder.run(['check', 'a.yaml', '--frozen']);
    expect(frozen.status).toBe(1);
    expect(frozen.out).toContain('settings.ramp.every 7 → 6 changed, and results moved');
    expect(frozen.out).toContain('program.worst_error_pct');
    const compared = await folder.run(['compare', 'old.yaml', 'a.yaml']);
    expect(compared.out).toMatch(/settings\.ramp\.every +7 +6/);
    expect(compared.out).toContain('program.worst_error_pct');
  });
});

describe('trend', () => {
  const column = (values: number[]) => ({ 'v.csv': `mean [uL]\n${values.map(v => v.toFixed(3)).join('\n')}\n` });
  const swing = (n: number, size: number) => Array.from({ length: n }, (_, i) => (i % 2 === 0 ? size : -size));
  const call = ['trend', 'v.csv', '--lower', '8', '--upper', '12'];

  it('says the chance of a false signal, and states capability though a run fires, but not where a point is beyond three sigma', async () => {
    const inRun = [...swing(12, 0.4), ...Array(10).fill(0.1), ...swing(12, 0.4)].map(v => 10 + v);
    const steady = await json(call, column(inRun));
    const rules = (result: { points: { rules: number[] }[] }) => [...new Set(result.points.flatMap(p => p.rules))];
    expect(rules(steady.result)).not.toContain(1);
    expect(rules(steady.result)).not.toEqual([]);
    expect(steady.result.capability.cpk).toBeGreaterThan(0);
    expect((await run(call, column(inRun))).out).toMatch(/by chance +\d+ % of steady processes show a signal/);
    const beyond = await json(call, column([...swing(30, 0.2), 1.9].map(v => 10 + v)));
    expect(rules(beyond.result)).toContain(1);
    expect(beyond.result.capability).toBeNull();
    expect(beyond.diagnostics.map(({ code }: { code: string }) => code)).toContain('capability-withheld');
  });
});

describe('gauge-rr', () => {
  it('keeps an interaction that is not ruled out, says so, and gives an interval to every share', async () => {
    // F = 2.8 of 2 and 12 degrees of freedom: p is 0.10 (F tables: 2.81). Effects as in gauge-rr.test.ts.
    const e = 0.01;
    const z = Math.sqrt(2.8 / 18) * e;
    const rows = [-1, 0, 1].flatMap(item =>
      [-1, 1].flatMap(operator => {
        const mean = 6 + item * 0.05 + operator * 0.01 + operator * (item === 0 ? -2 : 1) * z;
        return [mean - e, mean, mean + e].map(value => `P${item},O${operator},${value}`);
      }),
    );
    const files = { 's.csv': `part,operator,value [mm]\n${rows.join('\n')}\n` };
    const { result } = await json(['gauge-rr', 's.csv', '--tolerance', '1'], files);
    const interaction = result.anova.find(({ source }: { source: string }) => source === 'interaction');
    expect(interaction.p).toBeCloseTo(0.1, 2);
    expect(result.interaction_sd).toBeGreaterThan(0);
    const { out } = await run(['gauge-rr', 's.csv', '--tolerance', '1'], files);
    expect(out.replace(/\s+/g, ' ')).toContain('kept, since it is not ruled out (p = 0.10)');
    expect(result.tolerance_pct).toBeCloseTo(100 * 6 * result.gauge_rr_sd, 8);
  });
});

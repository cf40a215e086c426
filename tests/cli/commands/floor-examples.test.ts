import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../src/cli/program.ts';
import { shellWords } from '../../helpers/shell-blocks.ts';
import { fakeIo } from '../fake-io.ts';

const folder = join(import.meta.dirname, '../../../examples/floor');
const files = Object.fromEntries(readdirSync(folder).map(name => [name, readFileSync(join(folder, name), 'utf8')]));
const commands = [...files['README.md']!.matchAll(/^ {4}\$ dwellbook (.+)$/gm)].map(match => match[1]!);

async function run(line: string, now: Record<string, string> = files) {
  const io = fakeIo(now);
  const status = await runProgram(shellWords(line), io);
  return { status, out: io.out(), err: io.err(), written: io.written };
}

describe('the examples of the shop floor', () => {
  it('are commands of every kind', () => {
    expect(new Set(commands.map(line => shellWords(line)[0]))).toEqual(
      new Set(['trials', 'fit', 'release', 'card', 'follow', 'rehearse', 'trend', 'recall', 'gauge-rr']),
    );
  });

  /** Logs that commands further up the page have begun. */
  const logs: Record<string, string> = {};

  it.each(commands)('dwellbook %s', async line => {
    const { status, out, err, written } = await run(line, { ...files, ...logs });
    expect({ status, error: /: error: /.exec(err) }).toEqual({ status: 0, error: null });
    expect(out.length).toBeGreaterThan(100);
    const argv = shellWords(line);
    for (const option of ['-o', '--sheet', '--log']) {
      const at = argv.indexOf(option);
      if (at < 0) continue;
      const name = argv[at + 1]!;
      if (argv[0] === 'release' || option !== '--log') expect(written.has(name)).toBe(true);
      if (argv[0] === 'release') logs[name] = String(written.get(name));
    }
  });

  it('the trial holds what it was made with, once the bubble is taken out', async () => {
    const clean = files['trial-runs.csv']!.split('\n')
      .filter(row => !row.includes('bubble'))
      .join('\n');
    const { out } = await run('fit pigtail.yaml trial-runs.csv --json', { ...files, 'trial-runs.csv': clean });
    const { result } = JSON.parse(out);
    for (const [i, truth] of [1.08, 4, 0.015].entries()) {
      const { low, high } = result.parameters[i];
      // The 95 % interval, half as wide again on each side: what scatter cannot explain in one draw of three parameters.
      expect(truth).toBeGreaterThan(low - (high - low) / 4);
      expect(truth).toBeLessThan(high + (high - low) / 4);
    }
    expect(result.residual_sd).toBeGreaterThan(0.006); // made with 1.2 %
    expect(result.residual_sd).toBeLessThan(0.02);
    expect(result.residuals.some((r: { outlier: boolean }) => r.outlier)).toBe(false);
    const withBubble = JSON.parse((await run('fit pigtail.yaml trial-runs.csv --json')).out);
    const apart = withBubble.result.residuals.filter((r: { outlier: boolean }) => r.outlier);
    expect(apart.map((r: { line: number }) => r.line)).toEqual([24]);
  });

  it('the season drifts after the delivery, and not before', async () => {
    const { out } = await run('trend checks.csv --chart ewma --target 1.858 --json');
    const fired = JSON.parse(out).result.points.filter((p: { rules: number[] }) => p.rules.length > 0);
    expect(fired.length).toBeGreaterThan(3);
    expect(fired.every((p: { index: number }) => p.index > 38)).toBe(true);
  });

  it('the check log is of the recipe beside it, as it is now, so that it counts for its qualification', async () => {
    const { out } = await run('qualify pigtail.yaml --log checks.csv --samples 20 --json');
    const { result, diagnostics } = JSON.parse(out);
    expect(diagnostics.map((d: { code: string }) => d.code)).not.toContain('qualify-digest');
    expect(result.first_pieces.checks).toBe(60); // one of each syringe
    const rows = files['checks.csv']!.trim().split('\n').slice(1);
    expect(new Set(rows.map(row => row.split(',').slice(1, 3).join(' ')))).toEqual(
      new Set([`pigtail.yaml ${result.digest}`]),
    );
  });

  it('the check log is one that release goes on with', async () => {
    const { written } = await run(
      'release pigtail.yaml --masses 10.7mg,10.6mg --shots 5 --log checks.csv --syringe S-1 --operator AB',
    );
    const log = Buffer.from(written.get('checks.csv')!).toString('utf8');
    expect(log.startsWith(files['checks.csv']!)).toBe(true);
  });
});

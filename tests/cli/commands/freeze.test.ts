import { afterEach, describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import { FROM_PART, RESIN_PART, WHOLE } from '../../helpers/part-recipes.ts';
import { type TestFolder, testFolder, testRepository } from '../folder-io.ts';

let folder: TestFolder;
afterEach(() => folder.remove());

const LOCK = 'dwellbook.lock.yaml';
const FILES = {
  'a.yaml': WHOLE,
  'line/b.yaml': FROM_PART.replace('parts/', '../parts/'),
  'parts/amber.yaml': RESIN_PART,
};

/** A folder is its own root only with a `.git`. */
function frozenFolder(files: Record<string, string> = FILES): TestFolder {
  folder = testFolder({ ...files, '.git/HEAD': '' });
  return folder;
}

async function check(...args: string[]) {
  const { status, out } = await folder.run(['check', '--frozen', '--json', ...args]);
  const documents = [JSON.parse(out)].flat();
  return {
    status,
    found: documents.flatMap(d => d.diagnostics).filter((d: { code: string }) => /^(frozen|lock)-/.test(d.code)),
  };
}

describe('freeze', () => {
  it('writes every recipe of the folder, sorted by path, one value a line', async () => {
    frozenFolder();
    const { status, out } = await folder.run(['freeze']);
    expect({ status, out }).toEqual({
      status: 0,
      out: 'a.yaml: new\nline/b.yaml: new\n2 recipes frozen: dwellbook.lock.yaml\n',
    });
    const lock = parse(folder.read(LOCK));
    expect(lock.lock).toBe(1);
    expect(Object.keys(lock.recipes)).toEqual(['a.yaml', 'line/b.yaml']);
    expect(lock.recipes['a.yaml'].inputs['resin.rheology.viscosity']).toBe('2.4 Pa.s ± 15 %');
    // The settings of the recipe: 210 kPa and 0.52 s.
    expect(lock.recipes['a.yaml'].results).toMatchObject({ 'shot.pressure_kPa': 210, 'shot.dwell_s': 0.52 });
    const longest = folder
      .read(LOCK)
      .split('\n')
      .filter(line => /[{[].*,/.test(line) && !line.startsWith('#'));
    expect(longest).toEqual([]);
  });

  it('agrees with what the commands say, to four digits', async () => {
    frozenFolder();
    await folder.run(['freeze', 'a.yaml']);
    const { results } = parse(folder.read(LOCK)).recipes['a.yaml'];
    const json = async (command: string) => JSON.parse((await folder.run([command, 'a.yaml', '--json'])).out).result;
    const [cavity, shot, setpoint, ramp] = [
      await json('cavity'),
      await json('shot'),
      await json('setpoint'),
      await json('ramp'),
    ];
    expect(results['cavity.backfill_aim_uL']).toBe(Number(cavity.backfill_aim_uL.toPrecision(4)));
    expect(results['shot.volume_uL']).toBe(Number(shot.volume_uL.toPrecision(4)));
    expect(results['setpoint.chosen.pressure_kPa']).toBe(setpoint.chosen.pressure_kPa);
    expect(results['ramp.program.stages[0].add_s']).toBe(ramp.program.stages[0].add_s);
    expect(results['ramp.end.reason']).toBe(ramp.end.reason);
  });

  it('updates the recipe named and keeps the others, byte for byte', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    const before = folder.read(LOCK);
    folder.write({
      'a.yaml': WHOLE.replace('dwell: 0.52 s', 'dwell: 0.5 s'),
      'parts/amber.yaml': RESIN_PART.replace('2.4 Pa.s', '3 Pa.s'),
    });
    const { status, out } = await folder.run(['freeze', 'a.yaml']);
    expect(status).toBe(0);
    expect(out).toMatch(/^a\.yaml: results moved\n {2}shot\.dwell_s 0\.52 → 0\.5 \(-3\.8 %\)\n/);
    expect(out).toMatch(/1 recipe frozen, 1 kept as they were: dwellbook\.lock\.yaml\n$/);
    const tail = (text: string) => text.slice(text.indexOf('  line/b.yaml:'));
    expect(tail(folder.read(LOCK))).toBe(tail(before));
    expect(folder.read(LOCK)).not.toBe(before);
  });

  it('the unit that the station shows pressures in is an input: in it the setpoint takes a round number', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    const shown = (display: string) =>
      WHOLE.replace('  rating: 100 psi\n', `  rating: 100 psi\n  display: ${display}\n`);
    folder.write({ 'a.yaml': shown('{pressure: psi, length: in}') });
    const { status, found } = await check();
    expect(status).toBe(1);
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ code: 'frozen-moved', file: 'a.yaml', path: 'station.display.pressure' });
    expect(found[0].message).toContain('station.display.pressure absent → psi changed, and results moved');
    for (const same of ['{pressure: kPa}', '{vacuum: inHg, length: in}']) {
      folder.write({ 'a.yaml': shown(same) });
      expect((await check()).found, same).toEqual([]);
    }
  });

  it('a lock file that keeps fewer results is behind, and no result moved', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    folder.write({ [LOCK]: folder.read(LOCK).replace(/^ {6}program\.end\..*\n/gm, '') });
    const { status, out } = await folder.run(['check', '--frozen']);
    expect(status).toBe(0);
    expect(out).toContain('does not keep program.end.reason, program.end.shot, program.end.age_min');
    expect(out).toContain('[frozen-stale]');
    await folder.run(['freeze']);
    expect((await folder.run(['check', '--frozen'])).out).not.toContain('[frozen-stale]');
  });

  it('gives the same bytes again', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    const before = folder.read(LOCK);
    expect((await folder.run(['freeze'])).out).toMatch(/^a\.yaml: as it was\nline\/b\.yaml: as it was\n/);
    expect(folder.read(LOCK)).toBe(before);
  });

  it('a broken recipe keeps the entry it had, is shown, and ends with 1', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    const before = folder.read(LOCK);
    folder.write({ 'a.yaml': WHOLE.replace('takt: 40 s', 'takt: 40 mm') });
    const { status, err } = await folder.run(['freeze']);
    expect(status).toBe(1);
    expect(err).toMatch(/^a\.yaml:\d+:\d+: error: .*\[unit-mismatch\]/);
    expect(folder.read(LOCK)).toBe(before);
  });

  it('two runs at a time lose nothing of each other', async () => {
    folder = testFolder({ 'a.yaml': WHOLE, 'b.yaml': WHOLE, 'c.yaml': WHOLE });
    await Promise.all(['a.yaml', 'b.yaml', 'c.yaml'].map(file => folder.run(['freeze', file])));
    expect(Object.keys(parse(folder.read(LOCK)).recipes)).toEqual(['a.yaml', 'b.yaml', 'c.yaml']);
    expect(folder.has(`${LOCK}.lock`)).toBe(false);
  });

  it('--lock names another file; paths are as seen from its folder', async () => {
    frozenFolder();
    await folder.run(['freeze', 'line', '--lock', 'line/lock.yaml']);
    expect(Object.keys(parse(folder.read('line/lock.yaml')).recipes)).toEqual(['b.yaml']);
    expect((await check('line', '--lock', 'line/lock.yaml')).found).toEqual([]);
  });

  it('--prune forgets recipes that are gone, and nothing else', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    folder.delete('a.yaml');
    expect((await folder.run(['freeze', 'line'])).out).toMatch(/1 kept as they were/);
    const { out } = await folder.run(['freeze', 'line', '--prune']);
    expect(out).toMatch(/^a\.yaml: gone, removed$/m);
    expect(Object.keys(parse(folder.read(LOCK)).recipes)).toEqual(['line/b.yaml']);
  });

  it('refuses what is not what the file says, and a lock file that it cannot read', async () => {
    frozenFolder();
    expect((await folder.run(['freeze', 'a.yaml', '--set', 'needle.gauge=20'])).status).toBe(2);
    expect((await folder.run(['freeze', '-'], '.', WHOLE)).status).toBe(2);
    const torn = 'lock: 1\nrecipes:\n<<<<<<< ours\n  a.yaml:\n';
    folder.write({ [LOCK]: torn });
    const { status, err } = await folder.run(['freeze']);
    expect(status).toBe(1);
    expect(err).toMatch(/^dwellbook\.lock\.yaml:\d+:\d+: error: .*\[lock-invalid\]/);
    expect(folder.read(LOCK)).toBe(torn);
  });

  it('--json lists what moved', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    folder.write({ 'a.yaml': WHOLE.replace('dwell: 0.52 s', 'dwell: 0.53 s') });
    const { result } = JSON.parse((await folder.run(['freeze', 'a.yaml', '--json'])).out);
    expect(result).toMatchObject({ lock: LOCK, kept: 1, pruned: [] });
    const moved = result.frozen[0].moved.find((m: { key: string }) => m.key === 'shot.volume_uL');
    // With ideal air the shot is in proportion to the dwell.
    expect(moved.new / moved.old).toBeCloseTo(0.53 / 0.52, 3); // both are rounded to four digits
    expect(moved.change_pct).toBeCloseTo(100 * (0.53 / 0.52 - 1), 1);
  });

  it('refuses a recipe with errors, which keeps the entry that it had', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    const before = folder.read(LOCK);
    folder.write({ 'a.yaml': WHOLE.replace('dwell: 0.52 s', 'dwell: 0.26 s') });
    const { status, err } = await folder.run(['freeze']);
    expect(status).toBe(1);
    expect(err).toContain('shot-outside-window');
    expect(folder.read(LOCK)).toBe(before);
  });

  it('takes the lock file that stands with the recipes named, where the current folder has none', async () => {
    frozenFolder();
    await folder.run(['freeze', 'line', '--lock', 'line/dwellbook.lock']);
    expect((await folder.run(['check', 'line', '--frozen'])).status).toBe(0);
    expect((await folder.run(['check', 'line/b.yaml', '--frozen'])).status).toBe(0);
    expect((await folder.run(['freeze', 'line'])).out).toContain('frozen: line/dwellbook.lock');
    expect((await folder.run(['check', 'a.yaml', '--frozen'])).status).toBe(3); // no lock file is below it
  });
});

describe('check --frozen', () => {
  it('is silent while nothing moves', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    expect(await check()).toEqual({ status: 0, found: [] });
  });

  it('says which input of which part moved what, at the line of the part, once for all recipes', async () => {
    frozenFolder({ ...FILES, 'line/c.yaml': FILES['line/b.yaml'] });
    await folder.run(['freeze']);
    folder.write({ 'parts/amber.yaml': RESIN_PART.replace('2.4 Pa.s', '3 Pa.s') });
    const { status, found } = await check();
    expect(status).toBe(1);
    expect(found).toHaveLength(2); // JSON has it with each recipe
    const line = RESIN_PART.split('\n').findIndex(text => text.startsWith('rheology:')) + 1;
    for (const one of found) {
      expect(one).toMatchObject({ code: 'frozen-moved', severity: 'error', file: 'parts/amber.yaml', line });
      expect(one.message).toContain('resin.rheology.viscosity 2.4 → 3 Pa.s ± 15 % changed');
      expect(one.effect).toMatch(/shot\.volume_uL 1\.\d+ → 1\.\d+ \(-20 %\)/); // Newtonian: 2.4/3 of it
    }
    const { out } = await folder.run(['check', '--frozen']);
    expect(out.match(/\[frozen-moved\]/g)).toHaveLength(1);
    expect(out).toMatch(/^ {4}line\/b\.yaml: .*shot\.volume_uL/m);
    expect(out).toMatch(/^ {4}line\/c\.yaml: .*shot\.volume_uL/m);
    const github = (await folder.run(['check', '--frozen', '--format', 'github'])).out;
    expect(github.match(/^::error file=parts\/amber\.yaml,line=\d+.*title=frozen-moved::/gm)).toHaveLength(1);
  });

  it('gives each of several changed inputs a finding, up to four of one file', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    const two = WHOLE.replace('dwell: 0.52 s', 'dwell: 0.51 s').replace('fill: 0.5 mL', 'fill: 0.6 mL');
    folder.write({ 'a.yaml': two });
    const { found } = await check();
    expect(found.map((d: { path: string }) => d.path)).toEqual(['station.syringe.fill', 'settings.dwell']);
    folder.write({
      'a.yaml': two
        .replace('takt: 40 s', 'takt: 41 s')
        .replace('prime: 3', 'prime: 4')
        .replace('7 mm}', '7.5 mm}')
        .replace('density: 1.15', 'density: 1.16'),
    });
    const many = (await check()).found;
    expect(many).toHaveLength(4);
    expect(many.filter((d: { message: string }) => d.message.includes('and 2 more of this file'))).toHaveLength(1);
  });

  it('a value in another unit moves nothing', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    folder.write({ 'a.yaml': WHOLE.replace('2.4 Pa.s ± 15 %', '2400 mPa.s ± 15 %') });
    expect((await check()).found).toEqual([]);
  });

  it('an input that moves no result is a warning', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    folder.write({ 'a.yaml': WHOLE.replace('accuracy: 2 kPa', 'accuracy: 2.0001 kPa') });
    const { status, found } = await check();
    expect(status).toBe(0);
    expect(found).toMatchObject([{ code: 'frozen-stale', severity: 'warning' }]);
    expect(found[0].message).toContain('station.pressure.accuracy 2 → 2.0001 kPa');
  });

  it('with the inputs as they were, it names the version of the model', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    const lock = parse(folder.read(LOCK));
    const entry = lock.recipes['a.yaml'];
    entry.models.flow = 0;
    entry.models.drop = 0;
    entry.results['setpoint.chosen.volume_uL'] *= 1.1;
    folder.write({ [LOCK]: stringify(lock) });
    const { found } = await check();
    // The drop model has no part in a setpoint.
    expect(found).toMatchObject([{ code: 'frozen-moved', file: LOCK }]);
    expect(found[0].message).toMatch(/^the version of the model flow 0 → 1 changed/);
  });

  it('a lock file that was edited is said to be', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    folder.write({ [LOCK]: folder.read(LOCK).replace('shot.dwell_s: 0.52', 'shot.dwell_s: 0.53') });
    const [found] = (await check()).found;
    expect(found.message).toMatch(/^neither an input nor the version of a model changed/);
    const lines = folder.read(LOCK).split('\n');
    expect(found).toMatchObject({ file: LOCK, line: lines.findIndex(text => text.includes('shot.dwell_s: 0.53')) + 1 });
  });

  it('finds recipes that the lock file lacks, and entries whose recipe is gone, at their line', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    folder.delete('a.yaml');
    folder.write({ 'c.yaml': WHOLE });
    const { status, found } = await check();
    expect(status).toBe(1);
    expect(found.map((d: { code: string }) => d.code).sort()).toEqual(['frozen-gone', 'frozen-missing']);
    const gone = found.find((d: { code: string }) => d.code === 'frozen-gone');
    const line =
      folder
        .read(LOCK)
        .split('\n')
        .findIndex(text => text.startsWith('  a.yaml:')) + 1;
    expect(gone).toMatchObject({ file: LOCK, line, column: 3 });
    const { out } = await folder.run(['check', '--frozen', '--json']);
    const holders = JSON.parse(out).filter((d: { diagnostics: { code: string }[] }) =>
      d.diagnostics.some(({ code }) => code === 'frozen-gone'),
    );
    expect(holders.map((d: { recipe: string }) => d.recipe)).toEqual([LOCK]);
  });

  it('ends with 3 where there is no lock file', async () => {
    frozenFolder();
    const { status, err } = await folder.run(['check', '--frozen']);
    expect({ status, err }).toEqual({
      status: 3,
      err: 'error: dwellbook.lock.yaml: there is no such file; `dwellbook freeze` writes it\n',
    });
  });

  it('a recipe that is gone is found with --since too, when no recipe is left to check', async () => {
    folder = testRepository(FILES);
    await folder.run(['freeze']);
    folder.commit('frozen');
    folder.delete('a.yaml');
    const { status, out } = await folder.run(['check', '--frozen', '--since', 'HEAD', '--format', 'jsonl']);
    expect(status).toBe(1);
    expect(JSON.parse(out)).toMatchObject({ recipe: LOCK, code: 'frozen-gone', file: LOCK });
  });

  it('--lock without --frozen is wrong usage: nothing would be held to it', async () => {
    frozenFolder();
    expect((await folder.run(['check', '--lock', LOCK])).status).toBe(2);
  });

  it('cannot be silenced by the recipe it is about', async () => {
    frozenFolder();
    await folder.run(['freeze']);
    const silenced = `${WHOLE.replace('dwell: 0.52 s', 'dwell: 0.5 s')}silence: [{code: frozen-moved, reason: quiet}]\n`;
    folder.write({ 'a.yaml': silenced });
    expect((await check()).found).toMatchObject([{ code: 'frozen-moved' }]);
  });
});

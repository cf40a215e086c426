import type { Ends } from '../schema/fields.ts';
import type { Leaf } from '../schema/leaf.ts';
import type { RecipeData } from '../schema/recipe-schema.ts';
import { type Path, pathText } from '../yaml/path.ts';
import { foundText, isPlainMap, type Plain, plainAt } from '../yaml/plain-data.ts';
import { type Issue, issue } from './issue.ts';
import { passageIssues } from './passage-checks.ts';

/** What has been read so far: any value may be missing, because it was wrong. */
type Partly<T> = T extends Leaf | Ends | string | number | boolean
  ? T | undefined
  : T extends readonly (infer U)[]
    ? readonly Partly<U>[] | undefined
    : T extends object
      ? { readonly [K in keyof T]?: Partly<T[K]> | undefined }
      : T | undefined;
export type PartlyRead = Partly<RecipeData>;

/** Checks between the values of one block, as far as these could be read. Rules over several blocks live elsewhere. */
export function blockIssues(data: Plain, read: PartlyRead | undefined): Issue[] {
  if (read === undefined || read === null) return [];
  return [
    ...connectorIssues(data, read),
    ...needleIssues(data),
    ...resinIssues(data, read),
    ...stationIssues(data, read),
    ...processIssues(data, read),
    ...rampIssues(read),
  ];
}

type MaybeLeaf = Leaf | undefined;

/** An issue at the second of two values that must not be below (or at) the first. */
function ordered(data: Plain, low: [Path, MaybeLeaf], high: [Path, MaybeLeaf], equalWillDo = false): Issue[] {
  const [lowPath, lowLeaf] = low;
  const [highPath, highLeaf] = high;
  if (lowLeaf === undefined || highLeaf === undefined) return [];
  if (lowLeaf.value < highLeaf.value || (equalWillDo && lowLeaf.value === highLeaf.value)) return [];
  const how = equalWillDo ? 'at least' : 'above';
  const message = `${shown(data, highPath)} must be ${how} ${pathText(lowPath)}, ${shown(data, lowPath)}`;
  return [issue('order-wrong', highPath, message)];
}

function shown(data: Plain, path: Path): string {
  const value = plainAt(data, path);
  return foundText(plainAt(data, [...path, 'value']) ?? value);
}

function isGiven(data: Plain, path: Path): boolean {
  return (plainAt(data, path) ?? null) !== null;
}

function connectorIssues(data: Plain, { connector }: PartlyRead): Issue[] {
  const reach: Path = ['connector', 'reach'];
  return [
    ...ordered(data, [[...reach, 'min'], connector?.reach?.min], [[...reach, 'max'], connector?.reach?.max]),
    ...passageIssues(data, connector),
  ];
}

function needleIssues(data: Plain): Issue[] {
  const has = (key: string) => isGiven(data, ['needle', key]);
  const given = plainAt(data, ['needle']);
  if (!isPlainMap(given)) return [];
  if (has('sections')) {
    return ['gauge', 'bore', 'length'].filter(has).map(key => ({
      ...issue(
        'key-conflict',
        ['needle', key],
        `"${key}" does not go with "sections", which give the needle from the barrel to the tip`,
        'keep one of them',
      ),
      at: 'key' as const,
    }));
  }
  if (has('entrance_lengths') && plainAt(data, ['needle', 'ends']) === 'none') {
    const message = '"entrance_lengths" does not go with "ends: none", which leaves the entrance out';
    return [{ ...issue('key-conflict', ['needle', 'entrance_lengths'], message, 'keep one of them'), at: 'key' }];
  }
  if (has('gauge') || has('bore')) return [];
  return [
    issue(
      'key-missing',
      ['needle', 'gauge'],
      'the needle has no gauge, no bore and no sections',
      'add gauge: 22, or bore: 0.41 mm',
    ),
  ];
}

function resinIssues(data: Plain, { resin }: PartlyRead): Issue[] {
  const issues: Issue[] = [];
  if (isGiven(data, ['resin', 'dot', 'contact_angle']) && isGiven(data, ['resin', 'dot', 'calibration'])) {
    const path: Path = ['resin', 'dot', 'calibration'];
    const message = '"calibration" does not go with "contact_angle": the angle is given or fitted';
    issues.push({ ...issue('key-conflict', path, message, 'keep one of them'), at: 'key' });
  }
  const weighed = resin?.dot?.calibration ?? [];
  if (weighed.some(one => one?.age !== undefined)) {
    weighed.forEach((one, i) => {
      const path: Path = ['resin', 'dot', 'calibration', i];
      const aged = isGiven(data, [...path, 'age']);
      const timed = isGiven(data, [...path, 'read_after']) || isGiven(data, ['resin', 'dot', 'read_after']);
      if (one === undefined || (aged && timed)) return;
      const key = aged ? 'read_after' : 'age';
      const message = `"${key}" is missing in ${pathText(path)}: dots that still spread need both, every one of them`;
      issues.push(issue('key-missing', [...path, key], message, `add ${key}, or leave the ages out`));
    });
  }
  const glassAt = (key: string): Path => ['resin', 'glass', key];
  issues.push(...ordered(data, [glassAt('uncured'), resin?.glass?.uncured], [glassAt('cured'), resin?.glass?.cured]));
  for (const part of ['base', 'hardener'] as const) {
    const given = resin?.mix?.[part];
    const path: Path = ['resin', 'mix', `${part}_density`];
    if (given === undefined || !('second' in given) || isGiven(data, path)) continue;
    const message = `"${part}_density" is missing in resin.mix, whose ${part} is a volume`;
    issues.push(issue('key-missing', path, message, `add ${part}_density, or give ${part} as a mass`));
  }
  const rheology = resin?.rheology as Record<string, MaybeLeaf> | undefined;
  const at = (key: string): Path => ['resin', 'rheology', key];
  issues.push(...ordered(data, [at('infinity'), rheology?.['infinity']], [at('zero'), rheology?.['zero']]));
  const measured = rheology?.['measured'] as unknown as readonly MaybeLeaf[] | undefined;
  const [from, to]: [Path, Path] = [
    [...at('measured'), 0],
    [...at('measured'), 1],
  ];
  issues.push(...ordered(data, [from, measured?.[0]], [to, measured?.[1]]));
  const [consistency, flowIndex] = [rheology?.['K'], rheology?.['n']];
  const exponent = consistency?.timeExponent;
  if (typeof exponent === 'number' && flowIndex !== undefined && Math.abs(exponent - flowIndex.value) > 1e-9) {
    const message = `${shown(data, at('K'))} has its second to the power ${exponent}, but n is ${flowIndex.value}`;
    issues.push(issue('consistency-exponent', at('K'), message, 'write Pa.s^n, or the exponent that n has'));
  }
  return issues;
}

function stationIssues(data: Plain, { station }: PartlyRead): Issue[] {
  const at = (block: string, key: string): Path => ['station', block, key];
  const { pressure, dwell, syringe } = station ?? {};
  return [
    ...ordered(data, [at('pressure', 'min'), pressure?.min], [at('pressure', 'max'), pressure?.max]),
    ...ordered(data, [at('dwell', 'min'), dwell?.min], [at('dwell', 'max'), dwell?.max]),
    ...ordered(data, [at('syringe', 'fill'), syringe?.fill], [at('syringe', 'barrel'), syringe?.barrel], true),
    ...ordered(data, [at('syringe', 'left_over'), syringe?.left_over], [at('syringe', 'fill'), syringe?.fill]),
  ];
}

function processIssues(data: Plain, { process }: PartlyRead): Issue[] {
  const path: Path = ['process', 'practical_dwell'];
  const range = process?.practical_dwell as readonly MaybeLeaf[] | undefined;
  return ordered(data, [[...path, 0], range?.[0]], [[...path, 1], range?.[1]]);
}

function rampIssues({ settings }: PartlyRead): Issue[] {
  const ramp = settings?.ramp;
  if (ramp === undefined || !('second' in ramp)) return [];
  const issues: Issue[] = [];
  let before = 0;
  ramp.second?.forEach((stage, i) => {
    const path: Path = ['settings', 'ramp', i];
    const from = stage?.from_shot ?? (i === 0 ? 1 : undefined);
    if (from === undefined) {
      issues.push(
        issue('key-missing', [...path, 'from_shot'], `"from_shot" is missing in ${pathText(path)}`, 'add from_shot'),
      );
    } else if (from <= before) {
      const message = `from_shot ${from} must be above that of the stage before, ${before}`;
      issues.push(issue('order-wrong', [...path, 'from_shot'], message, 'sort the stages'));
    }
    before = Math.max(before, from ?? 0);
  });
  return issues;
}

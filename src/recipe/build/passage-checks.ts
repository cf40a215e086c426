import type { Ends } from '../schema/fields.ts';
import type { Leaf } from '../schema/leaf.ts';
import { type Path, pathText } from '../yaml/path.ts';
import { isPlainMap, type Plain, plainAt } from '../yaml/plain-data.ts';
import { type Issue, issue } from './issue.ts';

/** A section as far as it could be read. */
interface ReadSection {
  readonly diameter?: Ends | undefined;
  readonly count?: number | undefined;
  readonly pitch?: Leaf | undefined;
  readonly width?: Leaf | undefined;
}

interface ReadStacks {
  readonly cavity?: readonly (ReadSection | undefined)[] | undefined;
  readonly cable?: readonly (ReadSection | undefined)[] | undefined;
}

/** What one key of the sections of a connector asks of another. */
export function passageIssues(data: Plain, { cavity, cable }: ReadStacks = {}): Issue[] {
  const connector = { cavity: listed(cavity), cable: listed(cable) };
  return [
    ...(['cavity', 'cable'] as const).flatMap(stack =>
      connector[stack].flatMap((read, i) => {
        const path: Path = ['connector', stack, i];
        const given = plainAt(data, path);
        return isPlainMap(given) ? [...shapeIssues(given, path), ...rowIssues(read, path)] : [];
      }),
    ),
    ...countIssues('cavity', connector.cavity),
    ...countIssues('cable', connector.cable),
    ...tooManyIssues(connector),
  ];
}

/** What was no list at all is said elsewhere. */
function listed(sections: ReadStacks['cavity']): readonly (ReadSection | undefined)[] {
  return Array.isArray(sections) ? sections : [];
}

/** One shape: a diameter, or width and height. */
function shapeIssues(given: { readonly [key: string]: Plain }, path: Path): Issue[] {
  const has = (key: string) => (given[key] ?? null) !== null;
  const sides = ['width', 'height'].filter(has);
  if (has('diameter')) {
    return sides.map(key => ({
      ...issue(
        'key-conflict',
        [...path, key],
        `"${key}" does not go with "diameter": a section is round, or a rectangle of width and height`,
        'keep one of them',
      ),
      at: 'key' as const,
    }));
  }
  const missing = sides.length === 0 ? ['diameter'] : ['width', 'height'].filter(key => !has(key));
  return missing.map(key =>
    issue('key-missing', [...path, key], `"${key}" is missing in ${pathText(path)}`, `add ${key}`),
  );
}

/** Passages in a row stand further apart than each is wide. */
function rowIssues(read: ReadSection | undefined, path: Path): Issue[] {
  if (read?.pitch === undefined) return [];
  if (read.count === undefined) {
    const message = `"pitch" in ${pathText(path)} says how far passages stand apart, "count" not how many there are`;
    return [issue('key-missing', [...path, 'count'], message, 'add count, or leave pitch out')];
  }
  const { diameter, width } = read;
  const widest = Math.max(diameter?.front.value ?? 0, diameter?.rear.value ?? 0, width?.value ?? 0);
  if (read.pitch.value > widest * (1 - SAME)) return [];
  const message = `the pitch in ${pathText(path)} is less than each is wide: the passages would run into each other`;
  return [issue('order-wrong', [...path, 'pitch'], message, 'count them as one passage, or correct pitch or width')];
}

/** What unit conversion leaves of two equal texts; passages, and fibres, may touch. */
const SAME = 1e-9;

/** Several passages stand in the first sections, as many in each. */
function countIssues(stack: 'cavity' | 'cable', sections: readonly (ReadSection | undefined)[]): Issue[] {
  const counts = sections.map(section => section?.count ?? 1);
  const first = counts[0] ?? 1;
  const issues: Issue[] = [];
  let ended = false;
  counts.forEach((count, i) => {
    if (count === 1) ended = true;
    else if (ended || count !== first) {
      const path: Path = ['connector', stack, i, 'count'];
      const message = ended
        ? `count ${count} behind a section that is one passage: several stand in the first sections only`
        : `count ${count} behind a section with count ${first}: the first sections have as many passages each`;
      issues.push(issue('order-wrong', path, message, 'passages begin side by side and end in one chamber'));
    }
  });
  return issues;
}

/** Fibres go into one chamber, or each into a bore of its own. */
function tooManyIssues({ cavity, cable }: ReadStacks): Issue[] {
  const bores = cavity?.[0]?.count ?? 1;
  const fibres = cable?.[0]?.count ?? 1;
  if (bores === 1 || fibres <= bores) return [];
  const message = `the cable has ${fibres} fibres, the cavity ${bores} bores`;
  return [
    issue('order-wrong', ['connector', 'cable', 0, 'count'], message, 'give the cavity a count at least as large'),
  ];
}

// What a mutant may be: the changes of the tool but those of texts, and two that it lacks, a constant doubled and a statement left out.
// The tool keeps its mutators in a list that it does not export; that list is changed in place.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { Instrumenter } from '@stryker-mutator/instrumenter';

const LIST = new URL('./mutators/mutate.js', import.meta.resolve('@stryker-mutator/instrumenter'));
const { allMutators } = await import(LIST.href);

const constant = {
  name: 'Constant',
  *mutate(path) {
    if (!path.isNumericLiteral() || path.key === 'key') return;
    const { value } = path.node;
    yield { type: 'NumericLiteral', value: value === 0 ? 1 : 2 * value };
  },
};

const droppedStatement = {
  name: 'DroppedStatement',
  *mutate(path) {
    if (path.isExpressionStatement()) yield { type: 'EmptyStatement' };
  },
};

const MUTATORS = [...allMutators.filter(({ name }) => name !== 'StringLiteral'), constant, droppedStatement];

/** Of all places in the files, as many as `count`: those of the least digests, so that the draw does not depend on their order. */
export async function drawPlaces(files, { seed, count }) {
  const silent = { debug() {}, info() {}, isDebugEnabled: () => false };
  const instrumenter = new Instrumenter(silent, undefined, () => '');
  const places = [];
  for (const file of files) {
    choose((place, { start, end }) => {
      const name = `${file}:${place}`;
      places.push({ name, place, lines: `${file}:${start.line}-${end.line}`, digest: digestOf(seed, name) });
      return false;
    });
    const source = { name: file, mutate: true, content: readFileSync(file, 'utf8') };
    await instrumenter.instrument([source], { excludedMutations: [], ignorers: [] });
  }
  return places.sort((a, b) => (a.digest < b.digest ? -1 : 1)).slice(0, count);
}

/** Let the tool make the mutants of these places and no others. */
export function makeOnly(places) {
  const wanted = new Map(places.map(({ place, digest }) => [place, digest]));
  choose(place => wanted.get(place) ?? false);
}

function choose(digestAt) {
  const chosen = MUTATORS.map(({ name, mutate }) => ({
    name,
    *mutate(path, options) {
      const all = [...mutate(path, options)];
      if (all.length === 0) return;
      const { start, end } = path.node.loc;
      const place = `${start.line}:${start.column + 1}-${end.line}:${end.column + 1} ${name}`;
      const digest = digestAt(place, path.node.loc);
      // Where one place can be changed in several ways, the digest takes one.
      if (digest !== false) yield all[Number.parseInt(digest.slice(0, 8), 16) % all.length];
    },
  }));
  allMutators.splice(0, allMutators.length, ...chosen);
}

function digestOf(seed, name) {
  return createHash('sha256').update(`${seed} ${name}`).digest('hex');
}

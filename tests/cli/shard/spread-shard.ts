import { shardText, workDigest } from '../../../src/recipe/format/shard-file.ts';
import { VERSION } from '../../../src/version.ts';

const units = ['a.yaml'];
const document = { format: 1, command: 'spread', recipe: 'a.yaml', name: null, result: {}, diagnostics: [] };

/** The only shard of a call. */
export const SPREAD_SHARD = shardText({
  ...{ command: 'spread', version: VERSION, shard: 1, of: 1, units: 1, work: workDigest(units) },
  ...{ call: { args: units }, whole: { single: true }, done: [[0, document]] },
});

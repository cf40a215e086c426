import { shardText, workDigest } from '../../recipe/format/shard-file.ts';
import { VERSION } from '../../version.ts';
import type { Call } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { writeOutput } from '../terminal/write-output.ts';
import type { Shard } from './shard.ts';

/** The share of a call that was done here. */
export interface DoneShare {
  /** Names of all units of the call, which every shard finds alike. */
  readonly units: readonly string[];
  readonly done: readonly (readonly [number, unknown])[];
  /** What the end needs beside them; the same in every shard. */
  readonly whole: unknown;
}

/** Options that say how and where something is shown: `merge` has its own. */
const SHOWN = new Set(['shard', 'color', 'json', 'format', 'out', 'workers', 'trace', 'report', 'fresh']);

/** Writes a shard file to standard output or `-o`. Its status is 0 whatever was found: `merge` gives the verdict. */
export function writeShard(call: Call, { shard, of }: Shard, { units, done, whole }: DoneShare): ExitStatus {
  if (call.flags['report'] !== undefined)
    throw new UsageError('--report goes with `merge`; --shard writes its own file');
  const flags = Object.entries(call.flags).filter(([name]) => !SHOWN.has(name));
  const from = { args: call.args, ...Object.fromEntries(flags) };
  const head = { command: call.name, version: VERSION, shard, of, units: units.length, work: workDigest(units) };
  writeOutput(call, shardText({ ...head, call: from, whole, done }));
  return EXIT.done;
}

import { readShard, type ShardFile } from '../../recipe/format/shard-file.ts';
import { VERSION } from '../../version.ts';
import { CallFileError, UsageError } from '../terminal/exit-status.ts';
import type { CliIo } from '../terminal/io.ts';
import { MOST_SHARDS } from './shard.ts';

/** A shard file is no recipe: results of a hundred thousand recipes go in [bytes]. */
const MOST_BYTES = 512 * 1024 ** 2;

/** All shards of one call put together. */
export interface Merged {
  readonly command: string;
  /** Arguments and options of the call. */
  readonly call: Readonly<Record<string, unknown>>;
  readonly whole: unknown;
  /** What came of every unit, in order. */
  readonly pieces: readonly unknown[];
}

/**
 * Reads shard files and puts their units in order.
 * Throws: CallFileError for a file that is none; UsageError where they are not of one call, or a shard is missing.
 */
export function readShards(paths: readonly string[], { files }: CliIo): Merged {
  const shards = paths.map(path => ({ path, shard: readOne(path, files.readBytes(path, MOST_BYTES)) }));
  const first = shards[0]!;
  const by = new Map<number, string>();
  for (const { path, shard } of shards) {
    const unlike = difference(first.shard, shard);
    if (unlike !== null) throw new UsageError(`${path} and ${first.path} are not of one call: ${unlike}`);
    const other = by.get(shard.shard);
    if (other !== undefined) throw new UsageError(`shard ${shard.shard} stands twice: in ${other} and ${path}`);
    by.set(shard.shard, path);
  }
  const { command, of, units, call, whole } = first.shard;
  const missing = Array.from({ length: of }, (_, i) => i + 1).filter(shard => !by.has(shard));
  if (missing.length > 0) {
    const which = missing.length === 1 ? `shard ${missing[0]} is` : `shards ${missing.join(', ')} are`;
    throw new UsageError(`${which} missing, of ${of}`);
  }
  const done = new Map<number, unknown>();
  for (const { path, shard } of shards) {
    for (const [unit, piece] of shard.done) {
      if (done.has(unit)) throw new CallFileError(`${path}: unit ${unit} is done twice`);
      done.set(unit, piece);
    }
  }
  if (done.size < units) throw new CallFileError(`${units - done.size} of ${units} units were done by no shard`);
  const pieces = Array.from({ length: units }, (_, unit) => done.get(unit));
  return { command, call: call as Merged['call'], whole, pieces };
}

function readOne(path: string, bytes: Uint8Array): ShardFile {
  const shard = bytes.length > MOST_BYTES ? 'it is too large' : readShard(new TextDecoder('utf-8').decode(bytes));
  if (typeof shard === 'string') throw new CallFileError(`${path}: ${shard}`);
  if (shard.version !== VERSION) {
    throw new CallFileError(`${path}: written by version ${shard.version}, this is ${VERSION}; run the shards again`);
  }
  if (shard.of > MOST_SHARDS)
    throw new CallFileError(`${path}: there are no ${shard.of} shards, ${MOST_SHARDS} at most`);
  if (typeof shard.call !== 'object' || shard.call === null || Array.isArray(shard.call)) {
    throw new CallFileError(`${path}: this is no file that --shard wrote`);
  }
  return shard;
}

/** In words what two shards do not have in common; null when they go together. */
function difference(a: ShardFile, b: ShardFile): string | null {
  if (a.command !== b.command) return `\`${a.command}\` and \`${b.command}\``;
  if (a.of !== b.of) return `shares of ${a.of} and of ${b.of}`;
  if (JSON.stringify(a.call) !== JSON.stringify(b.call)) return 'other arguments or options';
  if (a.work !== b.work || a.units !== b.units) return 'other files were found';
  return JSON.stringify(a.whole) === JSON.stringify(b.whole) ? null : 'other values were found';
}

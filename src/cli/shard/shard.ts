import { type Command, InvalidArgumentError } from 'commander';
import { sha256 } from '../../recipe/format/digest.ts';
import type { Call } from '../terminal/command.ts';

/** Which share of a call's work is done here: one of `of`, from 1. */
export interface Shard {
  readonly shard: number;
  readonly of: number;
}

/** More machines than any service runs at once. */
export const MOST_SHARDS = 1000;

/** Declares `--shard`; its group of the help comes before. */
export function addShardOption(command: Command): Command {
  return command.option('--shard <i/n>', 'do the i-th of n shares of the work; `merge` puts them together', parseShard);
}

function parseShard(text: string): Shard {
  const [, shard, of] = (/^(\d{1,4})\/(\d{1,4})$/.exec(text) ?? []).map(Number);
  if (shard === undefined || of === undefined || shard < 1 || shard > of || of > MOST_SHARDS) {
    throw new InvalidArgumentError(`Write i/n, such as 2/4: from 1/n to n/n, n at most ${MOST_SHARDS}.`);
  }
  return { shard, of };
}

export function shardOf(call: Call): Shard | null {
  return (call.flags['shard'] as Shard | undefined) ?? null;
}

/**
 * Numbers of the units that a shard does, in order. The units are dealt out one by one in the order of the digests of their
 * names: shares differ by one unit at most, and neighbours, which cost alike, go to different machines.
 */
export function ownUnits(units: readonly string[], { shard, of }: Shard): number[] {
  const digests = units.map(unit => sha256(unit));
  const dealt = units
    .map((_, i) => i)
    .sort((a, b) => (digests[a]! < digests[b]! ? -1 : digests[a] === digests[b] ? a - b : 1));
  return dealt.filter((_, place) => place % of === shard - 1).sort((a, b) => a - b);
}

import * as z from 'zod/mini';
import { sha256 } from './digest.ts';

/** What one machine of several worked out: a share of the units of a call, as `merge` reads it. */
export interface ShardFile {
  readonly command: string;
  /** Of the program: another one may compute something else. */
  readonly version: string;
  /** Which of how many, from 1. */
  readonly shard: number;
  readonly of: number;
  /** Arguments and options that the result depends on. */
  readonly call: unknown;
  /** What the end needs beside the units, the same in every shard. */
  readonly whole: unknown;
  /** How many units the call has, and a digest of their names. */
  readonly units: number;
  readonly work: string;
  /** Number of a unit, from 0, and what came of it. */
  readonly done: readonly (readonly [number, unknown])[];
}

const from = (lowest: number) => z.int().check(z.gte(lowest));

const SHAPE = z.object({
  format: z.literal(1),
  command: z.string(),
  version: z.string(),
  shard: from(1),
  of: from(1),
  units: from(0),
  work: z.string(),
  call: z.unknown(),
  whole: z.unknown(),
  done: z.array(z.tuple([from(0), z.unknown()])),
});

/** The text of a shard file: one unit a line. */
export function shardText({ command, done, ...head }: ShardFile): string {
  const lines = done.map(([unit, piece]) => JSON.stringify([unit, piece]));
  return `${JSON.stringify({ format: 1, command, ...head }).slice(0, -1)},"done":[${lines.map(line => `\n${line}`).join(',')}\n]}\n`;
}

/** The shard file of a text, or in words what is wrong with it. */
export function readShard(text: string): ShardFile | string {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    return 'this is no JSON: the file was cut short, or is another';
  }
  const read = SHAPE.safeParse(data);
  if (!read.success) return 'this is no file that --shard wrote';
  const { format: _, ...shard } = read.data;
  if (shard.shard > shard.of) return `shard ${shard.shard} of ${shard.of} cannot be`;
  const wrong = shard.done.find(([unit]) => unit >= shard.units);
  return wrong === undefined ? shard : `unit ${wrong[0]} of ${shard.units} cannot be`;
}

/** SHA-256 [hex] of the names of all units in their order. */
export function workDigest(units: readonly string[]): string {
  return sha256(units.join('\n'));
}

import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { build } from 'esbuild';
import { root } from './built-program.ts';
import type { WatchedCall, WatchedResult } from './watched-thread.ts';

/**
 * A call counts as endless by the time of processors that this process has had since it began [ms], far above what any takes: that a
 * machine has other work does not count against it. What waits for ever takes none, and counts by the clock.
 */
const ENDLESS = { processor: 60_000, clock: 1_200_000 };
/** How often that is looked at [ms]. */
const LOOKED_AT = 500;
/** Memory of a call until it counts as unbounded [MB]. */
const MEMORY = 1_024;

export type Ending = WatchedResult | { readonly status: 'does not end' | 'takes all memory'; out: ''; err: string };

export interface WatchedProgram {
  /** Runs one call on files of its own, in a thread that is ended when the call does not end by itself. */
  run(argv: readonly string[], files: Readonly<Record<string, string | Uint8Array>>): Promise<Ending>;
  close(): Promise<void>;
}

/** The program from source in a thread: as cheap as a call in this process, but one that can be stopped. */
export async function watchedProgram(): Promise<WatchedProgram> {
  const cache = join(root, 'node_modules', '.cache');
  mkdirSync(cache, { recursive: true });
  const folder = mkdtempSync(join(cache, 'watched-'));
  const script = join(folder, 'thread.mjs');
  await build({
    entryPoints: [join(import.meta.dirname, 'watched-thread.ts')],
    outfile: script,
    bundle: true,
    format: 'esm',
    platform: 'node',
    packages: 'external',
    logLevel: 'silent',
  });
  let thread: Worker | null = null;
  const started = () => {
    thread ??= new Worker(script, { resourceLimits: { maxOldGenerationSizeMb: MEMORY } });
    return thread;
  };
  const stop = async () => {
    await thread?.terminate();
    thread = null;
  };
  const run: WatchedProgram['run'] = async (argv, files) => {
    const worker = started();
    const since = process.cpuUsage();
    const begun = performance.now();
    const isEndless = () => {
      const { user, system } = process.cpuUsage(since); // [µs]
      return (user + system) / 1e3 > ENDLESS.processor || performance.now() - begun > ENDLESS.clock;
    };
    const ending = await new Promise<Ending>(resolve => {
      const end = (result: Ending) => {
        clearInterval(timer);
        worker.off('message', end).off('error', broken);
        resolve(result);
      };
      const broken = (error: Error) => end({ status: 'takes all memory', out: '', err: String(error) });
      const timer = setInterval(() => {
        if (isEndless()) end({ status: 'does not end', out: '', err: '' });
      }, LOOKED_AT);
      worker.on('message', end).on('error', broken);
      worker.postMessage({ argv, files } satisfies WatchedCall);
    });
    if (typeof ending.status === 'string') await stop();
    return ending;
  };
  const close = async () => {
    await stop();
    rmSync(folder, { recursive: true, force: true });
  };
  return { run, close };
}

/**
 * What is wrong with how a call with `--json` ended, in words; null where nothing is. Sound is a whole document with status 0, one that
 * says why with status 1, and nothing but `error:` lines with the statuses of wrong usage and of files.
 */
export function unsound(ending: Ending, statuses: readonly number[] = [0, 1]): string | null {
  const { status, out, err } = ending;
  if (typeof status === 'string') return `${status} ${err}`;
  if (!statuses.includes(status)) return `status ${status}: ${err.slice(0, 300)}`;
  const said = out + err;
  const odd = /\bNaN\b|Infinity|undefined|\[object |^\s+at \S+ \(/m.exec(said);
  if (odd !== null) return `"${odd[0].trim()}" in: ${said.slice(Math.max(0, odd.index - 80), odd.index + 60)}`;
  if (status > 1) {
    if (out !== '') return `status ${status}, and a result`;
    return /^error: [^\n]+\n/.test(err) ? null : `status ${status} without a message: ${err.slice(0, 200)}`;
  }
  if (status === 1 && err !== '')
    return /^(error: |[^\n]*: error: )/.test(err) ? null : `status 1: ${err.slice(0, 200)}`;
  return unsoundDocument(status, out);
}

function unsoundDocument(status: number, out: string): string | null {
  let document: { result?: unknown; diagnostics?: { code: string; message: string }[] };
  try {
    document = JSON.parse(out);
  } catch {
    return `no JSON: ${out.slice(0, 100)}`;
  }
  if (document.diagnostics === undefined || document.result === undefined) return 'no document';
  if (status === 1 && document.diagnostics.length === 0) return 'status 1 without a finding';
  if (document.diagnostics.some(d => d.code === '' || d.message.trim() === '')) return 'a finding without words';
  return null;
}

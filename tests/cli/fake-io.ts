import { resolve } from 'node:path';
import type { CliIo } from '../../src/cli/terminal/io.ts';

export interface FakeIo extends CliIo {
  /** What was written so far. */
  readonly out: () => string;
  readonly err: () => string;
  readonly written: Map<string, string | Uint8Array>;
}

const FOLDER = '/project';

/** A world of its own: files by path (relative to /project), standard input, environment. Records what is written. */
export function fakeIo(
  files: Readonly<Record<string, string | Uint8Array>> = {},
  world: Partial<Pick<CliIo, 'env' | 'isTTY' | 'columns'>> & {
    stdin?: string;
    unwritable?: NodeJS.ErrnoException;
  } = {},
): FakeIo {
  const bytes = new Map(
    Object.entries(files).map(([path, content]) => [
      resolve(FOLDER, path),
      typeof content === 'string' ? new TextEncoder().encode(content) : content,
    ]),
  );
  const out: string[] = [];
  const err: string[] = [];
  const written = new Map<string, string | Uint8Array>();
  const kindOf = (path: string) => {
    const full = resolve(FOLDER, path);
    if (bytes.has(full)) return 'file';
    return [...bytes.keys()].some(file => file.startsWith(full === '/' ? full : `${full}/`)) ? 'folder' : null;
  };
  const write = (path: string, content: string | Uint8Array) => {
    if (world.unwritable !== undefined) throw world.unwritable;
    written.set(path, content);
  };
  return {
    stdout: text => void out.push(text),
    stderr: text => void err.push(text),
    readStdin: async () => new TextEncoder().encode(world.stdin ?? ''),
    env: world.env ?? {},
    isTTY: world.isTTY ?? { stdout: false, stderr: false },
    columns: world.columns,
    files: {
      readBytes: path => bytes.get(resolve(FOLDER, path)) ?? raise(path),
      realPath: path => (kindOf(path) === null ? raise(path) : resolve(FOLDER, path)),
      exists: path => kindOf(path) !== null,
    },
    kindOf,
    glob: async (pattern, base) => {
      const start = `${resolve(FOLDER, base)}/`;
      return [...bytes.keys()]
        .filter(file => file.startsWith(start))
        .map(file => file.slice(start.length))
        .filter(file => matchesPattern(file, pattern))
        .sort();
    },
    identityOf: path => (bytes.has(resolve(FOLDER, path)) ? resolve(FOLDER, path) : null),
    writeFile: write,
    appendLog: (path, header, line) => {
      const before = written.get(path)?.toString() ?? new TextDecoder().decode(bytes.get(resolve(FOLDER, path)));
      const found = before.split('\n')[0]!;
      if (before !== '' && found !== header) return { otherHeader: found, openLine: null };
      const open = before !== '' && !before.endsWith('\n');
      write(path, `${before === '' ? `${header}\n` : before}${open ? '\n' : ''}${line}\n`);
      return { otherHeader: null, openLine: open ? before.split('\n').length : null };
    },
    whileLocked: (_path, work) => work(),
    currentFolder: FOLDER,
    now: () => new Date('2026-03-02T08:00:00Z'),
    out: () => out.join(''),
    err: () => err.join(''),
    written,
  };
}

/** Enough of a pattern language for the tests: `**`, `*`, `{a,b}`. */
function matchesPattern(file: string, pattern: string): boolean {
  const source = pattern
    .replace(/[.+^$()|\\]/g, '\\$&')
    .replace(/\*\*\/|\*|\{([^}]*)\}/g, (part, choices: string | undefined) => {
      if (choices !== undefined) return `(?:${choices.split(',').join('|')})`;
      return part === '*' ? '[^/]*' : '(?:.*/)?';
    });
  return new RegExp(`^${source}$`).test(file);
}

function raise(path: string): never {
  throw Object.assign(new Error(`ENOENT: no such file or directory, open '${path}'`), {
    code: 'ENOENT',
    syscall: 'open',
    path,
  });
}

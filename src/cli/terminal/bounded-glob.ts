import { type Dirent, readdir, readdirSync, realpath } from 'node:fs';

const MOST = {
  /** Files, folders and links that a search may meet: more than any repository has, fewer than a whole disk. */
  entries: 200_000,
  /** Links among them: what a link leads to is met again by every way to it, and all these names are kept until the end. */
  links: 10_000,
};

/**
 * Files that match a pattern, in code-unit order, links followed; null where the search met more files, folders or links on its way than it
 * may, as it does at the root of a disk. Folders of packages are left out.
 * Throws: what the system throws where the base cannot be read.
 */
export async function boundedGlob(
  pattern: string,
  base: string,
  most: Partial<typeof MOST> = {},
): Promise<string[] | null> {
  const { glob } = await import('tinyglobby');
  // The base is read here so that a folder that may not be read is an error and not an empty one.
  readdirSync(base);
  const { entries: mostEntries, links: mostLinks } = { ...MOST, ...most };
  const limit = new AbortController();
  let met = 0;
  const meet = (more: number): boolean => {
    met += more;
    if (met > mostEntries) limit.abort();
    return !limit.signal.aborted;
  };
  // What is still under way when there is too much ends at once: links that lead in circles would keep it busy for minutes.
  const counted: typeof readdir = ((path: string, options: { withFileTypes: true }, done: Read<Dirent[]>) => {
    if (!meet(0)) return done(null, []);
    readdir(path, options, (error, entries) => done(error, meet(entries?.length ?? 0) ? entries : []));
  }) as typeof readdir;
  let links = 0;
  const followed = ((path: string, done: Read<string>) => {
    if (++links > mostLinks) limit.abort();
    if (meet(1)) realpath(path, done);
    else done(new Error('too much to be searched'), '');
  }) as typeof realpath;
  const found = await glob(pattern, {
    cwd: base,
    onlyFiles: true,
    expandDirectories: false,
    ignore: ['**/node_modules/**'],
    fs: { readdir: counted, realpath: followed },
    signal: limit.signal,
  });
  if (limit.signal.aborted) return null;
  return found.sort((a, b) => (a < b ? -1 : a > b ? 1 : 0));
}

type Read<T> = (error: NodeJS.ErrnoException | null, result: T) => void;

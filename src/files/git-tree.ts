import { git } from './git.ts';

export interface TreeEntry {
  /** A submodule is a repository of its own, of which the commit names a commit. */
  readonly kind: 'file' | 'link' | 'submodule';
  readonly id: string;
}

/** What a commit holds, by its path from the top with slashes, in code-unit order. Throws: GitError. */
export function gitTree(top: string, commit: string): ReadonlyMap<string, TreeEntry> {
  const entries: [string, TreeEntry][] = [];
  for (const row of git(top, 'ls-tree', ['-r', '-z', '--full-tree', commit]).toString('utf8').split('\0')) {
    const [, mode, type, id, name] = /^(\d+) (blob|commit) ([0-9a-f]+)\t(.+)$/s.exec(row) ?? [];
    if (name === undefined) continue;
    const kind = type === 'commit' ? 'submodule' : mode === '120000' ? 'link' : 'file';
    entries.push([name, { kind, id: id! }]);
  }
  return new Map(entries.sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)));
}

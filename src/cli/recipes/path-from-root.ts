import { dirname, join, relative, resolve, sep } from 'node:path';
import { recipeRoot } from '../../recipe/parts/recipe-root.ts';
import type { CliIo } from '../terminal/io.ts';

/**
 * Where a file stands below the root of its repository (the nearest folder with a `.git`, or `--root`), else below the
 * current folder, with slashes; absolute where it is below neither. What is no file (standard input, `--set`) stays as
 * it is.
 */
export function pathFromRoot(io: CliIo, root: string | undefined): (file: string) => string {
  const known = new Map<string, string>();
  const rootOf = (folder: string): string => {
    if (root !== undefined) return io.files.realPath(root);
    const kept = known.get(folder);
    if (kept !== undefined) return kept;
    const nearest = recipeRoot(folder, io.files);
    const found = io.files.exists(join(nearest, '.git')) ? nearest : io.currentFolder;
    known.set(folder, found);
    return found;
  };
  return file => {
    if (io.kindOf(file) !== 'file') return file;
    const real = io.files.realPath(resolve(io.currentFolder, file));
    const way = relative(rootOf(dirname(real)), real);
    const inside = way !== '' && way !== '..' && !way.startsWith(`..${sep}`);
    return (inside ? way : real).split(sep).join('/');
  };
}

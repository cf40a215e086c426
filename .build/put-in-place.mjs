// How a finished build takes the place of the one before while calls of that one may be running.
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync } from 'node:fs';
import { dirname, join, sep } from 'node:path';

/** Which build a folder holds, in full: written last, removed first. */
export const STAMP = '.stamp';

/** The folder, named after its build, of what a program reads after its start. */
export const partsFolder = digest => `parts-${digest.slice(0, 12)}`;

export function isBuilt(folder, digest) {
  const stamp = join(folder, STAMP);
  return existsSync(stamp) && readFileSync(stamp, 'utf8') === digest;
}

/**
 * Moves the files of `made` over those of `folder`: parts first, then what names them, the stamp last. So the program in
 * `folder` is whole at every moment, and a call that started before still finds the parts that it names.
 */
export function putInPlace(made, folder) {
  const files = filesOf(made).sort((a, b) => rank(a) - rank(b));
  rmSync(join(folder, STAMP), { force: true });
  for (const file of files) {
    mkdirSync(dirname(join(folder, file)), { recursive: true });
    renameSync(join(made, file), join(folder, file));
  }
  const wanted = new Set(files);
  for (const file of filesOf(folder)) {
    if (!wanted.has(file) && !isPart(file)) rmSync(join(folder, file), { force: true });
  }
}

/** Removes the parts of builds other than this one that are older than `age` [ms]. */
export function removeOldParts(folder, digest, age) {
  for (const name of readdirSync(folder)) {
    if (!isPart(name) || name === partsFolder(digest)) continue;
    const path = join(folder, name);
    if (Date.now() - statSync(path).mtimeMs >= age) rmSync(path, { recursive: true, force: true });
  }
}

const isPart = file => /^parts-[0-9a-f]{12}$/.test(file.split(sep)[0]);

const rank = file => (isPart(file) ? 0 : file === STAMP ? 2 : 1);

function filesOf(folder) {
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true });
  return entries
    .filter(entry => entry.isFile())
    .map(entry => join(entry.parentPath, entry.name).slice(folder.length + 1));
}

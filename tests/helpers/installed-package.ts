import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, symlinkSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { root } from '../cli/built-program.ts';

export interface InstalledPackage {
  /** The file that `npm pack` wrote. */
  readonly packed: string;
  /** The files in it. */
  readonly files: readonly string[];
  /** The folder of the package. */
  readonly folder: string;
}

/** What npm would install with it, and what its types need. */
const OTHERS = ['@types/node', 'undici-types'];

export function packageJson() {
  return JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
}

/** Packs this repository into a folder, and puts the package into `node_modules` of a project as npm would, without a network. */
export function installPackage(packInto: string, project: string): InstalledPackage {
  // What `prepack` does, of which the output would stand before the JSON.
  execFileSync(process.execPath, [join(root, '.build', 'build.mjs'), '--alone'], { stdio: 'pipe' });
  const output = execFileSync('npm', ['pack', '--json', '--ignore-scripts', '--pack-destination', packInto], {
    cwd: root,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  const [{ filename, files }] = JSON.parse(output);
  const packed = join(packInto, filename);
  const modules = join(project, 'node_modules');
  const folder = join(modules, 'dwellbook');
  mkdirSync(folder, { recursive: true });
  execFileSync('tar', ['-xzf', packed, '-C', folder, '--strip-components=1']);
  for (const name of [...Object.keys(packageJson().dependencies), ...OTHERS]) {
    mkdirSync(dirname(join(modules, name)), { recursive: true });
    symlinkSync(join(root, 'node_modules', name), join(modules, name));
  }
  mkdirSync(join(modules, '.bin'));
  symlinkSync(join('..', 'dwellbook', 'bin', 'dwellbook.js'), join(modules, '.bin', 'dwellbook'));
  return { packed, files: files.map((file: { path: string }) => file.path), folder };
}

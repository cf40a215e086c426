// Parts that most starts do not need: each a file of its own, read when the first of its functions is called.
import { readFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const { dependencies } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));

/** Colours, distributions, the full YAML parser (for texts with something wrong in them), and units beyond our table. */
export const LATE_PARTS = [
  'chalk',
  'yaml',
  ...Object.keys(dependencies).filter(name => name.startsWith('@stdlib/')),
  'src/units/mathjs-engine.ts',
];

/** The name of the file in which a package or module stands, if it is one of them. */
export function latePart(path) {
  const part = LATE_PARTS.find(part => part === path || (part.endsWith('.ts') && basename(part) === basename(path)));
  return part === undefined ? undefined : basename(part, '.ts');
}

/** Imports of these parts lead to their files in `folder`, which stands beside the program. */
export function lateParts(folder) {
  return {
    name: 'late-parts',
    setup(build) {
      build.onResolve({ filter: /./ }, ({ path, kind, namespace }) => {
        if (namespace === 'late') return { path, external: true };
        const name = kind === 'entry-point' ? undefined : latePart(path);
        if (name === undefined) return path === 'node:child_process' ? { path, namespace: 'late' } : undefined;
        // What is imported when it is wanted is late without our help.
        if (kind === 'dynamic-import') return { path: `./${folder}/${name}.cjs`, external: true };
        return { path, namespace: 'late', pluginData: `./${folder}/${name}.cjs`, sideEffects: false };
      });
      build.onLoad({ filter: /./, namespace: 'late' }, async ({ path, pluginData }) => ({
        contents: lateModule(pluginData ?? path, Object.entries(await import(path))),
      }));
    },
  };
}

/** Messages of zod in fifty languages, which no finding shows: a tenth of the program, and a namespace keeps them in it. */
export const withoutLocales = {
  name: 'without-locales',
  setup(build) {
    build.onResolve({ filter: /locales\/index\.js$/ }, ({ importer }) =>
      /[\\/]node_modules[\\/]zod[\\/]/.test(importer) ? { path: 'locales', namespace: 'nothing' } : undefined,
    );
    build.onLoad({ filter: /./, namespace: 'nothing' }, () => ({ contents: 'export {}' }));
  },
};

/** Every function and class of a module; the real one takes its place with the first call. */
function lateModule(file, exports) {
  const functions = exports.filter(([name, value]) => typeof value === 'function' && name !== 'module.exports');
  const lines = functions.map(([name], index) => {
    const real = name === 'default' ? '(all => all.default ?? all)(all())' : `all().${name}`;
    return (
      `let f${index} = function (...args) { f${index} = ${real}; return new.target ? new f${index}(...args) : f${index}(...args); };\n` +
      `export { f${index} as ${name} };`
    );
  });
  return [`const all = () => require('${file}');`, ...lines].join('\n');
}

// What esbuild cannot know by itself.
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/**
 * Packages in CommonJS whose start costs more than all the rest of `check` and that few runs need: the distributions are
 * many small files, and the full YAML parser is for texts with something wrong in them. A bundle runs them when the first
 * of their functions is called.
 */
export const latePackages = {
  name: 'late-packages',
  setup(build) {
    build.onLoad({ filter: /\/src\/(?:recipe\/[\w-]+|stats\/distributions)\.ts$/ }, ({ path }) => {
      const contents = readFileSync(path, 'utf8')
        .replace(/^import (\w+) from '(@stdlib\/[^']+)';$/gm, (_, name, from) => late(name, `require('${from}')`))
        .replace(/^import \{([^}]*)\} from 'yaml';$/gm, (_, list) => lateNames(list));
      return { contents, loader: 'ts', resolveDir: dirname(path) };
    });
  },
};

function lateNames(list) {
  const names = list.split(',').map(name => name.trim());
  const types = names.filter(name => name.startsWith('type '));
  const values = names.filter(name => name !== '' && !name.startsWith('type '));
  const made = values.map(name => late(name, `require('yaml').${name}`));
  return [`import { ${types.join(', ')} } from 'yaml';`, ...made].join(' ');
}

/** A function, or a class, that becomes the real one with its first call. */
function late(name, real) {
  return `let ${name}: any = function (...args: any[]) { ${name} = ${real}; return new.target ? new ${name}(...args) : ${name}(...args); };`;
}

/** A program that knows `check` alone; see `src/cli/check-alone.ts`. */
export const checkAlone = {
  name: 'check-alone',
  setup(build) {
    build.onResolve({ filter: /\/command-list\.ts$/ }, ({ resolveDir }) => ({
      path: join(resolveDir, 'check-alone.ts'),
    }));
  },
};

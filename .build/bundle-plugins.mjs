// What esbuild cannot know by itself.
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/**
 * The distributions are many small files, which take longer to run than all the rest of a start; a bundle runs them when a
 * distribution is first asked for.
 */
export const lateDistributions = {
  name: 'late-distributions',
  setup(build) {
    build.onLoad({ filter: /\/stats\/distributions\.ts$/ }, ({ path }) => {
      const source = readFileSync(path, 'utf8');
      const contents = source.replace(
        /^import (\w+) from '(@stdlib\/[^']+)';$/gm,
        "let $1: any = (...args: number[]) => ($1 = require('$2'))(...args);",
      );
      if (contents === source) throw new Error(`${path} imports no distributions`);
      return { contents, loader: 'ts', resolveDir: dirname(path) };
    });
  },
};

/** A program that knows `check` alone; see `src/cli/check-alone.ts`. */
export const checkAlone = {
  name: 'check-alone',
  setup(build) {
    build.onResolve({ filter: /\/command-list\.ts$/ }, ({ resolveDir }) => ({
      path: join(resolveDir, 'check-alone.ts'),
    }));
  },
};

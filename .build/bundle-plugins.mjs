// What esbuild cannot know by itself.
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/**
 * What costs more to load than all the rest of `check` and few runs need: colours, distributions, and the full YAML parser,
 * which is for texts with something wrong in them. A bundle runs them when the first of their functions is called.
 */
export const latePackages = {
  name: 'late-packages',
  setup(build) {
    build.onLoad(
      { filter: /\/src\/(?:recipe\/[\w-]+\/[\w-]+|stats\/distributions|report\/words\/style)\.ts$/ },
      ({ path }) => {
        const source = readFileSync(path, 'utf8');
        const contents = source
          .replace(/^import (\w+) from '(@stdlib\/[^']+)';$/gm, (_, name, from) => late(name, `require('${from}')`))
          .replace(/^import \{([^}]*)\} from '(yaml|chalk)';$/gm, (_, list, from) => lateNames(list, from));
        const left = contents.match(/^import .*'(?:@stdlib\/.*|yaml|chalk)';$/gm) ?? [];
        if (left.some(line => !/^import \{( type \w+,?)* \}/.test(line)))
          throw new Error(`${path} imports too early: ${left}`);
        return { contents, loader: 'ts', resolveDir: dirname(path) };
      },
    );
  },
};

function lateNames(list, from) {
  const names = list.split(',').map(name => name.trim());
  const types = names.filter(name => name.startsWith('type '));
  const values = names.filter(name => name !== '' && !name.startsWith('type '));
  const made = values.map(name => late(name, `require('${from}').${name}`));
  return [...types.map(type => `import { ${type} } from '${from}';`), ...made].join('\n');
}

/** A function, or a class, that becomes the real one with its first call. */
function late(name, real) {
  return `let ${name}: any = function (...args: any[]) { ${name} = ${real}; return new.target ? new ${name}(...args) : ${name}(...args); };`;
}

/** The name of the file of its own, if any, in which a package or module stands so that most starts do not even read it. */
export function lateName(from) {
  return (
    /^(?:@stdlib\/stats-base-dists-)?(yaml|(?:t|f|chisquare)-\w+)$/.exec(from)?.[1] ??
    /\/(mathjs-engine)\.ts$/.exec(from)?.[1]
  );
}

export const lateFiles = {
  name: 'late-files',
  setup(build) {
    build.onResolve({ filter: /./ }, ({ path, kind }) => {
      const name = kind === 'entry-point' ? undefined : lateName(path);
      return name === undefined ? undefined : { path: `./late/${name}.cjs`, external: true, sideEffects: false };
    });
  },
};

/** A program that knows `check` alone; see `src/cli/check/check-alone.ts`. */
export const checkAlone = {
  name: 'check-alone',
  setup(build) {
    build.onResolve({ filter: /\/command-list\.ts$/ }, ({ resolveDir }) => ({
      path: join(resolveDir, 'check', 'check-alone.ts'),
    }));
  },
};

/** A program that lists the commands and runs none. */
export const withoutCommands = {
  name: 'without-commands',
  setup(build) {
    build.onResolve({ filter: /\/(?:commands\/[\w-]+|run-command)\.ts$/ }, ({ kind }) => {
      if (kind !== 'dynamic-import') throw new Error('a command is imported before it is wanted');
      return { path: 'absent', namespace: 'absent' };
    });
    build.onLoad({ filter: /./, namespace: 'absent' }, () => ({
      contents: 'throw new Error("no command is in here")',
    }));
  },
};

/** The parser of flags starts programs of its own only for commands that are files; Node's part for it waits until then. */
export const lateChildProcess = {
  name: 'late-child-process',
  setup(build) {
    build.onResolve({ filter: /^node:child_process$/ }, ({ importer }) =>
      /\/node_modules\/commander\//.test(importer) ? { path: 'spawn', namespace: 'late-child-process' } : undefined,
    );
    build.onLoad({ filter: /./, namespace: 'late-child-process' }, () => ({
      contents: "exports.spawn = (...args) => require('node:child_process').spawn(...args);",
    }));
  },
};

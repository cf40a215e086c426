import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { describe, expect, it } from 'vitest';

const EVERYTHING = [
  ...['analysis', 'rules', 'recipe', 'data', 'report', 'files', 'units', 'stats', 'physics', 'numeric', 'diagnostics'],
  'version.ts',
];

/** Which layer may import which; `types` only in `import type`. */
const MAY_IMPORT: Record<string, { any: string[]; types?: string[] }> = {
  numeric: { any: [] },
  physics: { any: ['numeric'] },
  stats: { any: ['numeric'] },
  diagnostics: { any: [] },
  units: { any: ['diagnostics'] },
  recipe: { any: ['units', 'diagnostics'] },
  analysis: { any: ['recipe', 'physics', 'stats', 'numeric', 'diagnostics'] },
  data: { any: ['units', 'diagnostics'] },
  rules: { any: ['analysis', 'recipe', 'diagnostics', 'physics', 'numeric'] },
  report: { any: ['analysis', 'units', 'diagnostics'], types: ['recipe'] },
  files: { any: ['diagnostics'], types: ['recipe'] },
  cli: { any: EVERYTHING },
  'index.ts': { any: EVERYTHING },
  'version.ts': { any: [] },
};

/** The rooms of a layer, lowest first: a room may import those before it. `.` is the layer's own folder. */
const ROOMS: Record<string, string[]> = {
  numeric: ['.', 'plane'],
  diagnostics: ['.', 'codes'],
  physics: ['rheology', 'air', 'cure', 'flow', 'cavity', 'drop'],
  recipe: ['yaml', 'schema', 'parts', 'build', 'format'],
  analysis: [
    ...[
      'delivery',
      'inputs',
      'cavity',
      'dot',
      'sheet',
      'scan',
      'needles',
      'program',
      'fit',
      'shot',
      'setpoint',
      'trials',
    ],
    ...[
      'spread',
      'ramp',
      'insert',
      'oven',
      'family',
      'release',
      'follow',
      'rehearse',
      'mix',
      'changes',
      'batch',
      'card',
      'trend',
    ],
  ],
  data: ['csv', 'columns', '.'],
  report: ['words', 'page', 'chart', 'section', 'text', 'check', 'pdf', 'several'],
  cli: ['terminal', 'shard', 'recipes', 'options', 'write', 'data', 'check', 'sweep', '.', 'completion', 'commands'],
};

/** Each package has one home: a layer, or one file. Types of a package that its own `@types` gives count with it. */
const PACKAGE_HOME: Record<string, string[]> = {
  mathjs: ['units'],
  yaml: ['recipe'],
  zod: ['recipe'],
  'js-yaml': ['recipe'],
  pdfkit: ['report'],
  'cli-table3': ['report'],
  chalk: ['report'],
  'd3-path': ['report'],
  'd3-scale': ['report'],
  'd3-shape': ['report'],
  sarif: ['report'],
  commander: ['cli'],
  tinyglobby: ['cli'],
  'fastest-levenshtein': ['diagnostics'],
  'csv-parse': ['data'],
  qr: ['analysis/sheet/qr-code.ts'],
  'fast-png': ['data/read-png.ts', 'report/page/png-bytes.ts'],
  fflate: ['data/read-png.ts'],
  'jpeg-js': ['data/read-jpeg.ts'],
  '@stdlib': ['stats/distributions.ts'],
};

/** Node's own modules: files and processes at the edges only. `path`, `crypto` and `buffer` compute and touch nothing. */
const NODE_MODULES: Record<string, string[] | 'all'> = {
  recipe: ['path', 'crypto', 'buffer'],
  files: ['fs', 'path', 'url', 'crypto', 'os', 'child_process'],
  cli: 'all',
};

interface Import {
  file: string;
  target: string;
  typesOnly: boolean;
  /** Read when it is wanted, as the code of a command is. */
  late?: true;
}

const src = join(import.meta.dirname, '..', 'src');
const files = readdirSync(src, { recursive: true, encoding: 'utf8' })
  .filter(file => file.endsWith('.ts'))
  .sort();
const imports = files.flatMap(importsOf);

function importsOf(file: string): Import[] {
  const text = withoutComments(readFileSync(join(src, file), 'utf8'));
  const found: Import[] = [];
  for (const match of text.matchAll(/\b(?:import|export)\s+([^'";]*?)\s*from\s*['"]([^'"]+)['"]/g)) {
    const [, clause = '', target = ''] = match;
    const names = /^\{([^}]*)\}$/.exec(clause.trim())?.[1];
    const allTypes = names?.split(',').every(name => name.trim() === '' || name.trim().startsWith('type ')) ?? false;
    found.push({ file, target, typesOnly: /^type\b/.test(clause) || allTypes });
  }
  for (const match of text.matchAll(/\bimport\s*(\(\s*)?['"]([^'"]+)['"]/g)) {
    found.push({ file, target: match[2] ?? '', typesOnly: false, ...(match[1] !== undefined && { late: true }) });
  }
  return found;
}

function withoutComments(text: string): string {
  return text.replace(/\/\*[\s\S]*?\*\//g, '').replace(/^\s*\/\/.*$/gm, '');
}

function layerOf(file: string): string {
  return file.split('/')[0] ?? '';
}

const isRelative = (target: string) => target.startsWith('.');

describe('layers', () => {
  it('reads the imports it means to check', () => {
    // A reader that finds nothing would pass every other test here.
    expect(imports).toContainEqual({ file: 'cli/run-command.ts', target: 'commander', typesOnly: false });
    expect(imports).toContainEqual({
      file: 'cli/terminal/command.ts',
      target: '../../report/words/view.ts',
      typesOnly: true,
    });
    expect(imports).toContainEqual({
      file: 'cli/command-list.ts',
      target: './commands/shot.ts',
      typesOnly: false,
      late: true,
    });
  });

  it('has a rule for every folder of src/', () => {
    expect([...new Set(files.map(layerOf))].filter(layer => !(layer in MAY_IMPORT))).toEqual([]);
  });

  it('the table in DEVELOPERS.md says the same', () => {
    const text = readFileSync(join(src, '..', 'DEVELOPERS.md'), 'utf8');
    const names = (cell: string) => [...cell.matchAll(/`([\w.]+)`/g)].map(([, name]) => name!);
    const told = Object.fromEntries(
      [...text.matchAll(/^\| (`.+`) \| (.+) \|$/gm)].flatMap(([, layers = '', allowed = '']) => {
        if (names(layers).some(name => !(name in MAY_IMPORT))) return [];
        const [any = '', types = ''] = allowed.split('; of');
        const rule = { any: allowed === 'everything' ? [...EVERYTHING] : names(any), types: names(types) };
        return names(layers).map(layer => [layer, { any: rule.any.sort(), types: rule.types }]);
      }),
    );
    const { 'version.ts': _, ...held } = MAY_IMPORT;
    expect(told).toEqual(
      Object.fromEntries(
        Object.entries(held).map(([layer, { any, types = [] }]) => [layer, { any: [...any].sort(), types }]),
      ),
    );
  });

  it('the picture of the rooms in DEVELOPERS.md shows every layer and room, and the rooms in their order', () => {
    const text = readFileSync(join(src, '..', 'DEVELOPERS.md'), 'utf8');
    const [, picture = ''] = /^## Rooms\n[\s\S]*?^```\n([\s\S]*?)^```$/m.exec(text) ?? [];
    const shown: Record<string, string[]> = {};
    for (const [, inset = '', name = ''] of picture.matchAll(/^( *)(\S+) +\S.*$/gm)) {
      const room = name === '*.ts' ? '.' : name.replace(/\/$/, '');
      if (inset === '') shown[room] = [];
      else Object.values(shown).at(-1)?.push(room);
    }
    const { 'version.ts': _, ...layers } = MAY_IMPORT;
    expect(shown).toEqual(Object.fromEntries(Object.keys(layers).map(layer => [layer, ROOMS[layer] ?? []])));
    for (const layer of EVERYTHING.filter(name => !name.includes('.'))) {
      const above = Object.keys(shown).slice(0, Object.keys(shown).indexOf(layer));
      expect(
        [...MAY_IMPORT[layer]!.any, ...(MAY_IMPORT[layer]!.types ?? [])].filter(one => !above.includes(one)),
      ).toEqual([]);
    }
  });

  it('imports point one way', () => {
    const wrong = imports
      .filter(({ target }) => isRelative(target))
      .flatMap(({ file, target, typesOnly }) => {
        const from = layerOf(file);
        const to = layerOf(relative(src, join(src, dirname(file), target)));
        const rule = MAY_IMPORT[from];
        const allowed = from === to || rule?.any.includes(to) || (typesOnly && rule?.types?.includes(to));
        return allowed ? [] : [`${file} imports ${target}`];
      });
    expect(wrong).toEqual([]);
  });

  it('the rooms of a layer point one way too', () => {
    const roomOf = (path: string) => (path.split('/').length > 2 ? (path.split('/')[1] ?? '.') : '.');
    const wrong = imports
      .filter(({ target, late }) => isRelative(target) && !late)
      .flatMap(({ file, target }) => {
        const to = relative(src, join(src, dirname(file), target));
        const rooms = ROOMS[layerOf(file)];
        if (rooms === undefined || layerOf(to) !== layerOf(file)) return [];
        return rooms.indexOf(roomOf(to)) <= rooms.indexOf(roomOf(file)) ? [] : [`${file} imports ${target}`];
      });
    expect(wrong).toEqual([]);
  });

  it('every folder of a layer is a room in the list, of 3 files at least and 25 at most', () => {
    const counts = new Map<string, number>();
    for (const file of files) counts.set(dirname(file), (counts.get(dirname(file)) ?? 0) + 1);
    const listed = Object.entries(ROOMS).flatMap(([layer, rooms]) => rooms.map(room => join(layer, room)));
    expect([...counts.keys()].filter(folder => folder.includes('/')).sort()).toEqual(
      listed.filter(folder => folder.includes('/')).sort(),
    );
    const many = ['rules', 'cli/commands']; // one file for each rule or command
    const odd = [...counts].filter(([folder, n]) => folder !== '.' && (n < 2 || (n > 25 && !many.includes(folder))));
    expect(odd).toEqual([]);
  });

  it('relative imports name their file with .ts', () => {
    expect(imports.filter(({ target }) => isRelative(target) && !target.endsWith('.ts'))).toEqual([]);
  });

  it('each package has one home', () => {
    const wrong = imports
      .filter(({ target }) => !isRelative(target) && !target.startsWith('node:'))
      .filter(({ file, target }) => {
        const name = target.startsWith('@stdlib/') ? '@stdlib' : (target.split('/')[0] ?? '');
        return !(PACKAGE_HOME[name] ?? []).some(home => file === home || file.startsWith(`${home}/`));
      });
    expect(wrong.map(({ file, target }) => `${file} imports ${target}`)).toEqual([]);
  });

  it('each package is a dependency of ours', () => {
    const { dependencies } = JSON.parse(readFileSync(join(src, '..', 'package.json'), 'utf8'));
    const names = imports
      .filter(({ target, typesOnly }) => !isRelative(target) && !target.startsWith('node:') && !typesOnly)
      .map(({ target }) => target.split('/', target.startsWith('@') ? 2 : 1).join('/'));
    expect([...new Set(names)].filter(name => !Object.hasOwn(dependencies, name))).toEqual([]);
  });

  it("Node's own modules stay at the edges", () => {
    const wrong = imports
      .filter(({ target }) => target.startsWith('node:'))
      .filter(({ file, target }) => {
        const allowed = NODE_MODULES[layerOf(file)] ?? [];
        return allowed !== 'all' && !allowed.includes(target.slice('node:'.length));
      });
    expect(wrong.map(({ file, target }) => `${file} imports ${target}`)).toEqual([]);
  });

  it('nothing below cli/ and files/ reads a clock, chance, the environment or the console', () => {
    const forbidden =
      /\b(?:console\.|process\.(?:argv|cwd|env|exit|hrtime|memoryUsage|platform|std\w+)\b|Date\.now\(|new Date\(\)|Math\.random\(|performance\.now\()/;
    const wrong = files
      .filter(file => !['cli', 'files'].includes(layerOf(file)))
      .filter(file => forbidden.test(withoutComments(readFileSync(join(src, file), 'utf8'))));
    expect(wrong).toEqual([]);
  });
});

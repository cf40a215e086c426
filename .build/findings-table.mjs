// Writes the table of findings into src/rules/README.md, from the built library.
import { readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const { CATALOGUE } = await import(join(root, 'dist', 'index.js'));
const rows = Object.keys(CATALOGUE)
  .sort()
  .map(code => `| \`${code}\` | ${CATALOGUE[code].severity} | ${CATALOGUE[code].title} |`);
const table = ['| code | severity | what it says |', '|---|---|---|', ...rows].join('\n');
const file = join(root, 'src', 'rules', 'README.md');
const text = readFileSync(file, 'utf8');
const changed = text.replace(
  /(?<=^\| code \| severity \| what it says \|\n)(?:\|.*\n)+/m,
  `${table.slice(table.indexOf('\n') + 1)}\n`,
);
if (changed !== text) writeFileSync(file, changed);

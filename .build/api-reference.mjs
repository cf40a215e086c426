// Makes the API reference from the type declarations: every export of the library with its signature and what its doc
// comment says first.
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** Markdown of the exports that `<folder>/index.d.ts` names. */
export function apiReference(folder) {
  const exported = exportsOf(join(folder, 'index.d.ts'));
  const values = exported.filter(({ kind }) => kind === 'function' || kind === 'const' || kind === 'class');
  const types = exported.filter(({ kind }) => kind === 'interface' || kind === 'type');
  return [
    '# API reference',
    '',
    "Made from the declarations by the build. `import { … } from 'dwellbook'`. Quantities are SI numbers; keys of results carry their unit.",
    '',
    '## Functions and values',
    '',
    ...values.map(entry),
    '## Types',
    '',
    ...types.map(entry),
  ].join('\n');
}

function entry({ name, signature, summary }) {
  const text = [`### ${name}`, '', '```ts', signature, '```', ''];
  if (summary !== '') text.push(summary, '');
  return text.join('\n');
}

/** Own declarations of a file, and those that it exports again from others, by name. */
function exportsOf(file) {
  const text = readFileSync(file, 'utf8');
  const again = [...text.matchAll(/^export (type )?\{([^}]*)\} from '([^']+)';/gm)].flatMap(([, , names, from]) =>
    listed(names).map(part => {
      const [name, alias] = part.split(' as ');
      return { ...declarationOf(resolveFrom(file, from), name), name: alias ?? name };
    }),
  );
  const all = [...text.matchAll(/^export (?:type )?\* from '([^']+)';/gm)].flatMap(([, from]) =>
    exportsOf(resolveFrom(file, from)),
  );
  return [...declarationsOf(text, file), ...again, ...all].sort((a, b) => a.name.localeCompare(b.name, 'en'));
}

/** The names between the braces of an import or export, which may end in a comma. */
function listed(names) {
  return names.split(',').flatMap(part => part.trim().replace(/^type /, '') || []);
}

function declarationOf(file, name) {
  const text = readFileSync(file, 'utf8');
  const found = declarationsOf(text, file).find(one => one.name === name);
  if (found !== undefined) return found;
  // It may itself be handed on from elsewhere, or imported and exported.
  for (const [, , names, from] of text.matchAll(/^(export|import) (?:type )?\{([^}]*)\} from '([^']+)';/gm)) {
    if (listed(names).includes(name)) {
      return declarationOf(resolveFrom(file, from), name);
    }
  }
  throw new Error(`${file} declares no ${name}`);
}

function resolveFrom(file, from) {
  return join(dirname(file), from.replace(/\.js$/, '.d.ts'));
}

/** What a file declares itself, with the doc comment above it. */
function declarationsOf(text, file) {
  const declaration =
    /(?:^\/\*\*((?:(?!\*\/)[\s\S])*)\*\/\n)?^export (?:declare )?(?:abstract )?(function|const|class|interface|type) (\w+)([\s\S]*?)(?=^export |^\/\*\*|^declare |^import |(?![\s\S]))/gm;
  return [...text.matchAll(declaration)].map(([, comment = '', kind, name, rest]) => ({
    name,
    kind,
    summary: firstParagraph(comment),
    signature: kind === 'class' ? `class ${name}` : `${kind} ${name}${spelledOut(rest, file)}`,
  }));
}

/** A type that is what a field of the format makes, with its keys: `extends MadeOf<typeof resin> {}` tells nobody any. */
function spelledOut(rest, file) {
  const field = /^ extends MadeOf<typeof (\w+)> \{\s*\}$/.exec(rest.trimEnd())?.[1];
  if (field === undefined) return rest.trimEnd();
  const from = new RegExp(`import type \\{[^}]*\\b${field}\\b[^}]*\\} from '([^']+)'`).exec(
    readFileSync(file, 'utf8'),
  )[1];
  const [, made] = /Field<\{[\s\S]*?^\}, (\{[\s\S]*?^\})>;/m.exec(declaredRest(resolveFrom(file, from), field));
  return ` ${made.replaceAll(/import\("[^"]*"\)\./g, '').replaceAll(' | undefined;', ';')}`;
}

function declaredRest(file, name) {
  const text = readFileSync(file, 'utf8');
  const from = `export declare const ${name}`;
  return text.slice(text.indexOf(from) + from.length);
}

/** The comment up to its first empty line, on one line, links as code. */
function firstParagraph(comment) {
  const lines = comment.split('\n').map(line => line.replace(/^\s*\*? ?/, '').trim());
  const from = lines.findIndex(line => line !== '');
  if (from < 0) return '';
  const to = lines.findIndex(
    (line, i) => i > from && (line === '' || /^(?:Throws|Source|Evidence|Valid for|Shape)/.test(line)),
  );
  return lines
    .slice(from, to < 0 ? undefined : to)
    .join(' ')
    .replace(/\{@link (\w+)\}/g, '`$1`')
    .trim();
}

// Builds dist/: the program in one file with its code caches, the library as ES modules, the parts that both read when they
// are wanted, the fonts, the type declarations and the licences of what is bundled. Does nothing when dist/ is of the same inputs.
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { apiReference } from './api-reference.mjs';
import { LATE_PARTS, latePart, lateParts, withoutLocales } from './late.mjs';
import { isBuilt, partsFolder, putInPlace, removeOldParts, STAMP } from './put-in-place.mjs';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const finished = join(root, 'dist');
// Made beside it and then moved into place: a build that fails, or two at a time, leave a whole dist/ or none.
const dist = join(root, `.dist-${process.pid}`);
const fontPackage = join(root, 'node_modules', '@expo-google-fonts', 'inter');
const fonts = ['400Regular/Inter_400Regular.ttf', '500Medium/Inter_500Medium.ttf', '600SemiBold/Inter_600SemiBold.ttf'];

const digest = inputDigest();
const parts = partsFolder(digest);
const force = process.argv.includes('--force');
// Parts of builds before serve calls that are running; the package has none.
const keep = process.argv.includes('--alone') ? 0 : 3600_000;
if (!force && isBuilt(finished, digest)) {
  removeOldParts(finished, digest, keep);
  process.exit(0);
}

process.on('exit', () => rmSync(dist, { recursive: true, force: true }));
const { build } = await import('esbuild');
const inputs = [
  ...(await program()),
  ...(await late()),
  ...(await module(`${parts}/check-worker`, 'src/cli/check/check-worker.ts')),
  ...(await module(`${parts}/sweep-worker`, 'src/cli/sweep/sweep-worker.ts')),
  ...(await module('index', 'src/index.ts')),
];
copyFonts();
writeFileSync(join(dist, 'third-party-licences.txt'), licences(inputs));
declarations();
writeFileSync(join(dist, 'API.md'), apiReference(join(dist, 'types')));
requireAscii();
codeCaches();
writeFileSync(join(dist, STAMP), digest);
putInPlace(dist, finished);
removeOldParts(finished, digest, keep);

/** A program is read as Latin-1, which is right for ASCII alone. */
function requireAscii() {
  for (const name of readdirSync(dist).filter(name => name.endsWith('.cjs'))) {
    const found = /[^\0-\x7f]/.exec(readFileSync(join(dist, name), 'utf8'));
    if (found !== null) throw new Error(`${name} has "${found[0]}" at ${found.index}: write it as an escape`);
  }
}

/** Of every file that dist/ is made from. */
function inputDigest() {
  // Compiled code is of one version of Node.
  const hash = createHash('sha256').update(`${process.version} ${process.arch}`);
  const files = readdirSync(join(root, 'src'), { recursive: true, withFileTypes: true })
    .filter(entry => entry.isFile())
    .map(entry => join(entry.parentPath, entry.name))
    .concat(['package.json', 'package-lock.json', 'tsconfig.json'].map(name => join(root, name)))
    .concat(
      readdirSync(join(root, '.build')).map(name => join(root, '.build', name)),
      join(root, 'bin', 'dwellbook.js'),
    );
  for (const file of files.sort())
    if (existsSync(file)) hash.update(file.slice(root.length)).update(readFileSync(file));
  return hash.digest('hex');
}

/** Bundles and returns the files that went in. */
async function bundle(options) {
  const { metafile } = await build({
    absWorkingDir: root,
    outdir: dist,
    bundle: true,
    platform: 'node',
    target: 'node20.19',
    minify: true,
    legalComments: 'none', // the licences are in a file of their own
    metafile: true,
    logLevel: 'warning',
    ...options,
    plugins: [withoutLocales, ...(options.plugins ?? [])],
  });
  return Object.keys(metafile.inputs);
}

/** What `bin/dwellbook.js` starts: one function in one file, in CommonJS, whose compiled code can be kept. */
function program() {
  return bundle({
    ...common('dwellbook', 'src/cli/main.ts'),
    // The stamp is STAMP_LENGTH of `bin/dwellbook.js` long: its code caches have the same.
    banner: { js: `/*${digest.slice(0, 60)}*/(function(exports,require,module,__filename,__dirname){` },
    footer: { js: '})' },
    external: ['pdfkit'],
    define: { ...common().define, BUILT_PARTS: JSON.stringify(parts) },
    plugins: [lateParts(parts)],
  });
}

/** The files beside the program that most starts do not read. */
async function late() {
  return (await Promise.all(LATE_PARTS.map(part => bundle(common(`${parts}/${latePart(part)}`, part))))).flat();
}

function common(name, entry) {
  return {
    entryPoints: { [name]: entry },
    outExtension: { '.js': '.cjs' },
    format: 'cjs',
    supported: { 'dynamic-import': false },
    // Packages ask for their address in order to require something, for which a path will do.
    define: { 'import.meta.dirname': '__dirname', 'import.meta.url': '__filename' },
  };
}

function module(name, entry) {
  return bundle({
    entryPoints: { [name]: entry },
    chunkNames: `${parts}/[name]-[hash]`,
    splitting: true,
    format: 'esm',
    // Short lines: Node prints the one on which an error was thrown.
    lineLimit: 160,
    // pdfkit reads its font metrics from its own folder; only the commands that draw import it.
    external: ['pdfkit'],
    // Some packages are CommonJS and require Node's own modules.
    banner: { js: "import{createRequire as __cr}from'node:module';const require=__cr(import.meta.url);" },
  });
}

/** Compiled code of what each usual call runs; see `bin/dwellbook.js`. */
function codeCaches() {
  const recipe = join(root, 'recipes', 'tide-gauge-pigtail.yaml');
  for (const args of [['--help'], ['check', recipe], ['shot', recipe]]) {
    execFileSync(process.execPath, [join(root, '.build', 'code-cache.cjs'), dist, ...args], { stdio: 'pipe' });
  }
}

function copyFonts() {
  mkdirSync(join(dist, 'fonts'), { recursive: true });
  for (const font of fonts) cpSync(join(fontPackage, font), join(dist, 'fonts', font.split('/')[1]));
  cpSync(join(fontPackage, 'LICENSE_FONT'), join(dist, 'fonts', 'LICENSE_FONT'));
}

/** Names, versions and licence texts of the packages whose code is in the bundle. */
function licences(inputs) {
  const folders = new Set(inputs.flatMap(path => /^(?:.*\/)?node_modules\/(?:@[^/]+\/)?[^/]+/.exec(path)?.[0] ?? []));
  const texts = [...folders].sort().map(folder => {
    const { name, version, license } = JSON.parse(readFileSync(join(root, folder, 'package.json'), 'utf8'));
    const file = readdirSync(join(root, folder)).find(entry => /^licen[cs]e/i.test(entry));
    const text = file === undefined ? '' : readFileSync(join(root, folder, file), 'utf8').trim();
    return `${name} ${version} (${license})\n\n${text}\n`;
  });
  return texts.join(`\n${'-'.repeat(80)}\n\n`);
}

/** Declarations for users of the library; their imports end in .js, as Node's own resolution wants them. */
function declarations() {
  const tsc = join(root, 'node_modules', '.bin', 'tsc');
  execFileSync(tsc, ['-p', join(root, '.build', 'declarations.json'), '--outDir', join(dist, 'types')], {
    stdio: 'inherit',
    cwd: root,
  });
  const types = join(dist, 'types');
  for (const entry of readdirSync(types, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile() || !entry.name.endsWith('.d.ts')) continue;
    const file = join(entry.parentPath, entry.name);
    const text = readFileSync(file, 'utf8');
    writeFileSync(file, text.replace(/(from\s*|import\(\s*|import\s*)(['"])(\.{1,2}\/[^'"]+)\.ts\2/g, '$1$2$3.js$2'));
  }
}

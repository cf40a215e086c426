#!/usr/bin/env node
// CommonJS, see package.json beside it: an ES module takes longer to start.
'use strict';
const { readFileSync, statSync } = require('node:fs');
const { join } = require('node:path');
const { Script } = require('node:vm');

/** A remark of this many characters at the start of each program: which build it is of. */
const STAMP_LENGTH = 64;

if (require.main === module) run();

function run() {
  let done;
  try {
    ({ done } = start(join(__dirname, '..', 'dist'), process.argv.slice(2)));
  } catch (error) {
    if (error.code !== 'ENOENT') throw error;
    process.stderr.write(`fault: the installation is incomplete: there is no ${error.path}\n`);
    process.exitCode = 70;
    return;
  }
  // Not process.exit(): what is still in the streams must get out first.
  done.then(status => {
    process.exitCode = status;
  });
}

/** Runs the program built in that folder. The build does too, and makes the code caches of what has run. */
function start(folder, argv) {
  const file = join(folder, 'dwellbook.cjs');
  const cache = join(folder, `${usualCall(argv[0])}.cache`);
  // The build sees to it that there is nothing but ASCII in it, of which Latin-1 is the quickest reading.
  const text = readFileSync(file, 'latin1');
  // The name goes into the code cache, so that it must not tell where that was made.
  const script = new Script(text, {
    filename: 'dwellbook/dist/dwellbook.cjs',
    cachedData: compiled(cache, file, text),
  });
  const program = { exports: {} };
  // What stands beside the program is required from there, packages from here.
  const requireFrom = id => require(id.startsWith('./') ? join(folder, id) : id);
  script.runInThisContext()(program.exports, requireFrom, program, file, folder);
  return { cache, text, script, done: program.exports.main(argv) };
}

/** Which usual call this one is like: of what it runs, the compiled code is kept, and no more, for that is read at each start. */
function usualCall(word) {
  if (word === 'check') return 'check';
  return word === undefined || word.startsWith('-') ? 'help' : 'shot';
}

/**
 * The compiled code of a text, between two copies of the stamp that the text starts with; undefined where it is of another
 * build, cut short, or older than the text. Node itself refuses code of another version of Node, and then compiles.
 */
function compiled(cache, file, text) {
  try {
    const bytes = readFileSync(cache);
    const stamp = text.slice(0, STAMP_LENGTH);
    const [head, tail] = [bytes.latin1Slice(0, STAMP_LENGTH), bytes.latin1Slice(bytes.length - STAMP_LENGTH)];
    const known = head === stamp && tail === stamp && statSync(cache).mtimeMs >= statSync(file).mtimeMs;
    return known ? bytes.subarray(STAMP_LENGTH, -STAMP_LENGTH) : undefined;
  } catch {
    return undefined;
  }
}

module.exports = { start, STAMP_LENGTH };

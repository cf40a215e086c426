#!/usr/bin/env node
// CommonJS, see package.json beside it: an ES module takes longer to start.
'use strict';
const { readFileSync } = require('node:fs');
const { join } = require('node:path');
const { Script } = require('node:vm');

// Not process.exit(): what is still in the streams must get out first.
if (require.main === module) {
  start(join(__dirname, '..', 'dist'), process.argv.slice(2)).done.then(status => {
    process.exitCode = status;
  });
}

/** Runs the program built in that folder. The build does too, and makes the code cache of what has run. */
function start(folder, argv) {
  const file = join(folder, `${programFor(argv[0])}.cjs`);
  // Node refuses a code cache of another version of itself or of another text, and then compiles.
  const script = new Script(readFileSync(file, 'latin1'), { filename: file, cachedData: cacheOf(file) });
  const program = { exports: {} };
  // What stands beside the program is required from there, packages from here.
  const requireFrom = id => require(id.startsWith('./') ? join(folder, id) : id);
  script.runInThisContext()(program.exports, requireFrom, program, file, folder);
  return { file, script, done: program.exports.main(argv) };
}

/** The smallest of three builds of one source that can do it: most starts are checks, in an editor, a hook or CI. */
function programFor(word) {
  if (word === 'check') return 'check';
  return word === undefined || word.startsWith('-') ? 'help' : 'dwellbook';
}

function cacheOf(file) {
  try {
    return readFileSync(`${file}.cache`);
  } catch {
    return undefined;
  }
}

module.exports = { start };

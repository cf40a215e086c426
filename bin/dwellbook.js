#!/usr/bin/env node
// `check` has a build of its own, with little in it that only other commands need: it starts sooner.
const { main } = await import(process.argv[2] === 'check' ? '../dist/check.js' : '../dist/cli.js');

// Not process.exit(): what is still in the streams must get out first.
process.exitCode = await main(process.argv.slice(2));

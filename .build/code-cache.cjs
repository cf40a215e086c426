// Runs a program in a folder of built ones with the arguments given, then keeps the compiled code of all that has run.
const { writeFileSync } = require('node:fs');
const { start } = require('../bin/dwellbook.js');

const [folder, ...argv] = process.argv.slice(2);
const { file, script, done } = start(folder, argv);
done.then(status => {
  if (status === 0) writeFileSync(`${file}.cache`, script.createCachedData());
  process.exitCode = status;
});

// Runs a program in a folder of built ones with the arguments given, then keeps the compiled code of all that has run.
// Whatever the program says of the recipe is no matter of the build.
const { writeFileSync } = require('node:fs');
const { start, STAMP_LENGTH } = require('../bin/dwellbook.js');

const [folder, ...argv] = process.argv.slice(2);
const { cache, text, script, done } = start(folder, argv);
done.then(() => {
  const stamp = Buffer.from(text.slice(0, STAMP_LENGTH), 'latin1');
  writeFileSync(cache, Buffer.concat([stamp, script.createCachedData(), stamp]));
});

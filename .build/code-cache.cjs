// Runs a program in a folder of built ones with the arguments given, then keeps the compiled code of all that has run.
// Whatever the program says of the recipe is no matter of the build.
const { writeFileSync } = require('node:fs');
const { start } = require('../bin/dwellbook.js');

const [folder, ...argv] = process.argv.slice(2);
const { file, script, done } = start(folder, argv);
done.then(() => writeFileSync(`${file}.cache`, script.createCachedData()));

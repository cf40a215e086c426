// Read before a program is measured: when the process ends, it tells its time on the processors (all threads) and its
// greatest resident memory.
const { isMainThread } = require('node:worker_threads');

if (isMainThread) {
  process.on('exit', () => {
    const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
    process.stderr.write(`\nUSAGE ${userCPUTime + systemCPUTime} ${maxRSS}\n`);
  });
}

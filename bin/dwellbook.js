#!/usr/bin/env node
import { main } from '../dist/cli.js';

// Not process.exit(): what is still in the streams must get out first.
process.exitCode = await main(process.argv.slice(2));

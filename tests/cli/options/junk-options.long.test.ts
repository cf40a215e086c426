// All repetitions of `junk-options.test.ts`.
import './junk-options.test.ts';

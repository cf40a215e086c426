// All repetitions of `killed-writes.test.ts`.
import './killed-writes.test.ts';

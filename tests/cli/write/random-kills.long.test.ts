// All repetitions of `random-kills.test.ts`.
import './random-kills.test.ts';

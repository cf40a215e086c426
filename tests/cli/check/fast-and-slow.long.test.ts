// All repetitions of `fast-and-slow.test.ts`.
import './fast-and-slow.test.ts';

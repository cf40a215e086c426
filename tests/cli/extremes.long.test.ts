// All repetitions of `extremes.test.ts`.
import './extremes.test.ts';

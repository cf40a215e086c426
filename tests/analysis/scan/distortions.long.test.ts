// All repetitions of `distortions.test.ts`.
import './distortions.test.ts';

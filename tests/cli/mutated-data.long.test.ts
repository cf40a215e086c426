// All repetitions of `mutated-data.test.ts`.
import './mutated-data.test.ts';

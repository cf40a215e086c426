import { defineConfig } from 'vitest/config';
import ours from '../../vitest.config.ts';

/** The tests that mutants are run against: those of `run.mjs --tests`. */
export default defineConfig(env => {
  const { test } = ours(env);
  return { test: { ...test, include: [process.env.MUTANT_TESTS ?? ''] } };
});

import { defineConfig } from 'vitest/config';

export default defineConfig(({ mode }) => ({
  test: {
    // `--mode long`: the long repetitions, and they alone
    include: [mode === 'long' ? 'tests/**/*.long.test.ts' : 'tests/**/!(*.long).test.ts'],
    maxWorkers: '100%', // by default one core is left idle, which is half of a machine with two
    // Against a test that hangs, not against a slow machine: nothing is judged by the time it takes.
    testTimeout: 300_000,
    hookTimeout: 300_000,
  },
}));

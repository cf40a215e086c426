import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    // Against a test that hangs, not against a slow machine: nothing is judged by the time it takes.
    testTimeout: 300_000,
    hookTimeout: 300_000,
  },
});

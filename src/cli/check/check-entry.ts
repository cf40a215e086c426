import type { CommandEntry } from '../terminal/command.ts';

/** In a file of its own, for the build makes a program of this command alone as well. */
export const CHECK: CommandEntry = {
  name: 'check',
  summary: 'check recipes; status 1 when one has an error',
  group: 'From one recipe:',
  load: () => import('../commands/check.ts'),
};

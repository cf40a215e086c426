import type { CommandEntry } from '../terminal/command.ts';
import { CHECK } from './check-entry.ts';

/**
 * What the build puts in place of `command-list.ts` for `dist/check.cjs`. What `check` runs on every save and in every
 * hook stands in few files there, and nothing in them that only other commands use.
 */
export const COMMANDS: readonly CommandEntry[] = [CHECK];

import { frozenFindings } from '../../analysis/changes/frozen.ts';
import { freezeFinding } from '../../diagnostics/codes/freeze-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { type LoadedRecipe, placeFindings } from '../../recipe/format/load.ts';
import type { LockFile } from '../../recipe/format/lock-file.ts';
import { computedAndKept, keptOrComputed } from '../recipes/kept-results.ts';
import { fileOfLock, lockName, lockPath, openLock, requireFiles } from '../recipes/lock-location.ts';
import { findingOfThrown } from '../recipes/one-of-several.ts';
import type { Call } from '../terminal/command.ts';
import { CallFileError } from '../terminal/exit-status.ts';

/** Holds recipes to the lock file of the call. */
export interface FrozenCheck {
  /** What there is to say about one recipe; nothing where it is broken, which is said already. */
  ofRecipe(loaded: LoadedRecipe, several: boolean): readonly Diagnostic[];
  /** What there is to say about the lock file itself. */
  readonly ofLock: readonly Diagnostic[];
}

/** Throws: CallFileError when there is no lock file; UsageError where no file is checked. */
export function frozenCheck(call: Call): FrozenCheck {
  requireFiles(call, '--frozen');
  const name = lockName(call);
  const lock = openLock(call);
  if (lock === null) throw new CallFileError(`${name}: there is no such file; \`dwellbook freeze\` writes it`);
  const unreadable = lock.findings.length > 0;
  const resultsOf = call.flags['fresh'] === true ? computedAndKept(call) : keptOrComputed(call);
  return {
    ofLock: [...lock.findings, ...goneEntries(call, lock, name)],
    ofRecipe: (loaded, several) => {
      if (unreadable) return [];
      try {
        const path = lockPath(call, loaded.file);
        const known = loaded.recipe !== null && lock.entries.has(path);
        return frozenFindings({ loaded, lock, path, ...(known && { results: resultsOf(loaded) }) });
      } catch (error) {
        return placeFindings(loaded, [findingOfThrown(error, several)]);
      }
    },
  };
}

function goneEntries(call: Call, lock: LockFile, name: string): Diagnostic[] {
  return [...lock.entries.keys()]
    .filter(path => call.io.kindOf(fileOfLock(call, path)) !== 'file')
    .map(path =>
      placed(freezeFinding('frozen-gone', null, `${name} has "${path}", and there is no such file`), lock.place(path)),
    );
}

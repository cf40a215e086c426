// A reporter that writes down every mutant as soon as it was tried, so that a run that was ended goes on where it was.
import { appendFileSync } from 'node:fs';
import { relative } from 'node:path';
import { declareClassPlugin, PluginKind } from '@stryker-mutator/api/plugin';

class KeptResults {
  onMutantTested({ fileName, location: { start, end }, mutatorName, replacement, status, killedBy }) {
    const name = `${relative('', fileName)}:${start.line}:${start.column}-${end.line}:${end.column} ${mutatorName}`;
    const kept = { name, replacement, status, killedBy: killedBy?.[0] };
    appendFileSync(process.env.MUTANT_RESULTS, `${JSON.stringify(kept)}\n`);
  }
}

export const strykerPlugins = [declareClassPlugin(PluginKind.Reporter, 'kept', KeptResults)];

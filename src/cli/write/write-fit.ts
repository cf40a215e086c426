import { dirname, relative, sep } from 'node:path';
import type { FitResult } from '../../analysis/fit/fit.ts';
import type { FittedBlock } from '../../analysis/fit/fitted-block.ts';
import type { Needless } from '../../analysis/fit/needless-parameters.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { sha256 } from '../../recipe/format/digest.ts';
import { type LoadedRecipe, loadRecipe } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import { isPlainMap, type PlainMap, plainAt } from '../../recipe/yaml/plain-data.ts';
import { type Change, writeValues } from '../../recipe/yaml/write-values.ts';
import { loadOptions } from '../recipes/run-on-recipes.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

/** Throws: UsageError where `--write` has no file, or would store a fit of other values than the file's. */
export function requireRecipeFile(call: Call, recipe: string): void {
  if (recipe === '-') throw new UsageError('--write needs a file; the recipe comes from standard input');
  if (call.set.length > 0) throw new UsageError('--write and --set exclude each other: change the value in the file');
}

/** What a calibration was fitted to. */
export interface FitSource {
  /** Data file as named in the call. */
  readonly data: string;
  readonly text: string;
}

/** Writes a `calibration` into the recipe file, or says why not. */
export async function writeCalibration(
  call: Call,
  loaded: LoadedRecipe,
  { fit, needless }: { readonly fit: FitResult; readonly needless: readonly Needless[] },
  source: FitSource,
): Promise<readonly Finding[]> {
  const vague = fit.parameters.filter(p => !p.fixed && (p.at_bound || p.low === null || p.high === null));
  const told = vague.length > 0 ? vague.map(p => p.name) : unresolved(fit);
  if (told.length > 0) {
    const message = `not written: ${told.join(' and ')} cannot be told from these data`;
    return [floorFinding('fit-not-written', null, message)];
  }
  // What does nothing is written only over a value that stands there and would go on acting.
  const left = (key: string) => needless.some(one => one.key === key) && !isGiven(loaded, `calibration.${key}`);
  const values = [
    { path: 'calibration.viscosity_factor', value: valueText(fit, 'viscosity_factor', '') },
    { path: 'calibration.pressure_offset', value: valueText(fit, 'pressure_offset_kPa', ' kPa') },
    { path: 'calibration.dead_time', value: valueText(fit, 'dead_time_s', ' s') },
  ].filter(({ path }) => !left(path.slice('calibration.'.length)));
  const changes: Change[] = [
    ...values,
    { path: 'calibration.date', value: dateOf(call) },
    { path: 'calibration.data', value: pathFrom(loaded.file, source.data) },
    { path: 'calibration.digest', value: sha256(source.text) },
  ];
  return writeChanges(call, loaded, [changes], 'calibration');
}

function isGiven({ data }: LoadedRecipe, path: string): boolean {
  return (plainAt(data, path.split('.')) ?? null) !== null;
}

/** "1.0813 ± 0.0094": a fitted value with the wider half of its interval, which is not even; a kept one alone. */
function valueText(fit: FitResult, name: string, unit: string): string | number {
  const { estimate, low, high, fixed } = fit.parameters.find(p => p.name === name)!;
  const half =
    fixed || low === null || high === null ? 0 : Number(Math.max(high - estimate, estimate - low).toPrecision(2));
  const value = rounded(estimate);
  if (half > 0) return `${value} ± ${half}${unit}`;
  return unit === '' ? value : `${value}${unit}`;
}

/** Parameters whose interval is wider than what they could do: half the estimate of a factor. */
function unresolved(fit: FitResult): string[] {
  const factor = fit.parameters.find(p => p.name === 'viscosity_factor');
  if (factor === undefined || factor.fixed || factor.high === null) return [];
  return factor.high - factor.estimate > factor.estimate / 2 ? [factor.name] : [];
}

/**
 * Writes a fitted model as `resin.rheology` or `resin.cure`. Keys of the model before that come from a part are removed with `null`,
 * where the recipe would not load otherwise.
 */
export function writeModel(
  call: Call,
  loaded: LoadedRecipe,
  path: string,
  block: FittedBlock,
): Promise<readonly Finding[]> {
  const before = plainAt(loaded.data, path.split('.'));
  const old = isPlainMap(before)
    ? Object.keys(before).filter(key => before[key] !== null && !Object.hasOwn(block, key))
    : [];
  // The temperature that a cure is for stays: the fit was made for it.
  const reference = 'reference_temperature';
  const carried: PlainMap = old.includes(reference) ? { [reference]: (before as PlainMap)[reference]! } : {};
  const cleared = Object.fromEntries(old.filter(key => key !== reference).map(key => [key, null]));
  const whole = { ...(block as unknown as PlainMap), ...carried };
  return writeChanges(call, loaded, [[{ path, value: whole }], [{ path, value: { ...whole, ...cleared } }]], path);
}

/** Tries sets of changes in turn; the first after which the recipe still loads is written. */
async function writeChanges(
  call: Call,
  loaded: LoadedRecipe,
  attempts: readonly (readonly Change[])[],
  what: string,
): Promise<readonly Finding[]> {
  const { file } = loaded;
  const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(call.io.files.readBytes(file));
  let findings: readonly Finding[] = [];
  for (const changes of attempts) {
    const written = writeValues(text, changes);
    if (written.findings.length > 0) return written.findings;
    const after = await loadRecipe(file, withText(call.io.files, file, written.text), loadOptions(call));
    if (after.recipe !== null) {
      call.io.writeFile(file, written.text, 'source');
      call.io.stderr(`${file}: ${what} written\n`);
      return [];
    }
    const first = after.findings[0];
    findings = [floorFinding('fit-not-written', what, `not written: the recipe would not load: ${first?.message}`)];
  }
  return findings;
}

function withText(files: FileSystem, file: string, text: string): FileSystem {
  const bytes = new TextEncoder().encode(text);
  return { ...files, readBytes: path => (path === file ? bytes : files.readBytes(path)) };
}

/** Day of the fit, YYYY-MM-DD: `--date`, or the clock's in UTC. Throws: UsageError for another text. */
function dateOf(call: Call): string {
  const given = call.flags['date'];
  if (typeof given !== 'string') return call.io.now().toISOString().slice(0, 10);
  const date = new Date(`${given}T00:00:00Z`);
  if (/^\d{4}-\d{2}-\d{2}$/.test(given) && !Number.isNaN(date.getTime()) && date.toISOString().startsWith(given))
    return given;
  throw new UsageError(`--date ${given}: write a date as YYYY-MM-DD`);
}

/** The data file as seen from the recipe, so that the two can move together. */
function pathFrom(recipe: string, data: string): string {
  return relative(dirname(recipe), data).split(sep).join('/');
}

/** Five digits: fewer than the data hold, more than they know. */
function rounded(value: number): number {
  return Number(value.toPrecision(5));
}

import type { SetpointResult } from '../../analysis/setpoint/setpoint.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Plain } from '../../recipe/yaml/plain-data.ts';
import { writeValues } from '../../recipe/yaml/write-values.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

/** Digits of a setting: more than any station holds, fewer than binary rounding shows. */
const DIGITS = 10;

/** Options with which a setpoint is not what the file says, and so not what may be written into it. */
const CONDITIONS = ['age', 'temperature', 'lotFactor'];

/** Throws: UsageError where `--write` would store something else than the recipe's own setpoint, or has no file. */
export function requireWritable(call: Call): void {
  if (call.args.includes('-')) throw new UsageError('--write needs a file; the recipe comes from standard input');
  if (call.set.length > 0) throw new UsageError('--write and --set exclude each other: change the value in the file');
  if (CONDITIONS.some(name => call.flags[name] !== undefined)) {
    throw new UsageError(
      '--write stores the setting for the conditions of the recipe; leave out --age, --temperature and --lot-factor',
    );
  }
}

/**
 * Writes pressure, dwell and ramp of the setpoint into `settings` of the recipe file in one go; what keeps that from being
 * done comes back.
 */
export function writeSettings(call: Call, file: string, recipe: Recipe, found: SetpointResult): readonly Finding[] {
  const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(call.io.files.readBytes(file));
  const unit = recipe.station?.display.pressure ?? 'kPa';
  const ramp = rampValue(recipe, found);
  const first = found.program?.stages[0]?.first_dwell_s ?? found.chosen.dwell_s;
  const written = writeValues(text, [
    { path: 'settings.pressure', value: formatQuantity(found.chosen.pressure_kPa * 1000, unit, DIGITS) },
    { path: 'settings.dwell', value: time(first) },
    ...(ramp === null ? [] : [{ path: 'settings.ramp', value: ramp }]),
  ]);
  if (written.findings.length > 0) return written.findings;
  call.io.writeFile(file, written.text, 'source');
  const keys =
    ramp === null ? 'settings.pressure and settings.dwell' : 'settings.pressure, settings.dwell and settings.ramp';
  call.io.stderr(`${file}: ${keys} written\n`);
  if (found.program === null && recipe.settings?.ramp !== undefined) {
    call.io.stderr(`${file}: settings.ramp was made for the old setting; \`dwellbook ramp\` gives the new one\n`);
  }
  return [];
}

const time = (seconds: number) => formatQuantity(seconds, 's', DIGITS);

/** The ramp as a recipe writes it; null where the dwell stays and no ramp of before says otherwise, or no run is known. */
function rampValue(recipe: Recipe, { program }: SetpointResult): Plain | null {
  if (program === null) return null;
  const steps = program.stages.map(({ from_shot, first_dwell_s, add_s, every }) => ({
    ...{ from_shot, first: time(first_dwell_s), add: time(add_s), every },
  }));
  if (steps.length > 1) return steps;
  const [{ add, every }] = steps as [(typeof steps)[number]];
  return program.stages[0]!.add_s === 0 && recipe.settings?.ramp === undefined ? null : { add, every };
}

import type { SetpointResult } from '../../analysis/setpoint/setpoint.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
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

/** Writes pressure and dwell of the setpoint into `settings` of the recipe file; what keeps that from being done comes back. */
export function writeSettings(call: Call, file: string, recipe: Recipe, found: SetpointResult): readonly Finding[] {
  const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(call.io.files.readBytes(file));
  const unit = recipe.station?.display.pressure ?? 'kPa';
  const written = writeValues(text, [
    { path: 'settings.pressure', value: formatQuantity(found.chosen.pressure_kPa * 1000, unit, DIGITS) },
    { path: 'settings.dwell', value: formatQuantity(found.chosen.dwell_s, 's', DIGITS) },
  ]);
  if (written.findings.length > 0) return written.findings;
  call.io.writeFile(file, written.text, 'source');
  call.io.stderr(`${file}: settings.pressure and settings.dwell written\n`);
  if (recipe.settings?.ramp !== undefined) {
    call.io.stderr(`${file}: settings.ramp was made for the old setting; \`dwellbook ramp\` gives the new one\n`);
  }
  return [];
}

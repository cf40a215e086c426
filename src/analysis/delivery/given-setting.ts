import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Setting } from './operating-point.ts';

/** Pressure and dwell as they are given, else the released ones; `more` ends the help where one of them lacks. */
export function givenSetting(
  { settings }: Recipe,
  given: { readonly pressure?: number; readonly dwell?: number },
  purpose: string,
  more = '',
): Outcome<Setting> {
  const [pressure, dwell] = [given.pressure ?? settings?.pressure?.value, given.dwell ?? settings?.dwell?.value];
  if (pressure !== undefined && dwell !== undefined) return { result: { pressure, dwell }, findings: [] };
  const lacking = [...(pressure === undefined ? ['pressure'] : []), ...(dwell === undefined ? ['dwell'] : [])];
  const findings = lacking.map(key =>
    blockMissing(`settings.${key}`, purpose, `give \`--${key}\`, or add \`settings.${key}\`${more}`),
  );
  return { result: null, findings };
}

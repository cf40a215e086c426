import { RUN_RULES, type TrendResult } from '../../analysis/trend/trend.ts';
import { counted } from '../../diagnostics/number-words.ts';

/** Below this a chart without signals says little; common practice asks for 20 to 25 points, no source. */
const FEW_POINTS = 20;

/** What a trend without signals says of the process, in words; null where a rule fires. */
export function quietVerdict(t: TrendResult): string | null {
  if (!t.stable || t.points.some(p => p.rules.length > 0)) return null;
  return t.points.length < FEW_POINTS
    ? `No rule fires, but ${counted(t.points.length, 'point')} are too few to tell.`
    : 'No rule fires.';
}

/** The rules that fired, each with its number and in words; null where none did. */
export function firedRules(t: TrendResult): string | null {
  const fired = t.rules.filter(rule => t.points.some(p => p.rules.includes(rule)));
  if (fired.length === 0) return null;
  return `Circled by rule: ${fired.map(rule => `${rule}, ${RUN_RULES.get(rule)}`).join('; ')}.`;
}

import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { counted, inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type GaugeResult, gaugeKeys, type PlannedGauge, plannedGauge } from '../dot/gauge.ts';
import type { Paper } from '../dot/gauge-grid.ts';

/** The rings of the first-piece check; `circles` are those that the card shows. */
export type CardDot = GaugeResult;

/** Room on the card for circles [m]: width of their field, the largest ring, and the least width of a circle's place. */
export const CARD_DOT_FIELD = { width: 0.064, largest: 0.022, gap: 0.008, least: 0.032, circles: 2 } as const;

/**
 * The dot of the first-piece check, for as many shots as the reading needs and the card has room for. Without a dot the
 * card goes on, and a warning says why.
 */
export function cardDot(
  recipe: Recipe,
  { paper, dotsPerCircle }: { readonly paper?: Paper | undefined; readonly dotsPerCircle?: number | undefined },
): Outcome<CardDot> {
  const made = plannedGauge(recipe, { paper, shots: dotsPerCircle });
  if (made.result === null) return { result: null, findings: [noDot(reasonOf(made.findings))] };
  let fitting = made;
  let { shots } = made.result;
  while (dotsPerCircle === undefined && shots > 1 && !fits(fitting.result!)) {
    shots--;
    fitting = plannedGauge(recipe, { paper, shots });
    if (fitting.result === null) return { result: null, findings: [noDot(reasonOf(fitting.findings))] };
  }
  const dot = fitting.result!;
  if (!fits(dot)) {
    const across = inWords(dot.largest, 'mm');
    const reason = `the max ring of ${counted(shots, 'shot')} is ${across} across, the card has room for ${inWords(CARD_DOT_FIELD.largest, 'mm')}`;
    return { result: null, findings: [noDot(reason)] };
  }
  return { result: gaugeKeys(recipe, dot, circlesFor(dot)), findings: fitting.findings };
}

function fits({ largest }: PlannedGauge): boolean {
  return largest <= CARD_DOT_FIELD.largest;
}

function circlesFor({ largest }: PlannedGauge): number {
  const place = Math.max(CARD_DOT_FIELD.least, largest + CARD_DOT_FIELD.gap);
  return Math.max(1, Math.min(CARD_DOT_FIELD.circles, Math.floor(CARD_DOT_FIELD.width / place + 1e-9)));
}

function reasonOf(findings: readonly Finding[]): string {
  const errors = findings.filter(f => f.severity === 'error').map(f => f.message);
  return [...new Set(errors)].join('; ');
}

function noDot(reason: string): Finding {
  return batchFinding('card-no-dot', 'resin.dot', `the card has no dot: ${reason}`);
}

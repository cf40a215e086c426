import type { Finding } from './finding.ts';

/** What is judged of the volume that the shot of the settings has. */
const OF_THE_SHOT = [
  ...['shot-outside-tolerance', 'shot-outside-window', 'program-leaves-tolerance', 'program-leaves-window'],
  ...['ramp-missing', 'ramp-tolerance', 'ramp-stages', 'air-rules-dwell', 'setpoint-coarse', 'spread-exceeds-window'],
  ...['spread-not-linear', 'spread-sensitivity-unsure', 'card-out-of-tolerance'],
] as const;
/** What is judged against the aim, whose place alone is wrong: the window holds. */
const OF_THE_AIM = [
  ...['shot-outside-tolerance', 'program-leaves-tolerance', 'ramp-missing', 'ramp-tolerance', 'ramp-stages'],
  ...['card-out-of-tolerance', 'setpoint-coarse', 'gauge-rings-close'],
] as const;
/** What is judged against how much the connector is to hold. */
const OF_THE_BACKFILL = [
  ...OF_THE_SHOT,
  ...[
    'backfill-not-positive',
    'setpoint-impossible',
    'prime-too-few',
    'syringe-outlasts-resin',
    'resin-outlasts-syringe',
  ],
  ...['batch-syringe-small', 'batch-kit-small', 'gauge-reading-coarse', 'gauge-rings-close', 'gauge-too-large'],
] as const;

/**
 * Errors, and the findings that say no more than what follows from them: a volume between parts that do not go together is no volume,
 * and whatever is judged by it no judgement. What has a cause of its own beside the error is not here, for it stays when the error is mended.
 */
export const CONSEQUENCES: Readonly<Record<string, readonly string[]>> = {
  'cable-interference': [...OF_THE_BACKFILL, 'spread-cable-tight'],
  'needle-does-not-enter': ['spread-no-seat'],
  'needle-thinner-than-bore': ['spread-no-seat'],
  'aim-outside-reach': OF_THE_AIM,
  'backfill-not-positive': OF_THE_BACKFILL.filter(code => code !== 'backfill-not-positive'),
  'shot-outside-window': ['shot-outside-tolerance'],
  'flow-not-laminar': [...OF_THE_SHOT, 'kinetic-loss', 'shear-outside-curve'],
  'resin-does-not-flow': [...OF_THE_SHOT, 'head-left-out', 'meniscus-left-out', 'shear-outside-curve'],
  'gauge-uncalibrated': ['dot-does-not-relax'],
  'dot-calibration-at-limit': ['dot-calibration-pattern'],
};

/** What follows from which errors. */
const CAUSES: ReadonlyMap<string, readonly string[]> = causesOf(CONSEQUENCES);

function causesOf(table: Readonly<Record<string, readonly string[]>>): Map<string, string[]> {
  const causes = new Map<string, string[]>();
  for (const [cause, consequences] of Object.entries(table)) {
    for (const code of consequences) causes.set(code, [...(causes.get(code) ?? []), cause]);
  }
  return causes;
}

/** Findings without those that follow from an error among them. */
export function withoutConsequences<F extends Finding>(findings: readonly F[]): readonly F[] {
  const errors = new Set(findings.flatMap(({ severity, code }) => (severity === 'error' ? [code] : [])));
  if (errors.size === 0) return findings;
  return findings.filter(({ code }) => !CAUSES.get(code)?.some(cause => errors.has(cause)));
}

import type { CodeText } from '../../diagnostics/finding.ts';
import { type Finding, finding } from '../../diagnostics/finding.ts';

/** The codes of the spread; `explain` prints them. */
export const spreadCodes = {
  'spread-no-tolerance': {
    severity: 'warning',
    title: 'Nothing in the recipe deviates',
    why: 'The spread of the shot comes from the tolerances of its inputs. Without one it is zero, which no line is.',
    remedy:
      'Give tolerances to what deviates: `viscosity: 2.4 Pa.s ± 15 %`, `station.pressure.accuracy`, `needle.bore`.',
  },
  'spread-correlation-impossible': {
    severity: 'error',
    title: 'No inputs can go together as declared',
    why: 'Correlations bound one another: what goes with two things that go together cannot go against one of them. A matrix of correlations must be positive definite.',
    remedy:
      'Bring the correlations nearer to zero. What always moves together is one value: write it once and refer to it with a YAML alias.',
  },
  'spread-correlation-twice': {
    severity: 'error',
    title: 'Two inputs are correlated twice',
    why: 'Two declarations for one pair contradict each other, or one of them says nothing; so do those for two keys that are one value.',
    remedy: 'Keep one of them.',
  },
  'spread-sample-impossible': {
    severity: 'error',
    title: 'The tolerances leave hardly any possible value',
    why: 'Draws in which something that must be above zero is not, or the models cannot be used, are drawn again. Where most are, the tolerances do not describe the inputs.',
    remedy: 'Narrow the tolerance that the message names, or give it `distribution: uniform`.',
  },
  'spread-no-seat': {
    severity: 'warning',
    title: 'In some connectors the needle does not seat',
    why: 'Within their tolerances the needle can be too thick to enter or thin enough to pass. Such a connector gets no bore shot, so it is left out of the spread.',
    remedy: 'Check the outside of the needle and the tolerances of the cavity.',
  },
  'spread-cable-tight': {
    severity: 'warning',
    title: 'In some connectors the cable is thicker than the cavity',
    why: 'Within their tolerances cable and cavity can meet. A cable that stops at a cone sits a little further forward, which hardly moves the volumes; a fibre that is thicker than its bore does not go in at all.',
    remedy:
      'Nothing, where parts are matched or the cable finds its own place; otherwise check the tolerances of cavity and cable.',
  },
  'spread-not-linear': {
    severity: 'warning',
    title: 'First order and Monte Carlo do not agree',
    why: 'First order takes the shot as a straight line over the tolerances and its distribution as normal. Where it bends or one flat tolerance rules, that no longer holds.',
    remedy: 'Use the Monte Carlo numbers.',
  },
  'spread-few-samples': {
    severity: 'warning',
    title: 'Too few samples for a verdict',
    why: 'The ends of the interval still move with the seed by as much as the agreement of the two ways is judged by.',
    remedy: 'Take more samples with `--samples`.',
  },
  'spread-sensitivity-unsure': {
    severity: 'warning',
    title: 'A sensitivity depends on the step it is taken with',
    why: 'The derivative changes within a tenth of the standard uncertainty: the shot has a corner there, such as a pressure at which the resin stops.',
    remedy: 'Use the Monte Carlo numbers, which take no derivative.',
  },
} as const satisfies Record<string, CodeText>;

export type SpreadCode = keyof typeof spreadCodes;

/** A finding of one of these codes; `help` says something more to the point than the remedy where it can. */
export function spreadFinding(code: SpreadCode, path: string | null, message: string, help?: string): Finding {
  const text = spreadCodes[code];
  return finding(text.severity, code, path, message, help ?? text.remedy);
}

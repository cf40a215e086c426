import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import type { ChartKind } from '../../stats/control-chart.ts';
import { DEFAULT_RULES, RUN_RULES } from '../../stats/run-rules.ts';
import type { TrendOptions } from './trend.ts';

/** What is wrong with the options of a trend, all of it. */
export function optionFindings(options: TrendOptions, kind: ChartKind, largest: number): Finding[] {
  const bad = (message: string): Finding => floorFinding('trend-option-invalid', null, message);
  const findings: Finding[] = [];
  const { lambda, sigma, lower, upper, rules } = options;
  for (const [name, value] of Object.entries({ lambda, sigma, lower, upper, target: options.target })) {
    if (value !== undefined && !Number.isFinite(value)) findings.push(bad(`${name} is not a number`));
  }
  if (lambda !== undefined && !(lambda > 0 && lambda <= 1))
    findings.push(bad(`lambda is ${lambda}; it must be above 0 and at most 1`));
  if (lambda !== undefined && kind !== 'ewma') findings.push(bad(`lambda belongs to an EWMA, not to ${kind}`));
  if (sigma !== undefined && !(sigma > 0)) findings.push(bad(`sigma is ${sigma}; it must be above zero`));
  if (lower !== undefined && upper !== undefined && !(lower < upper)) {
    findings.push(bad(`the lower specification limit ${lower} is not below the upper one ${upper}`));
  }
  for (const rule of rules ?? [])
    if (!RUN_RULES.has(rule)) findings.push(bad(`there is no run rule ${rule}; there are 1 to ${RUN_RULES.size}`));
  if (kind === 'imr' && largest > 1)
    findings.push(bad('a chart of individuals takes no subgroups; use xbar-r or xbar-s'));
  return findings;
}

/** What is to be said about the number and size of the subgroups. */
export function sizeFindings(
  groups: readonly (readonly number[])[],
  kind: ChartKind,
  options: TrendOptions,
): Finding[] {
  const findings: Finding[] = [];
  const sizes = groups.map(g => g.length);
  if (groups.length < 2) {
    findings.push(
      floorFinding(
        'trend-too-few',
        null,
        `a chart needs two points at least; there ${groups.length === 1 ? 'is 1' : 'are 0'}`,
      ),
    );
  } else if ((kind === 'xbar-r' || kind === 'xbar-s') && Math.max(...sizes) < 2) {
    findings.push(
      floorFinding('trend-too-few', null, `${kind} needs two readings at least in some subgroup; there is one in each`),
    );
  } else if (groups.length < 20 && options.sigma === undefined) {
    findings.push(floorFinding('trend-few-points', null, `the limits rest on ${groups.length} points`));
  }
  const full = options.subgroupSize;
  if (full !== undefined && sizes.length > 0 && sizes.at(-1)! < full) {
    findings.push(
      floorFinding('trend-subgroup-short', null, `the last subgroup has ${sizes.at(-1)} of ${full} readings`),
    );
  }
  return findings;
}

/** Rules to apply: those chosen, of an EWMA only the first; adds a finding for rules left out. */
export function chosenRules(options: TrendOptions, kind: ChartKind, findings: Finding[]): readonly number[] {
  if (kind !== 'ewma') return options.rules ?? DEFAULT_RULES;
  const dropped = (options.rules ?? []).filter(rule => rule !== 1);
  if (dropped.length > 0) {
    findings.push(
      floorFinding(
        'trend-rules-ewma',
        null,
        `run rules ${dropped.join(', ')} do not apply to an EWMA and were left out`,
      ),
    );
  }
  return options.rules === undefined || options.rules.includes(1) ? [1] : [];
}

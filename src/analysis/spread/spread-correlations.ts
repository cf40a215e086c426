import { recipeFinding } from '../../diagnostics/codes/recipe-codes.ts';
import { spreadFinding } from '../../diagnostics/codes/spread-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { jointSampler } from '../../stats/joint-sampler.ts';
import type { InputCorrelation } from '../../stats/uncertainty.ts';
import type { SpreadInput } from '../inputs/spread-inputs.ts';

/** The correlations of a recipe by the places of the inputs; an error where a path is none or no inputs can have them. */
export function spreadCorrelations(recipe: Recipe, inputs: readonly SpreadInput[]): Outcome<InputCorrelation[]> {
  const place = new Map(inputs.flatMap((input, i) => input.paths.map(path => [path, i] as const)));
  const pairs = new Set<string>();
  const findings: Finding[] = [];
  const correlations: InputCorrelation[] = [];
  for (const { between, r, path } of recipe.correlations) {
    const unknown = between.flatMap((name, k) =>
      place.has(name) ? [] : [unknownPath(name, `${path}.between[${k}]`, place)],
    );
    findings.push(...unknown);
    if (unknown.length > 0) continue;
    const [i, j] = between.map(name => place.get(name)!).sort((a, b) => a - b) as [number, number];
    const name = `${between[0]} and ${between[1]}`;
    if (i === j) findings.push(spreadFinding('spread-correlation-twice', path, `${name} are one value already`));
    else if (pairs.has(`${i} ${j}`))
      findings.push(spreadFinding('spread-correlation-twice', path, `${name} are correlated above`));
    else correlations.push({ between: [i, j], r });
    pairs.add(`${i} ${j}`);
  }
  if (findings.length === 0 && correlations.length > 0 && jointSampler(inputs, correlations) === null) {
    const message = `no inputs can have ${correlations.length === 1 ? `r = ${correlations[0]!.r}` : `these ${correlations.length} correlations`} together`;
    findings.push(spreadFinding('spread-correlation-impossible', 'correlations', message));
  }
  return { result: findings.length > 0 ? null : correlations, findings };
}

function unknownPath(name: string, path: string, place: ReadonlyMap<string, number>): Finding {
  const message = `"${name}" is no quantity of this recipe with a tolerance`;
  return recipeFinding('path-unknown', path, message, didYouMean(name, [...place.keys()]));
}

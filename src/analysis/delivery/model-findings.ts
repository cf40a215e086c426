import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import type { ModelProblem } from '../../physics/rheology/model-problem.ts';

const BLOCKS = { flow: 'resin.rheology', cure: 'resin.cure', air: 'station.air' } as const;

/** Keys of the recipe for fields of the models that are not the same words. */
const KEYS: Readonly<Record<string, string>> = { consistency: 'K', flowIndex: 'n' };

/** What is wrong with the numbers of a model, at the keys they stand at. */
export function modelFindings(
  kind: keyof typeof BLOCKS,
  { model }: { readonly model: string },
  problems: readonly ModelProblem[],
): Finding[] {
  return problems.map(({ parameter, value, unit, requirement }) => {
    const key = KEYS[parameter] ?? parameter.replace(/(?<=[a-z])[A-Z]/g, letter => `_${letter.toLowerCase()}`);
    const found = `${value}${unit === '-' ? '' : ` ${unit}`}`;
    const message = `the ${model} ${kind} model cannot be used: found ${found}, must be ${requirement}`;
    return deliveryFinding(`${kind}-model-invalid`, `${BLOCKS[kind]}.${key}`, message);
  });
}

import type { Finding } from '../../diagnostics/finding.ts';
import type { Rheology } from '../../physics/rheology/rheology.ts';
import { rheologyProblems } from '../../physics/rheology/rheology-problems.ts';
import type { RheologyBlock } from '../../recipe/schema/recipe.ts';
import { modelFindings } from './model-findings.ts';

/** The flow model of a recipe as numbers in SI. */
export function rheologyModel(block: RheologyBlock): Rheology {
  switch (block.model) {
    case 'newtonian':
      return { model: 'newtonian', viscosity: block.viscosity.value };
    case 'power-law':
      return { model: 'power-law', consistency: block.K.value, flowIndex: block.n.value };
    case 'herschel-bulkley':
      return {
        model: 'herschel-bulkley',
        yieldStress: block.yield_stress.value,
        consistency: block.K.value,
        flowIndex: block.n.value,
      };
    case 'bingham':
    case 'casson':
      return { model: block.model, yieldStress: block.yield_stress.value, viscosity: block.viscosity.value };
    case 'cross':
      return { model: 'cross', ...smoothEnds(block), m: block.m.value };
    case 'carreau-yasuda':
      return { model: 'carreau-yasuda', ...smoothEnds(block), a: block.a.value, n: block.n.value };
    case 'table':
      return { model: 'table', points: block.points.map(([rate, viscosity]) => [rate.value, viscosity.value]) };
  }
}

/** The same with its yield stress so many times as high; a model without one stays as it is. */
export function withYield(rheology: Rheology, times: number): Rheology {
  return times === 1 || !('yieldStress' in rheology)
    ? rheology
    : { ...rheology, yieldStress: times * rheology.yieldStress };
}

function smoothEnds(block: Extract<RheologyBlock, { zero: unknown }>) {
  return { zero: block.zero.value, infinity: block.infinity.value, time: block.time.value };
}

/** What is wrong with the numbers of a flow model, at the keys they stand at. */
export function rheologyFindings(rheology: Rheology): Finding[] {
  return modelFindings('flow', rheology, rheologyProblems(rheology));
}

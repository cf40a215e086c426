import { randomSource } from '../../numeric/random.ts';
import type { Connector } from '../../recipe/schema/recipe.ts';
import { jointSampler } from '../../stats/joint-sampler.ts';
import { connectorInputs } from './connector-inputs.ts';
import { rowFit } from './connector-window.ts';
import { makeSlots } from './slot.ts';

/** Connectors drawn: a share of 2 % is then known to 0.14 % (one standard deviation). */
const DRAWS = 10_000;
const SEED = 1;

/**
 * Share of the connectors [-] in which the cable is thicker than the cavity somewhere, from the tolerances of both, by
 * drawing connectors; zero where there are none. `jamBound` says at less cost whether a share can matter.
 *
 *   1 − (1 − own)^n·(1 − shared): n fibres in bores of their own deviate each by itself, and one that jams is enough
 */
export function jamShare(connector: Connector): number {
  const inputs = connectorInputs(connector);
  if (inputs.length === 0) return 0;
  const slots = makeSlots(inputs);
  const jams = rowFit(connector, slots);
  const sample = jointSampler(inputs);
  if (jams === null || sample === null) return 0;
  const random = randomSource(SEED);
  const deviations = new Float64Array(slots.none + 1);
  let [own, shared] = [0, 0];
  for (let i = 0; i < DRAWS; i++) {
    sample(deviations, random);
    const found = jams(deviations);
    if (found.shared) shared++;
    else if (found.own) own++;
  }
  const fibres = connector.cable?.[0]?.count ?? 1;
  return own === 0 ? shared / DRAWS : 1 - (1 - own / DRAWS) ** fibres * (1 - shared / DRAWS);
}

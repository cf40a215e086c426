import { makeNeedle, type NeedleShape, type ReadyNeedle } from '../../physics/flow/needle-flow.ts';
import { quickFlow } from '../../physics/flow/quick-flow.ts';
import type { Rheology } from '../../physics/rheology/rheology.ts';
import { thickenedScales } from '../../physics/rheology/scaled-rheology.ts';
import type { ResinState } from './resin-course.ts';

/** A resin on its way through a needle. */
export interface Flowing {
  /** [m³/s] over net pressure [Pa]. */ flow(net: number): number;
  /** Nothing flows at or below this net pressure [Pa]. */ readonly yieldPressure: number;
  /** The same flow for the course of a pressure, quick, with its kinks as `FlowPath.kinks`. */
  alongPulse(): Quick;
}

interface Quick {
  readonly flow: (net: number) => number;
  readonly kinks: readonly number[];
}

/** A resin at one age through one needle. */
export type FlowThrough = (resin: Pick<ResinState, 'mixed' | 'thickness'>) => Flowing;

/**
 * One needle made ready serves all ages of one temperature: a thicker resin flows as the mixed one does at another scale, see
 * `thickenedScales`.
 */
export function flowThrough(shape: NeedleShape): FlowThrough {
  let known: { readonly of: Rheology; readonly ready: ReadyNeedle; readonly quick: () => Quick } | null = null;
  return ({ mixed, thickness }) => {
    if (known?.of !== mixed) {
      const ready = makeNeedle({ rheology: mixed, ...shape });
      known = { of: mixed, ready, quick: once(() => ({ flow: quickFlow(ready), kinks: ready.kinks() })) };
    }
    const { ready, quick } = known;
    const { stress, rate } = thickenedScales({ shape: mixed, stress: 1, rate: 1 }, thickness);
    return {
      flow: net => rate * ready.flow(net / stress),
      yieldPressure: ready.yieldPressure * stress,
      alongPulse: () => {
        const { flow, kinks } = quick();
        return { flow: net => rate * flow(net / stress), kinks: kinks.map(net => net * stress) };
      },
    };
  };
}

export function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | null = null;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}

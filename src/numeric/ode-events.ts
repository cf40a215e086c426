import { DormandPrinceStep } from './dormand-prince.ts';

export interface OdeEvent {
  /** Where this passes zero, the event happens. */
  value: (t: number, y: ArrayLike<number>) => number;
  /** 1: only upwards, −1: only downwards, 0 (default): both ways. */
  direction?: -1 | 0 | 1;
  /** Default true: the solution ends there. Otherwise it is listed in `passed` and the solution goes on. */
  terminal?: boolean;
}

/** An event that did not end the solution: its index, time and state. */
export interface Passed {
  event: number;
  t: number;
  y: number[];
}

/** Places inside a step where events are looked for, besides its ends. */
const LOOKS = [0.25, 0.5, 0.75, 1] as const;

export interface Passage {
  step: DormandPrinceStep;
  events: readonly OdeEvent[];
  before: readonly number[];
  t: number;
  y: Float64Array;
  end: number;
  dense: (at: number) => Float64Array;
  passed: Passed[];
}

/** Finds the events of one step in order; returns the first terminal one and records those before it. */
export function passEvents(p: Passage): { event: number; t: number; y: Float64Array } | null {
  const found: { event: number; t: number; y: Float64Array; terminal: boolean }[] = [];
  const h = p.end - p.t;
  p.events.forEach((event, index) => {
    let a = p.t;
    let fa = p.before[index]!;
    for (const look of LOOKS) {
      const b = look === 1 ? p.end : p.t + look * h;
      const fb = event.value(b, look === 1 ? p.step.next : p.dense(b));
      const up = fa < 0 && fb >= 0;
      const down = fa > 0 && fb <= 0;
      const direction = event.direction ?? 0;
      if ((up && direction >= 0) || (down && direction <= 0)) {
        found.push({ event: index, terminal: event.terminal ?? true, ...locate(p, event, a, b) });
        break;
      }
      a = b;
      fa = fb;
    }
  });
  found.sort((one, two) => (one.t - two.t) * (h < 0 ? -1 : 1));
  for (const f of found) {
    if (f.terminal) return f;
    p.passed.push({ event: f.event, t: f.t, y: [...f.y] });
  }
  return null;
}

/** Bisects on the state of a shortened step, sped up by the Illinois rule, to the last bits of t. */
function locate(p: Passage, event: OdeEvent, from: number, to: number): { t: number; y: Float64Array } {
  const scratch = new DormandPrinceStep(p.step.derivative, p.step.size);
  scratch.begin(p.t, p.y);
  const state = (at: number): Float64Array => {
    if (at === p.t) return p.y;
    scratch.take(p.t, p.y, at - p.t);
    return scratch.next;
  };
  let a = from;
  let b = to;
  let fa = event.value(a, state(a));
  let fb = event.value(b, state(b));
  if (fa === 0 || fa < 0 === fb < 0) {
    // The shortened step sees no change of sign, as the interpolant did: the crossing is within the error of the
    // solution at one end of the quarter, which is then the best place for it.
    const t = Math.abs(fa) <= Math.abs(fb) ? a : b;
    return { t, y: Float64Array.from(state(t)) };
  }
  for (let i = 0; i < 200; i++) {
    const middle = (a + b) / 2;
    if (middle === a || middle === b || fb === 0) break;
    const guess = b - (fb * (b - a)) / (fb - fa);
    const c = i % 8 === 7 || !(Math.min(a, b) < guess && guess < Math.max(a, b)) ? middle : guess;
    const fc = event.value(c, state(c));
    if (fc < 0 === fb < 0 && fc !== 0) fa /= 2;
    else {
      a = b;
      fa = fb;
    }
    b = c;
    fb = fc;
  }
  const t = Math.abs(fb) <= Math.abs(event.value(a, state(a))) ? b : a;
  return { t, y: Float64Array.from(state(t)) };
}

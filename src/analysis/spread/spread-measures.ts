import type { SpreadInput } from '../inputs/spread-inputs.ts';

/** Something a line can do against the spread: what is left of the deviation of each input. */
export interface SpreadMeasure {
  readonly action: string;
  readonly left: (input: SpreadInput) => number;
}

/** What `release` takes out of the dwell: whatever is the same for a syringe, needle or lot. */
export const isTrimmed = ({ per }: SpreadInput): boolean => per === 'syringe' || per === 'needle' || per === 'lot';

const named = (pattern: RegExp) => (input: SpreadInput) => input.paths.some(path => pattern.test(path));
const without = (chosen: (input: SpreadInput) => boolean) => (input: SpreadInput) => (chosen(input) ? 0 : 1);
const halved = (chosen: (input: SpreadInput) => boolean) => (input: SpreadInput) => (chosen(input) ? 0.5 : 1);

/** The one that is rehearsed. */
export const TRIM_ACTION = 'trim each fresh syringe by `release`';

/** In the order in which they are listed where they help alike. */
export const SPREAD_MEASURES: readonly SpreadMeasure[] = [
  { action: TRIM_ACTION, left: without(isTrimmed) },
  {
    action: 'measure the bore of each needle and set the dwell by it',
    left: without(named(/^needle\.(bore|sections)/)),
  },
  { action: 'weigh shots of each lot and set the dwell by them', left: without(({ per }) => per === 'lot') },
  { action: 'hold the temperature twice as close', left: halved(named(/^process\.temperature/)) },
  { action: 'hold the pressure twice as close', left: halved(named(/^(station|settings)\.pressure/)) },
  { action: 'time the dwell twice as close', left: halved(named(/^(station|settings)\.dwell/)) },
  { action: 'make connector and cable twice as close', left: halved(named(/^connector\./)) },
];

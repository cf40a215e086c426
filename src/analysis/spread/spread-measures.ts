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

/** What is left where a quantity is measured to a half-width, each in its own unit; all where the recipe knows it as well. */
const measuredTo = (chosen: (input: SpreadInput) => boolean, halfWidth: (input: SpreadInput) => number) => {
  return (input: SpreadInput) => (chosen(input) ? Math.min(1, halfWidth(input) / input.halfWidth) : 1);
};

/** Half-width to which a bore is measured by a pin or under a microscope [m]; *our choice, no source*. */
export const BORE_MEASURED = 5e-6;
/** Half-width to which the flow of a lot is found by weighing shots through one needle at one temperature [-]; *our choice, no source*. */
export const LOT_MEASURED = 0.02;

/** The one that is rehearsed. */
export const TRIM_ACTION = 'trim each fresh syringe by `release`';

/** In the order in which they are listed where they help alike. */
export const SPREAD_MEASURES: readonly SpreadMeasure[] = [
  { action: TRIM_ACTION, left: without(isTrimmed) },
  {
    action: 'measure the bore of each needle and set the dwell by it',
    left: measuredTo(named(/^needle\.(bore|sections)/), () => BORE_MEASURED),
  },
  {
    action: 'weigh shots of each lot through one needle, and set the dwell by them',
    left: measuredTo(({ per }) => per === 'lot', lotHalfWidth),
  },
  { action: 'hold the temperature twice as close', left: halved(named(/^process\.temperature/)) },
  { action: 'hold the pressure twice as close', left: halved(named(/^(station|settings)\.pressure/)) },
  { action: 'time the dwell twice as close', left: halved(named(/^(station|settings)\.dwell/)) },
  { action: 'make connector and cable twice as close', left: halved(named(/^connector\./)) },
];

/** Of an input that deviates from lot to lot: a share of its value; one about zero has none. */
function lotHalfWidth({ value, halfWidth }: SpreadInput): number {
  return value === 0 ? halfWidth : LOT_MEASURED * Math.abs(value);
}
